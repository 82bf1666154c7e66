"""Do tablets with outboxes, however they are answered, make of parts what they should?

Hypothesis draws what several tablets press, when what they keep is sent, which answers
are lost, and how wrong their clocks are.  All of it goes through the real door and is
held against a plain model (bench_model.py).
"""

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    precondition,
    rule,
    run_state_machine_as_test,
)

from tests import make
from tests.drill import ledger
from tests.drill.bench_model import Deed, PartModel, Pressed, Work
from tests.drill.size import sized
from tests.floor.story import code_of
from travelers.floor import queries
from travelers.floor.actions import Verdict, record
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.kit.refusals import Refused
from travelers.orders.models import Part, Step

pytestmark = [pytest.mark.django_db, pytest.mark.timeout(7200)]

RUNS, STEPS = sized(7, 600), 60
TABLETS = 4
# How wrong the clock of each tablet is, at most.
SKEW = timedelta(days=2)
DRY = timedelta(days=10)
# What the model knows of the route; a part is followed no further.
KNOWN = {"BODY": ("Saw", "Dry"), "NECK": ("Rough", "Fret"), "ELECTRONICS": ("Solder",)}

tablets, parts = st.integers(0, TABLETS - 1), st.integers(0, 5)


class Outboxes(RuleBasedStateMachine):
    """Several tablets, what each keeps unsent, and what it was told of the rest."""

    shop: make.Shop
    followed: list[Part]
    works: list[tuple[Work, ...]]

    def __init__(self) -> None:
        super().__init__()
        self.savepoint = transaction.savepoint()
        self.now = self.shop.now
        self.skews = [timedelta(0)] * TABLETS
        self.models = [
            PartModel(works, part.instrument.released_at)
            for works, part in zip(self.works, self.followed, strict=True)
        ]
        self.outboxes: list[list[Pressed]] = [[] for _ in range(TABLETS)]
        self.told: dict[UUID, tuple[Any, ...]] = {}
        self.expected: dict[UUID, str] = {}
        self.heard: list[Pressed] = []
        self.misused: set[UUID] = set()

    @rule(tablet=tablets, skew=st.timedeltas(-SKEW, SKEW))
    def set_clock(self, tablet: int, skew: timedelta) -> None:
        self.skews[tablet] = skew

    @rule(span=st.timedeltas(timedelta(seconds=1), timedelta(days=12)))
    def wait(self, span: timedelta) -> None:
        self.now += span

    @rule(tablet=tablets, part=parts, is_sent=st.booleans())
    def press(self, tablet: int, part: int, is_sent: bool) -> None:
        """Press what is due, as far as the server has heard; it may be kept."""
        number, deed = self.models[part].next_deed()
        self._keep(tablet, part, number, deed)
        if is_sent:
            self._send_all(tablet)

    @rule(tablet=tablets, part=parts, turns=st.integers(2, 7))
    def work_on(self, tablet: int, part: int, turns: int) -> None:
        """Bring a part on by the book, and wait for it where it has to lie."""
        for _ in range(turns):
            number, deed = self.models[part].next_deed()
            if deed is Deed.TAKE_OUT:
                self.now += DRY + 2 * SKEW
            self._keep(tablet, part, number, deed)
            self._send_all(tablet)

    @rule(
        tablet=tablets,
        part=parts,
        number=st.integers(0, 1),
        deed=st.sampled_from([deed for deed in Deed if deed is not Deed.LIFT]),
        elsewhere=st.sampled_from(["", "", "CUTTER"]),
    )
    def press_at_random(
        self, tablet: int, part: int, number: int, deed: Deed, elsewhere: str
    ) -> None:
        """Press whatever some old page may still show, perhaps at a wrong station."""
        works = self.works[part]
        number = min(number, len(works) - 1)
        if deed is Deed.READ and not works[number].checked:
            return  # no page shows a check that is not there
        self._keep(tablet, part, number, deed, elsewhere=elsewhere)

    # Undo goes here: once a press can be taken back, a rule that presses it for one of
    # self.heard, and in the model a Deed.UNDO that gives back what the part was before.

    @precondition(lambda self: self._holds())
    @rule(tablet=tablets, data=st.data())
    def lift(self, tablet: int, data: Any) -> None:
        """Lift a hold that was pressed, whether it has been sent or not."""
        hold = data.draw(st.sampled_from(self._holds()))
        self._keep(tablet, hold.part, hold.number, Deed.LIFT, hold=hold)

    @precondition(lambda self: any(self.outboxes))
    @rule(data=st.data(), times=st.integers(1, 3), is_lost=st.booleans())
    def send(self, data: Any, times: int, is_lost: bool) -> None:
        """Send the oldest press of a tablet; without an answer it stays the oldest."""
        full = [number for number, outbox in enumerate(self.outboxes) if outbox]
        outbox = self.outboxes[data.draw(st.sampled_from(full))]
        for _ in range(times):
            self._deliver(outbox[0])
        if not is_lost:
            outbox.pop(0)

    @precondition(lambda self: self.heard)
    @rule(data=st.data())
    def come_late(self, data: Any) -> None:
        """Let a copy of an old press, which the network kept, arrive at last."""
        self._deliver(data.draw(st.sampled_from(self.heard)))

    @precondition(lambda self: self.heard)
    @rule(data=st.data())
    def misuse_a_number(self, data: Any) -> None:
        """Send something else under the number of an old press: it changes nothing."""
        old = data.draw(st.sampled_from(self.heard))
        before = self._rows()
        with pytest.raises(Refused):
            self._send(old, reason="something else", wish=Wish.HOLD)
        self.misused.add(old.event_id)
        assert self._rows() == before

    def teardown(self) -> None:
        """Send what is still kept, and compare the ledger and the rows."""
        try:
            for tablet in range(TABLETS):
                self._send_all(tablet)
            self._compare()
        finally:
            transaction.savepoint_rollback(self.savepoint)

    def _compare(self) -> None:
        stored = {event.event_id: event for event in Event.objects.order_by("seq")}
        # Nothing is dropped and nothing doubled; a misused number left its own row.
        assert stored.keys() >= self.expected.keys()
        strange = [stored[key] for key in stored.keys() - self.expected.keys()]
        assert {event.refusal for event in strange} <= {"floor.other_content"}
        assert {UUID(event.data["first"]) for event in strange} == self.misused
        for event_id, refusal in self.expected.items():
            event = stored[event_id]
            assert (event.accepted, event.refusal) == (not refusal, refusal)
        for tablet in range(TABLETS):
            sent = [stored[p.event_id].seq for p in self.heard if p.tablet == tablet]
            assert sent == sorted(sent)
        assert self._states() == [
            [model.state_of(number) for number in range(len(model.works))]
            for model in self.models
        ]
        held = Part.objects.filter(held_at__isnull=False).values_list("pk", flat=True)
        assert set(held) == {
            part.pk
            for part, model in zip(self.followed, self.models, strict=True)
            if model.holds
        }
        assert ledger.differences() == []

    def _states(self) -> list[list[str]]:
        now = dict(Step.objects.values_list("pk", "state"))
        return [[now[work.step] for work in model.works] for model in self.models]

    def _rows(self) -> list[Any]:
        return [
            list(Step.objects.order_by("pk").values()),
            list(Part.objects.order_by("pk").values()),
        ]

    def _holds(self) -> list[Pressed]:
        kept = [pressed for outbox in self.outboxes for pressed in outbox]
        return [one for one in [*self.heard, *kept] if one.deed is Deed.HOLD]

    def _keep(
        self,
        tablet: int,
        part: int,
        number: int,
        deed: Deed,
        *,
        elsewhere: str = "",
        hold: Pressed | None = None,
    ) -> None:
        at = self.now + self.skews[tablet]
        station = elsewhere or self.works[part][number].station
        hold_id = hold.event_id if hold else None
        self.outboxes[tablet].append(
            Pressed(uuid4(), tablet, part, number, deed, station, at, hold_id)
        )

    def _send_all(self, tablet: int) -> None:
        while self.outboxes[tablet]:
            self._deliver(self.outboxes[tablet].pop(0))

    def _deliver(self, pressed: Pressed) -> None:
        """Send a press and compare its answer with the model's, or the one before."""
        is_first = pressed.event_id not in self.told
        if is_first:
            model = self.models[pressed.part]
            self.expected[pressed.event_id] = model.hear(pressed, self.now)
            self.heard.append(pressed)
        verdict = self._send(pressed)
        assert verdict.repeated is not is_first
        assert code_of(verdict) == self.expected[pressed.event_id], pressed
        words = verdict.refusal.words if verdict.refusal else {}
        told = (verdict.seq, verdict.accepted, dict(words), verdict.step_id)
        assert self.told.setdefault(pressed.event_id, told) == told

    def _send(self, pressed: Pressed, **said: Any) -> Verdict:
        work = self.works[pressed.part][pressed.number]
        by = "lead" if pressed.deed is Deed.LIFT else "joiner"
        return record(
            wish=said.pop("wish", Wish(pressed.deed)),
            code=self.followed[pressed.part].code,
            step_id=work.step,
            station=queries.find_place(code=pressed.station),
            person=self.shop.cast.people[by],
            event_id=pressed.event_id,
            at=pressed.at,
            heard_at=self.now,
            data=said or self._said(pressed),
        )

    def _said(self, pressed: Pressed) -> dict[str, Any]:
        if pressed.deed is Deed.HOLD:
            return {"reason": "knot", "only_part": True}
        if pressed.deed is Deed.LIFT:
            return {"hold": str(pressed.hold), "reason": "seen"}
        if pressed.deed is Deed.READ:
            step = Step.objects.get(pk=self.works[pressed.part][pressed.number].step)
            return {"readings": readings(self.shop, step)}
        return {}


def readings(shop: make.Shop, step: Step) -> list[dict[str, Any]]:
    """Read each place of a step's only check as it should be."""
    check = step.operation.characteristics.get()
    gauge = shop.cast.gauges["meter"].pk if check.gauge_kind else None
    told = {"check": check.pk, "value": str(check.nominal), "gauge": gauge}
    return [{**told, "place": place} for place in range(1, check.places + 1)]


def works_of(part: Part) -> tuple[Work, ...]:
    steps = Step.objects.filter(part=part, operation__name__in=KNOWN[part.branch])
    return tuple(
        Work(
            step.operation.name,
            step.station.code,
            step.pk,
            DRY if step.operation.name == "Dry" else None,
            step.operation.name in ("Dry", "Fret"),
        )
        for step in steps.select_related("operation", "station").order_by("position")
    )


@pytest.fixture
def outboxes() -> Callable[[], Outboxes]:
    """Give a machine for two new instruments, which each run takes back."""
    shop = make.shop()
    shop.instruments(2)
    shop.cast.gauges["meter"].due_on = shop.now.date() + timedelta(days=5000)
    shop.cast.gauges["meter"].save()
    parts = list(Part.objects.filter(branch__in=KNOWN).order_by("pk"))
    told = {"shop": shop, "followed": parts, "works": [works_of(p) for p in parts]}
    return type("Outboxes", (Outboxes,), told)


@pytest.mark.proof("R19")
def test_r19_in_whatever_order_presses_are_sent_they_have_one_effect(
    outboxes: Callable[[], Outboxes],
) -> None:
    """R19: duplicates, lost answers, tablets out of step, clocks two days wrong."""
    run_state_machine_as_test(  # type: ignore[no-untyped-call]
        outboxes,
        settings=settings(
            max_examples=RUNS,
            stateful_step_count=STEPS,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
