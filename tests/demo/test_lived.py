"""Does the demo's workshop live as a workshop does, the same for the same seed?"""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from io import StringIO
from typing import Any

import pytest
from django.contrib.auth import authenticate
from django.core.management import CommandError, call_command
from django.db.models import Count, F, Q, QuerySet
from django.utils import timezone

from tests.drill.size import sized
from travelers.demo.actions import load_demo
from travelers.demo.queries import (
    delivery_number,
    plank_of_most_sets,
)
from travelers.demo.rules.planting import SHOWS, Bad, Cause
from travelers.demo.rules.sign_in import PASSWORD, SIGN_INS
from travelers.floor.models import Batch, Event, Hold, MaterialUse, Reading
from travelers.floor.queries import fullest_load, parts_cut
from travelers.kit.refusals import Refused
from travelers.lumber.models import Plank
from travelers.orders.models import Instrument, Part, Step, WorkOrder
from travelers.orders.rules import OPEN_STATES, InstrumentState, Look, StepState
from travelers.quality.models import Defect, Disposition, Verification
from travelers.routes.models import Caution, Characteristic, DefectKind, Operation
from travelers.routes.queries import released_route
from travelers.shop.models import Cutter, Person, Stage, Station

# A Wednesday on which the shop works, early in the afternoon there.
NOW = datetime(2026, 11, 18, 12, 40, tzinfo=UTC)
# What is counted, how many there are, and how many there must be at the least.
Counted = tuple[str, int, int]
# The demo as it is loaded, and in each run of the tests the last part of it.
WHOLE = 176
INSTRUMENTS = sized(72, WHOLE)
# What takes longer to come about than the last part lasts.
LATER = {"not decided", "bodies of the bad delivery that came apart"}


@pytest.fixture(autouse=True)
def _routes_are_read_afresh() -> Iterator[None]:
    """Forget the routes of another database, whose numbers come again here."""
    released_route.cache_clear()
    yield
    released_route.cache_clear()


@pytest.fixture
def tiny(db: None) -> None:
    load_demo(seed=3, instruments=1, now=NOW)


def say(name: str, *arguments: str) -> str:
    said = StringIO()
    call_command(name, *arguments, stdout=said)
    return said.getvalue()


@pytest.mark.django_db(transaction=True, reset_sequences=True)
def test_one_seed_gives_one_ledger_and_another_seed_another() -> None:
    told = []
    for seed in (11, 11, 12):
        load_demo(seed=seed, instruments=3, now=NOW)
        told.append(list(Event.objects.order_by("seq").values_list("seq", "digest")))
        assert "Rows and ledger agree" in say("check_ledger")
        call_command("flush", interactive=False, reset_sequences=True, verbosity=0)
        released_route.cache_clear()
    assert len(told[0]) > 100
    assert told[0] == told[1]
    assert told[0] != told[2]


def test_only_an_empty_database_takes_the_demo_in(tiny: None) -> None:
    events = Event.objects.count()
    with pytest.raises(Refused, match=r"demo\.not_empty"):
        load_demo(seed=3, instruments=1, now=NOW)
    with pytest.raises(CommandError, match="make demo"):
        say("load_demo")
    assert "loaded already" in say("load_demo", "--if-empty")
    assert Event.objects.count() == events


@pytest.mark.django_db
def test_the_command_loads_until_the_day_it_is_told() -> None:
    said = say("load_demo", "--instruments=1", "--until=2026-11-18", "--if-empty")
    assert said.startswith("Loaded 3 orders, 1 instruments and ")
    assert timezone.localdate(Event.objects.latest("seq").happened_at) == NOW.date()


@pytest.mark.django_db
def test_a_load_that_fails_leaves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(**_given: Any) -> None:
        raise RuntimeError("the lights went out")

    monkeypatch.setattr("travelers.demo.actions.loading.name_defects", fail)
    with pytest.raises(RuntimeError):
        load_demo(seed=3, instruments=3, now=NOW)
    assert Person.objects.count() == Plank.objects.count() == 0


def test_the_sign_ins_that_are_told_work(tiny: None) -> None:
    said = say("signins")
    assert PASSWORD in said
    for name in SIGN_INS:
        assert name in said
        assert authenticate(username=name, password=PASSWORD)


@pytest.mark.django_db
def test_no_sign_ins_are_told_where_the_demo_is_not_loaded() -> None:
    for name in SIGN_INS:
        Person.objects.create_user(name, password="somebody-else's")
    with pytest.raises(CommandError, match="does not hold the demo"):
        say("signins")


@pytest.mark.django_db
@pytest.mark.once
@pytest.mark.long
def test_the_whole_demo_shows_all_that_a_shop_shows() -> None:
    load_demo(seed=7, instruments=INSTRUMENTS, now=NOW)
    counted = [*what_is_there(), *what_is_going_on(), *what_went_wrong()]
    share = INSTRUMENTS / WHOLE
    few = [row for row in counted if row[1] < max(1, int(row[2] * share))]
    assert [row for row in few if share == 1 or row[0] not in LATER] == []
    assert "Rows and ledger agree" in say("check_ledger")


def kinds(rows: QuerySet[Any], column: str) -> int:
    return rows.values(column).distinct().count()


def what_is_there() -> list[Counted]:
    routes = Operation.objects.values("revision").annotate(
        branches=Count("branch", distinct=True), lines=Count("id")
    )
    waiting = WorkOrder.objects.filter(released_at=None)
    late = WorkOrder.objects.filter(instruments__state=InstrumentState.OPEN)
    return [
        ("people", Person.objects.count(), 30),
        ("planks", Plank.objects.count(), 60),
        ("defect kinds", DefectKind.objects.count(), 40),
        ("characteristics", kinds(Characteristic.objects.all(), "code"), 25),
        ("long routes", routes.filter(branches=4, lines__gte=45).count(), 2),
        ("stations", Station.objects.count(), 20),
        ("stages", Stage.objects.count(), 8),
        ("cautions", kinds(Caution.objects.all(), "operation"), 60),
        ("orders", WorkOrder.objects.count(), 20),
        ("batches", Batch.objects.count(), 15),
        ("cutters changed", Cutter.objects.exclude(taken_off_at=None).count(), 5),
        ("wait with wood", kinds(waiting.exclude(allotments=None), "id"), 1),
        ("wait without", waiting.filter(allotments=None).count(), 1),
        ("late", kinds(late.filter(due_on__lt=NOW.date()), "id"), 1),
        ("due later", WorkOrder.objects.filter(due_on__gt=NOW.date()).count(), 10),
    ]


def what_is_going_on() -> list[Counted]:
    parts = Part.objects.filter(stage__isnull=False)
    steps = Step.objects.filter(state__in=OPEN_STATES)
    looks = ((Look.WAITING, 100), (Look.IN_WORK, 3), (Look.DWELLING, 50))
    states = (
        (InstrumentState.OPEN, 150),
        (InstrumentState.FINISHED, 5),
        (InstrumentState.SCRAPPED, 1),
    )
    uses = MaterialUse.objects.all()
    lately = Event.objects.filter(happened_at__gt=NOW - timedelta(hours=1))
    return [
        *((str(s), parts.filter(stage=s).count(), 1) for s in Stage.objects.all()),
        *((look, parts.filter(look=look).count(), least) for look, least in looks),
        *((s, Instrument.objects.filter(state=s).count(), n) for s, n in states),
        ("parts held", parts.filter(look=Look.HELD).count(), 3),
        ("holds with a reason", Hold.objects.filter(lifted=None).count(), 3),
        ("parts of a batch", kinds(uses.exclude(batch=None), "event__part"), 100),
        ("pieces by number", uses.exclude(serial="").count(), 10),
        ("running", steps.filter(state=StepState.RUNNING).count(), 3),
        ("in rework", kinds(steps.filter(turn__gt=0), "part"), 3),
        ("busy stations", kinds(steps.filter(state=StepState.READY), "station"), 15),
        ("scans of the last hour", lately.count(), 10),
    ]


def what_went_wrong() -> list[Counted]:
    refused = Event.objects.filter(accepted=False)
    early = ("floor.too_soon", "floor.still_dwelling")
    measured = Reading.objects.filter(characteristic__kind="MEASURED")
    on_a_limit = Q(value=F("characteristic__upper")) | Q(
        value=F("characteristic__lower")
    )
    let_pass = Event.objects.filter(allowed_by__is_lead=True)
    return [
        ("scans", Event.objects.count(), 12_000),
        ("readings", Reading.objects.count(), 10_000),
        ("refused for reasons", kinds(refused, "refusal"), 8),
        ("at a wrong station", refused.filter(refusal="floor.not_here").count(), 5),
        ("too early", refused.filter(refusal__in=early).count(), 3),
        ("on a limit", measured.filter(on_a_limit).count(), 20),
        ("out of tolerance", Reading.objects.exclude(verdict="INSIDE").count(), 20),
        (
            "let pass by a lead",
            sum(
                "floor.out_of_tolerance" in data.get("passed", ())
                for data in let_pass.values_list("data", flat=True)
            ),
            3,
        ),
        ("came late", Event.objects.filter(came_late=True).count(), 10),
        ("defects", Defect.objects.count(), 50),
        (
            "bodies of the bad delivery that came apart",
            Defect.objects.filter(
                kind__code="OPEN_GLUE",
                part__plank_set__plank__delivery__number=delivery_number(
                    species="ALDER"
                ),
            ).count(),
            5,
        ),
        ("kinds of defects", kinds(Defect.objects.all(), "kind"), 20),
        ("not decided", Defect.objects.filter(disposition=None).count(), 1),
        ("reworks found good", Verification.objects.count(), 10),
        ("decisions", kinds(Disposition.objects.all(), "decision"), 5),
        ("parts made anew", Part.objects.exclude(instead_of=None).count(), 1),
    ]


def cut_by_the_first(head: str) -> set[int]:
    """Give the instruments whose parts met the cutter that ran first at a head."""
    cutters = Cutter.objects.filter(head=head).order_by("mounted_at")
    first = list(cutters.values_list("pk", flat=True)[:1])
    parts = {part for _, part in parts_cut(cutter_ids=first)}
    return set(Part.objects.filter(pk__in=parts).values_list("instrument", flat=True))


# Where all are struck that met it, the defects say who did.
@pytest.mark.django_db
@pytest.mark.once
@pytest.mark.parametrize("bad", [Bad.PLANK, Bad.LOAD, Bad.GLUE, Bad.CUTTER])
def test_what_is_bad_shows_in_what_met_it(bad: Bad) -> None:
    load_demo(seed=3, instruments=9, now=NOW, cause=Cause(bad, 1.0))
    code, operations = SHOWS[bad]
    found = Defect.objects.filter(kind__code=code, step__operation__name__in=operations)
    struck = set(found.values_list("step__instrument_id", flat=True))
    assert struck
    met = {
        Bad.DELIVERY: Q(parts__plank_set__plank__delivery__species__code="ALDER"),
        Bad.PLANK: Q(parts__plank_set__plank__number=plank_of_most_sets()),
        Bad.LOAD: Q(steps__stays__load=fullest_load(station="DRY-A")),
        Bad.GLUE: Q(events__uses__batch__number__startswith="BG-"),
        Bad.CUTTER: Q(pk__in=cut_by_the_first("outline")),
    }[bad]
    done = Instrument.objects.filter(
        steps__operation__name__in=operations, steps__state=StepState.DONE
    )
    assert struck <= set(Instrument.objects.filter(met).values_list("pk", flat=True))
    assert struck >= set(done.filter(met).values_list("pk", flat=True))


@pytest.mark.django_db
def test_a_share_of_defects_is_said_as_one() -> None:
    with pytest.raises(CommandError, match="--share"):
        say("load_demo", "--share=1.5")
