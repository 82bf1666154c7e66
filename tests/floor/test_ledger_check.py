"""Does check_ledger agree with honest rows, and find and name every other?"""

import json
import random
from collections.abc import Iterator
from datetime import timedelta
from io import StringIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, models, transaction

from tests.floor import story
from tests.floor.damage import COLUMNS, damage, delete, found, serial_of, update
from travelers.floor.models import Event, Hold, MaterialUse, Reading
from travelers.floor.queries import audit
from travelers.floor.rules.digest import digest_of
from travelers.orders.actions import exchange_parts
from travelers.orders.models import Instrument, Step

pytestmark = pytest.mark.django_db

SEED = 20260310
MORE = 12
EVERY = [(model, name) for model, names in COLUMNS.items() for name in names]


def mutations() -> list[tuple[int, type[models.Model], str]]:
    """Draw each column once and a few of them again, each with its own seed."""
    chance = random.Random(SEED)
    drawn = [*EVERY, *chance.choices(EVERY, k=MORE)]
    return [(chance.randrange(10**9), model, name) for model, name in drawn]


@pytest.fixture(scope="module")
def told(django_db_setup: None, django_db_blocker: Any) -> Iterator[story.Story]:
    """Tell the story once; each test takes back what it damaged."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield story.tell()
        transaction.set_rollback(True)


@pytest.fixture(autouse=True)
def _taken_back(told: story.Story) -> Iterator[None]:
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


# Under which name a changed column is found, where not under its own.
FOUND_AS = {
    Step: {
        "instrument": {"copy of the route"},
        "part": {"copy of the route"},
        "operation": {"copy of the route", "rework"},
        "repeat": {"copy of the route", "rework"},
        "turn": {"turns"},
    },
    Reading: {
        "event": {"event"}, "characteristic": {"event"}, "place": {"event"},
    },
    Hold: {"event": {"event"}, "instrument": {"event"}},
    MaterialUse: {name: {"event"} for name in ("event", "need", "serial")},
    Event: {name: {"digest"} for name in COLUMNS[Event]},
}  # fmt: skip


@pytest.mark.parametrize(
    ("seed", "model", "name"),
    mutations(),
    ids=lambda value: getattr(value, "__name__", str(value)),
)
def test_one_changed_column_is_found_and_named(
    told: story.Story, seed: int, model: type[models.Model], name: str
) -> None:
    row, done = damage(seed, model, name)
    differences = found()
    assert differences, f"{model.__name__} {row.pk}: {done}"
    field = model._meta.get_field(name)
    names = FOUND_AS.get(model, {}).get(name, {field.attname, field.name})  # type: ignore[union-attr]
    assert names & {each.field for each in differences}, [str(e) for e in differences]
    # Where it was, or where it is now.
    owners = {serial_of(row), serial_of(model._default_manager.get(pk=row.pk))}
    assert owners & {each.where for each in differences}
    if model is Event:
        assert row.seq in {each.seq for each in differences}
    if model is Step and name not in ("instrument", "part", "operation", "repeat"):
        assert any(str(row.pk) in each.what + each.row for each in differences)


def test_most_of_the_columns_there_are_are_tried() -> None:
    """Left out is only what neither ledger nor route can know."""
    untried = {
        f"{model.__name__}.{field.name}"
        for model, names in COLUMNS.items()
        for field in model._meta.concrete_fields
        if field.name not in names
    }
    assert untried == {
        *("Step.id", "Step.position", "Part.id", "Instrument.id", "Reading.id"),
        *("Hold.id", "MaterialUse.id", "Event.seq", "Event.accepted"),
        *("Part.instrument", "Part.branch", "Part.code", "Part.plank_set"),
        *("Instrument.serial", "Instrument.order", "Instrument.revision"),
        *("Instrument.position", "Instrument.released_at"),
    }
    assert len(mutations()) >= 60


def test_after_the_story_rows_and_ledger_agree(told: story.Story) -> None:
    assert found() == []
    out = StringIO()
    call_command("check_ledger", stdout=out)
    said = out.getvalue().splitlines()
    instruments, events = Instrument.objects.count(), Event.objects.count()
    assert said[0].startswith(f"{instruments} instruments, {events} events; ends in ")
    assert said[1:] == ["Rows and ledger agree."]
    kinds = set(Event.objects.values_list("kind", flat=True))
    assert len(kinds) == 17, f"the story tells of {kinds} only"


def test_a_difference_makes_the_command_fail_and_say_where(told: story.Story) -> None:
    step = Step.objects.filter(state="DONE", started_at__isnull=False)[0]
    update(step, "started_at", None)
    out = StringIO()
    with pytest.raises(CommandError, match="1 difference between") as failed:
        call_command("check_ledger", stdout=out)
    assert failed.value.returncode == 1
    serial = step.instrument.serial
    line = out.getvalue().splitlines()[0]
    assert line.startswith(f"{serial}, step {step.pk} {step.part.branch} ")
    assert "started_at: row nothing, ledger 2026-" in line
    seq = Event.objects.filter(step=step, accepted=True).latest("seq").seq
    assert line.endswith(f"(event {seq})")
    other = Instrument.objects.exclude(serial=serial)[0].serial
    call_command("check_ledger", other, stdout=StringIO())
    with pytest.raises(CommandError):
        call_command("check_ledger", serial, stdout=StringIO())


def chain(told: story.Story) -> list[Event]:
    return list(Event.objects.filter(instrument=told.finished).order_by("seq"))


@pytest.mark.parametrize("place", [0, 1, 7, -2])
def test_an_event_that_was_taken_out_is_found(told: story.Story, place: int) -> None:
    events = chain(told)
    gone, after = events[place], events[events.index(events[place]) + 1]
    for reading in Reading.objects.filter(event=gone):
        delete(reading)
    delete(gone)
    cut = [each for each in found() if each.field == "previous digest"]
    assert [(each.where, each.seq, each.row) for each in cut] == [
        (told.finished.serial, after.seq, gone.digest)
    ]


def test_a_last_event_that_moved_something_is_missed(told: story.Story) -> None:
    """The chain cannot miss its last link, but the rows do."""
    delete(chain(told)[-1])
    fields = {(each.where, each.field) for each in found()}
    serial = told.finished.serial
    assert fields == {
        *((serial, name) for name in ("state", "closed_at", "finished_at")),
        *((serial, name) for name in ("stage_id", "look", "since")),
    }


def test_the_end_that_is_printed_changes_with_the_last_event(
    told: story.Story,
) -> None:
    """Whoever writes the end down can tell later that nothing was cut off."""
    before, after = StringIO(), StringIO()
    call_command("check_ledger", told.halfway.serial, stdout=before)
    neck = told.shop.part(told.halfway, "NECK")
    assert not told.shop.scan(story.Wish.START, neck).accepted
    call_command("check_ledger", told.halfway.serial, stdout=after)
    assert before.getvalue() != after.getvalue()


def printed(tmp_path: Path, *serials: str) -> Path:
    """Write the heads into a file, as somebody who keeps them elsewhere."""
    out = StringIO()
    call_command("check_ledger", *serials, heads=True, stdout=out)
    path = tmp_path / "heads"
    path.write_text(out.getvalue())
    return path


def test_a_cut_end_is_found_by_the_head_that_was_printed(
    told: story.Story, tmp_path: Path
) -> None:
    """The last event was refused and moved nothing, so that no row misses it."""
    neck = told.shop.part(told.halfway, "NECK")
    assert not told.shop.scan(story.Wish.START, neck).accepted
    heads = printed(tmp_path)
    call_command("check_ledger", against=heads, stdout=StringIO())
    last = Event.objects.filter(instrument=told.halfway).latest("seq")
    delete(last)
    call_command("check_ledger", stdout=StringIO())
    out = StringIO()
    with pytest.raises(CommandError, match="1 difference"):
        call_command("check_ledger", against=heads, stdout=out)
    assert out.getvalue().startswith(f"{told.halfway.serial}, chain, head: row ")
    assert f"(event {last.seq})" in out.getvalue()


def test_work_that_went_on_does_not_trouble_an_old_head(
    told: story.Story, tmp_path: Path
) -> None:
    heads = printed(tmp_path)
    assert len(heads.read_text().splitlines()) == Instrument.objects.count() + 1
    neck = told.shop.part(told.halfway, "NECK")
    told.shop.scan(story.Wish.START, neck)
    told.shop.scan(story.Wish.START, "P0000000", at="SAW")
    call_command("check_ledger", against=heads, stdout=StringIO())


def test_a_file_that_is_no_heads_is_said(told: story.Story, tmp_path: Path) -> None:
    path = tmp_path / "heads"
    with pytest.raises(CommandError, match="heads"):
        call_command("check_ledger", against=path, stdout=StringIO())
    path.write_text("W00001 last week\n")
    with pytest.raises(CommandError, match="“W00001 last week” is not a line"):
        call_command("check_ledger", against=path, stdout=StringIO())


def test_two_events_that_changed_places_are_found(told: story.Story) -> None:
    events = chain(told)
    index = next(
        i
        for i, (one, next_one) in enumerate(pairwise(events))
        if not {one.kind, next_one.kind} & {"READ", "HOLD", "LIFT", "DEFECT", "REWORK"}
    )
    one, other = events[index : index + 2]
    spare = 10**9
    update(one, "seq", spare)
    update(other, "seq", one.seq)
    one.seq = spare
    update(one, "seq", other.seq)
    wrong = [each.seq for each in found() if each.field == "previous digest"]
    assert {events[index].digest} < {event.digest for event in chain(told)}
    assert len(wrong) >= 2


def test_an_event_that_was_forged_with_its_digest_cuts_the_chain(
    told: story.Story,
) -> None:
    """Whoever changes one event and its digest has to forge all that follow."""
    forged, after = chain(told)[3:5]
    forged.happened_at += timedelta(hours=1)
    update(
        forged,
        "happened_at",
        Event._meta.get_field("happened_at").get_db_prep_save(  # type: ignore[union-attr]
            forged.happened_at, connection
        ),
    )
    update(forged, "digest", digest_of(forged))
    cut = [each.seq for each in found() if each.field == "previous digest"]
    assert cut == [after.seq]


@pytest.mark.parametrize("turn", [0, 1])
def test_a_step_that_was_taken_out_is_found(told: story.Story, turn: int) -> None:
    step = Step.objects.filter(instrument=told.finished, turn=turn).order_by("pk")[2]
    delete(step)
    fields = {each.field for each in found()}
    assert fields & {"copy of the route", "rework"}


@pytest.mark.parametrize("column", ["operation_id", "repeat"])
def test_a_changed_step_of_a_rework_is_found(told: story.Story, column: str) -> None:
    """Its operation stands in the event that added it, and it comes once."""
    step = Step.objects.filter(instrument=told.finished, turn=1).order_by("pk")[0]
    others = Step.objects.filter(station=step.station, part__branch="BODY")
    operation = others.exclude(operation=step.operation)[0].operation_id
    update(step, column, {"operation_id": operation, "repeat": 3}[column])
    assert [(each.field, each.what) for each in found()] == [
        ("rework", f"step {step.pk}")
    ]


def test_a_step_too_many_is_found(told: story.Story) -> None:
    step = Step.objects.filter(instrument=told.halfway, state="WAITING")[0]
    Step.objects.create(
        instrument=step.instrument,
        part=step.part,
        operation=step.operation,
        position=step.position + 1,
        stage=step.stage,
        station=step.station,
    )
    assert {each.field for each in found()} == {"turns"}


def test_steps_that_changed_places_are_found(told: story.Story) -> None:
    body = told.shop.part(told.halfway)
    one, other = Step.objects.filter(part=body, state="WAITING").order_by("pk")[:2]
    update(one, "position", 10**6)
    assert {each.field for each in found()} == {"order of steps"}
    update(one, "position", one.position)
    assert found() == []
    assert one.position < other.position


@pytest.mark.parametrize("model", [Reading, Hold])
def test_a_reading_or_hold_that_was_taken_out_is_found(
    told: story.Story, model: type[Reading] | type[Hold]
) -> None:
    row = model.objects.order_by("pk")[1]
    seq, serial = row.event_id, serial_of(row)
    delete(row)
    assert [(each.where, each.row, each.seq) for each in found()] == [
        (serial, "no row", seq)
    ]


def test_one_too_many_is_found(told: story.Story) -> None:
    refused = Event.objects.filter(instrument=told.finished, accepted=False)[0]
    told_of = {"event": refused, "instrument": told.finished, "reason": "none"}
    Hold.objects.create(**told_of)
    assert [(each.row, each.ledger, each.seq) for each in found()] == [
        ("a row", "nothing", refused.seq)
    ]


def test_a_damaged_event_of_an_unknown_code_is_found(told: story.Story) -> None:
    event = Event.objects.filter(instrument=None).order_by("seq")[1]
    update(event, "code", "P0000001")
    assert [(each.where, each.field, each.seq) for each in found()] == [
        ("unknown code", "digest", event.seq)
    ]
    with pytest.raises(CommandError, match="1 difference"):
        call_command("check_ledger", stdout=StringIO())


def test_an_instrument_costs_few_queries(
    told: story.Story, django_assert_max_num_queries: Any
) -> None:
    # The route is read once for all instruments of a revision, and kept.
    audit.check_instrument(instrument_id=told.finished.pk)
    # A swap costs a look at the other instrument.
    for instrument, most in ((told.finished, 10), (told.halfway, 20)):
        with django_assert_max_num_queries(most):
            audit.check_instrument(instrument_id=instrument.pk)


def swaps(told: story.Story) -> tuple[Event, Event]:
    """Give the two events of the swap: of the scrapped one and of the one halfway."""
    mine, theirs = Event.objects.filter(kind="SWAP").order_by("seq")
    assert (mine.instrument, theirs.instrument) == (told.scrapped, told.halfway)
    return mine, theirs


def forge(event: Event, data: dict[str, Any]) -> None:
    """Change what an event says, with its digest and those of all that follow it."""
    update(event, "data", json.dumps(data))
    before = event.previous_digest
    later = Event.objects.filter(instrument=event.instrument, seq__gte=event.seq)
    for one in later.order_by("seq"):
        one.previous_digest = before
        update(one, "previous_digest", before)
        before = digest_of(one)
        update(one, "digest", before)


@pytest.mark.parametrize(
    ("path", "value", "field"),
    [
        (("incoming", "steps", 0, "state"), "READY", "state"),
        (("incoming", "steps", 0, "finished_at"), None, "finished_at"),
        (("incoming", "since"), "2026-01-01T00:00:00+00:00", "since"),
        (("incoming", "holds"), [], "holds"),
        (("incoming", "code"), "P0000000", "code"),
    ],
)
def test_a_part_that_comes_otherwise_than_it_left_is_found(
    told: story.Story, path: tuple[Any, ...], value: Any, field: str
) -> None:
    """Although the forged ledger hangs together and only the other one knows."""
    mine, theirs = swaps(told)
    data = json.loads(json.dumps(theirs.data))
    place = data
    for key in path[:-1]:
        place = place[key]
    place[path[-1]] = value
    forge(theirs, data)
    wrong = [each for each in found() if each.what.startswith("part ")]
    assert [each.seq for each in wrong if field in each.field] == [theirs.seq]
    assert {each.where for each in wrong} == {told.halfway.serial}
    assert any("of event SWAP" in each.what for each in wrong)
    assert mine.instrument


def test_a_swap_whose_twin_is_gone_is_found_in_the_other_ledger(
    told: story.Story,
) -> None:
    mine, theirs = swaps(told)
    later = Event.objects.filter(instrument=told.scrapped, seq__gt=mine.seq)
    for event in [*later.order_by("-seq"), mine]:
        for reading in Reading.objects.filter(event=event):
            delete(reading)
        delete(event)
    wrong = [each for each in found() if each.field == "twin"]
    assert [(each.where, each.row, each.ledger, each.seq) for each in wrong] == [
        (told.halfway.serial, "no row", str(mine.event_id), theirs.seq)
    ]


@pytest.mark.parametrize(
    ("path", "field"),
    [
        (("other", "event"), "event"),
        (("other", "instrument"), "its instrument"),
        (("outgoing", "part"), "outgoing"),
    ],
)
def test_twins_that_do_not_name_each_other_are_found(
    told: story.Story, path: tuple[str, str], field: str
) -> None:
    mine, theirs = swaps(told)
    data = json.loads(json.dumps(theirs.data))
    data[path[0]][path[1]] = "nobody" if path[1] == "event" else 10**6
    forge(theirs, data)
    wrong = [each for each in found() if each.field == field]
    assert [(each.where, each.seq) for each in wrong] == [
        (told.scrapped.serial, mine.seq)
    ]


def test_parts_that_changed_places_by_no_swap_are_found(told: story.Story) -> None:
    """Back in the old instruments by the rows alone, with all their steps."""
    necks = [told.shop.part(one, "NECK") for one in (told.scrapped, told.halfway)]
    exchange_parts(one_id=necks[0].pk, other_id=necks[1].pk)
    wrong = {(each.where, each.what, each.field): each.seq for each in found()}
    mine, theirs = swaps(told)
    assert wrong == {
        (told.scrapped.serial, "parts", "instrument"): mine.seq,
        (told.halfway.serial, "parts", "instrument"): theirs.seq,
    }


def test_a_swap_that_tells_of_a_step_that_is_not_there_is_found(
    told: story.Story,
) -> None:
    _, theirs = swaps(told)
    data = json.loads(json.dumps(theirs.data))
    data["incoming"]["steps"][0]["id"] = 10**6
    forge(theirs, data)
    wrong = [each for each in found() if each.field == "instrument"]
    assert [(each.where, each.seq) for each in wrong] == [
        (told.halfway.serial, theirs.seq)
    ]
