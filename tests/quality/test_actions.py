"""Does a defect get on record once, and is it decided once?"""

from collections.abc import Callable
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

import pytest

from tests import make
from tests.standing import kept
from travelers.floor import queries as on_floor
from travelers.floor.actions import Verdict
from travelers.floor.models import Event, Hold
from travelers.floor.queries import audit
from travelers.floor.rules import Wish
from travelers.kit.refusals import Refused
from travelers.orders.models import Instrument, Part, Step
from travelers.quality.actions import decide, report_defect
from travelers.quality.models import Defect, Disposition
from travelers.quality.rules import Decision, Severity, hold_id_of
from travelers.routes.models import Operation

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


@kept
def body(shop: make.Shop) -> Part:
    """Give a body that stands before the cutter."""
    body = shop.part(shop.instrument())
    shop.work(body, until="Machine")
    return body


def report(
    shop: make.Shop,
    step: Step,
    *,
    kind: str = "TEAR_OUT",
    severity: Severity = Severity.MAJOR,
    by: str = "joiner",
    event_id: UUID | None = None,
    note: str = "at the pocket",
) -> Verdict:
    return report_defect(
        step_id=step.pk,
        station=on_floor.find_place(code="CUTTER"),
        person=shop.cast.people[by],
        event_id=event_id or uuid4(),
        at=shop.now,
        heard_at=shop.now,
        kind_code=kind,
        x=Decimal("0.4123"),
        y=Decimal("0.25"),
        severity=severity,
        note=note,
    )


def defect_of(shop: make.Shop, step: Step, **more: Any) -> Defect:
    verdict = report(shop, step, **more)
    assert verdict.accepted
    return Defect.objects.get(event_id=verdict.seq)


def settle(shop: make.Shop, defect: Defect, decision: Decision, **more: Any):
    told = {"by": shop.cast.qa, "at": shop.later(minutes=1), "reason": "looked at it"}
    return decide(defect_id=defect.pk, decision=decision, **(told | more))


def operation(name: str) -> Operation:
    return Operation.objects.get(name=name)


def rows() -> tuple[list[Any], ...]:
    """Copy all that a refused decision must leave as it was."""
    return tuple(
        list(model.objects.order_by("pk").values())
        for model in (Event, Hold, Step, Part, Instrument, Defect, Disposition)
    )


def test_a_defect_gets_its_event_and_its_row(shop: make.Shop, body: Part) -> None:
    step = shop.step_of(body)
    assert step
    defect = defect_of(shop, step)
    assert (defect.x, defect.y) == (Decimal("0.412"), Decimal("0.250"))
    assert (defect.part_id, defect.step_id) == (body.pk, step.pk)
    assert (defect.kind.code, defect.severity) == ("TEAR_OUT", "MAJOR")
    event = Event.objects.get(pk=defect.event_id)
    assert (event.kind, event.accepted, event.person) == (
        "DEFECT",
        True,
        shop.cast.joiner,
    )
    assert event.data == {
        "kind": "TEAR_OUT",
        "x": "0.412",
        "y": "0.250",
        "severity": "MAJOR",
        "note": "at the pocket",
    }
    body.refresh_from_db()
    assert body.held_at is None


def test_sent_again_it_is_one_defect_and_one_hold(shop: make.Shop, body: Part) -> None:
    step, event_id = shop.step_of(body), uuid4()
    assert step
    first, again = (
        report(shop, step, severity=Severity.STOP, event_id=event_id) for _ in range(2)
    )
    assert (first.repeated, again.repeated) == (False, True)
    assert (first.seq, again.seq) == (first.seq, first.seq)
    assert Defect.objects.count() == Hold.objects.count() == 1


def test_one_that_says_stop_holds_the_part(shop: make.Shop, body: Part) -> None:
    step = shop.step_of(body)
    assert step
    defect = defect_of(shop, step, severity=Severity.STOP)
    hold = Hold.objects.get()
    assert (hold.part, hold.reason) == (body, "tear-out")
    assert hold.event.event_id == hold_id_of(defect.event.event_id)
    verdict = shop.scan(Wish.START, body)
    assert verdict.refusal
    assert verdict.refusal.code == "floor.held"


def test_a_kind_that_is_not_found_here_is_refused(shop: make.Shop, body: Part) -> None:
    step = shop.step_of(body)
    assert step
    before = rows()
    for kind in ("RUN", "BUZZ", "NO_SUCH_KIND"):
        with pytest.raises(Refused) as refused:
            report(shop, step, kind=kind)
        assert refused.value.refusal.code == "quality.kind_not_here"
    assert rows() == before


def test_who_does_not_work_at_a_bench_is_refused_on_record(
    shop: make.Shop, body: Part
) -> None:
    step = shop.step_of(body)
    assert step
    verdict = report(shop, step, by="planner", severity=Severity.STOP)
    assert verdict.refusal
    assert verdict.refusal.code == "floor.may_not"
    assert Event.objects.get(pk=verdict.seq).accepted is False
    assert (Defect.objects.count(), Hold.objects.count()) == (0, 0)


@pytest.mark.parametrize("decision", [Decision.USE_AS_IS, Decision.DOWNGRADE])
def test_what_may_go_on_is_freed_and_goes_on(
    shop: make.Shop, body: Part, decision: Decision
) -> None:
    step = shop.step_of(body)
    assert step
    defect = defect_of(shop, step, severity=Severity.STOP)
    made = settle(shop, defect, decision)
    assert (made.decision, made.by, made.reason) == (
        decision,
        shop.cast.qa,
        "looked at it",
    )
    assert (made.decided_at, made.event) == (shop.now, None)
    lift = Event.objects.latest("seq")
    assert (lift.kind, Hold.objects.get().lifted) == ("LIFT", lift)
    body.refresh_from_db()
    assert body.held_at is None
    shop.work(body)


def test_a_hold_that_somebody_lifted_is_left_alone(shop: make.Shop, body: Part) -> None:
    step = shop.step_of(body)
    assert step
    defect = defect_of(shop, step, severity=Severity.STOP)
    hold_id = str(hold_id_of(defect.event.event_id))
    assert shop.scan(Wish.LIFT, body, by="lead", hold=hold_id, reason="seen").accepted
    settle(shop, defect, Decision.USE_AS_IS)
    assert Event.objects.filter(kind="LIFT").count() == 1


def test_rework_goes_back_and_comes_again(shop: make.Shop) -> None:
    body = shop.part(shop.instrument())
    shop.work(body, until="Inspect body")
    step = shop.step_of(body)
    assert step
    shop.must(Wish.START, step)
    defect = defect_of(shop, step, kind="RUN", severity=Severity.STOP)
    made = settle(
        shop, defect, Decision.REWORK, from_operation_id=operation("Lacquer").pk
    )
    assert made.event
    assert made.event.data["defect"] == str(defect.event.event_id)
    step.refresh_from_db()
    assert step.state == "VOID"
    again = Step.objects.filter(part=body, turn=1).order_by("position")
    assert [each.operation.name for each in again] == [
        "Lacquer",
        "Cure",
        "Inspect body",
    ]
    assert [each.state for each in again] == ["READY", "WAITING", "WAITING"]
    shop.work(body)
    assert set(again.values_list("state", flat=True)) == {"DONE"}


def test_rework_of_a_part_that_is_all_done_opens_it_again(shop: make.Shop) -> None:
    body = shop.part(shop.instrument())
    shop.work(body)
    last = Step.objects.get(part=body, operation__name="Inspect body")
    defect = defect_of(shop, last, kind="RUN")
    settle(shop, defect, Decision.REWORK, from_operation_id=operation("Cure").pk)
    last.refresh_from_db()
    assert last.state == "DONE"
    now = shop.step_of(body)
    assert now
    assert (now.operation.name, now.turn, now.state) == ("Cure", 1, "READY")


def test_rework_of_rework_finds_room_each_time(shop: make.Shop, body: Part) -> None:
    for turn in range(1, 6):
        step = shop.step_of(body)
        assert step
        defect = defect_of(shop, step)
        made = settle(
            shop, defect, Decision.REWORK, from_operation_id=operation("Glue").pk
        )
        assert made.event
        again = Step.objects.filter(part=body, turn=turn).order_by("position")
        assert [each.operation.name for each in again] == ["Glue", "Machine"]
        shop.do(again[0])
    order = Step.objects.filter(part=body).exclude(state="VOID").order_by("position")
    names = [each.operation.name for each in order]
    assert names == [
        *("Saw", "Dry"),
        *["Glue"] * 6,
        *("Machine", "Lacquer", "Lacquer", "Lacquer", "Cure", "Inspect body"),
    ]


def test_rework_between_two_steps_of_a_rework_moves_the_rest_up(
    shop: make.Shop, body: Part
) -> None:
    """The steps of a rework lie close together; a second one needs room there."""
    step = shop.step_of(body)
    assert step
    back = operation("Dry").pk
    settle(shop, defect_of(shop, step), Decision.REWORK, from_operation_id=back)
    for _ in range(4):
        waiting = Step.objects.get(part=body, operation__name="Machine", turn=1)
        defect = defect_of(shop, waiting)
        settle(shop, defect, Decision.REWORK, from_operation_id=back)
    order = Step.objects.filter(part=body).exclude(state="VOID").order_by("position")
    assert [each.operation.name for each in order] == [
        *("Saw", "Dry", "Glue"),
        *("Dry", "Glue", "Machine"),
        *("Lacquer", "Lacquer", "Lacquer", "Cure", "Inspect body"),
    ]
    checked = audit.check_instrument(instrument_id=body.instrument_id)
    assert [str(each) for each in checked.differences] == []
    shop.work(body)


@pytest.mark.parametrize(
    ("name", "told"),
    [("Machine", "Machine"), ("Lacquer", "–"), ("Fret", "–"), (None, "–")],
)
def test_only_what_is_done_in_the_same_branch_is_a_way_back(
    shop: make.Shop, body: Part, name: str | None, told: str
) -> None:
    """The body stands before the cutter, which has not begun."""
    step = shop.step_of(body)
    assert step
    defect = defect_of(shop, step, severity=Severity.STOP)
    before = rows()
    back = operation(name).pk if name else None
    with pytest.raises(Refused) as refused:
        settle(shop, defect, Decision.REWORK, from_operation_id=back)
    assert refused.value.refusal.code == "quality.not_a_way_back"
    assert refused.value.refusal.words == {"operation": told}
    assert rows() == before


def test_work_that_has_begun_can_begin_again(shop: make.Shop, body: Part) -> None:
    step = shop.step_of(body)
    assert step
    shop.must(Wish.START, step)
    defect = defect_of(shop, step)
    back = operation("Machine").pk
    assert settle(shop, defect, Decision.REWORK, from_operation_id=back).event
    now = shop.step_of(body)
    assert now
    assert (now.operation.name, now.turn, now.state) == ("Machine", 1, "READY")


def test_scrap_takes_the_instrument_off_the_floor(shop: make.Shop, body: Part) -> None:
    step = shop.step_of(body)
    assert step
    defect = defect_of(shop, step, severity=Severity.STOP)
    made = settle(shop, defect, Decision.SCRAP)
    assert made.event
    instrument = Instrument.objects.get()
    assert (instrument.state, instrument.closed_at) == ("SCRAPPED", shop.now)
    assert not Step.objects.exclude(state__in=["DONE", "VOID"]).exists()
    assert not Hold.objects.filter(lifted=None).exists()
    assert not Part.objects.exclude(stage=None).exists()


def test_scrap_of_a_part_that_is_all_done_works_too(shop: make.Shop) -> None:
    body = shop.part(shop.instrument())
    shop.work(body)
    last = Step.objects.get(part=body, operation__name="Inspect body")
    made = settle(shop, defect_of(shop, last, kind="RUN"), Decision.SCRAP)
    assert made.event
    assert (made.event.part, made.event.step) == (body, last)
    last.refresh_from_db()
    assert last.state == "DONE"
    assert Instrument.objects.get().state == "SCRAPPED"


def test_of_two_defects_of_a_scrapped_part_both_can_be_decided(
    shop: make.Shop, body: Part
) -> None:
    step = shop.step_of(body)
    assert step
    first, second = (defect_of(shop, step, severity=Severity.STOP) for _ in range(2))
    settle(shop, first, Decision.SCRAP)
    settle(shop, second, Decision.USE_AS_IS)
    with pytest.raises(Refused) as refused:
        settle(shop, first, Decision.USE_AS_IS)
    assert refused.value.refusal.code == "quality.already_decided"


Change = Callable[[make.Shop, Defect], dict[str, Any]]


@pytest.mark.parametrize(
    ("code", "change"),
    [
        ("kit.not_your_role", lambda shop, _: {"by": shop.cast.lead}),
        ("kit.not_your_role", lambda shop, _: {"by": shop.cast.admin}),
        ("quality.reason_missing", lambda *_: {"reason": "  "}),
        ("kit.not_found", lambda *_: {"defect_id": 10**9}),
    ],
)
@pytest.mark.parametrize("decision", list(Decision))
def test_a_refused_decision_changes_nothing(
    shop: make.Shop, body: Part, code: str, change: Change, decision: Decision
) -> None:
    step = shop.step_of(body)
    assert step
    defect = defect_of(shop, step, severity=Severity.STOP)
    before = rows()
    told = {
        "defect_id": defect.pk,
        "by": shop.cast.qa,
        "reason": "looked at it",
        "from_operation_id": operation("Saw").pk,
    }
    with pytest.raises(Refused) as refused:
        decide(decision=decision, at=shop.now, **(told | change(shop, defect)))
    assert refused.value.refusal.code == code
    assert rows() == before


def test_a_second_decision_names_the_first(shop: make.Shop, body: Part) -> None:
    step = shop.step_of(body)
    assert step
    defect = defect_of(shop, step)
    first = settle(shop, defect, Decision.USE_AS_IS)
    before = rows()
    with pytest.raises(Refused) as refused:
        settle(shop, defect, Decision.SCRAP)
    assert refused.value.refusal.code == "quality.already_decided"
    assert refused.value.refusal.words == {
        "decided_at": first.decided_at.isoformat(),
        "person": "Qa Cast",
    }
    assert rows() == before


def test_rework_of_a_closed_instrument_is_refused_whole(
    shop: make.Shop, body: Part
) -> None:
    step = shop.step_of(body)
    assert step
    first, second = (defect_of(shop, step) for _ in range(2))
    settle(shop, first, Decision.SCRAP)
    before = rows()
    with pytest.raises(Refused) as refused:
        settle(shop, second, Decision.REWORK, from_operation_id=operation("Saw").pk)
    assert refused.value.refusal.code == "floor.closed"
    assert rows() == before
