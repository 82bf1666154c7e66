"""Is the floor that the forecast lives through the floor as it stands?

Each number is recomputed from the ledger, the route or the clock by another way.
"""

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest

from tests import make
from tests.desk import released
from travelers.floor.models import Event
from travelers.floor.queries.losses import Loss
from travelers.floor.rules import Wish
from travelers.formulas.forecast import At, Job, Line, fixed, simulate
from travelers.orders.models import Step
from travelers.planning.queries.forecast import AS_IT_IS, Changes, FloorNow, floor_now
from travelers.planning.queries.forecast.seen import ENOUGH, FEW, Losses, _Lost
from travelers.planning.queries.forecast.steps import Steps
from travelers.planning.queries.forecast.waits import Waits
from travelers.shop.models import ClosedDay

pytestmark = pytest.mark.django_db
ZONE = ZoneInfo("Europe/Berlin")
HOUR, DAY = 3600, 86_400


def read(shop: make.Shop, changes: Changes = AS_IT_IS) -> FloorNow:
    return floor_now(at=shop.now, zone=ZONE, changes=changes)


def job(line: Line, branch: str, number: int = 0) -> Job:
    (found,) = [one for one in line.jobs if one.name.endswith(f" {branch} {number}")]
    return found


def test_a_fresh_instrument_is_cut_where_it_is_joined(shop: make.Shop) -> None:
    (one,) = released(shop, 1)
    line = read(shop).line
    serial = one.serial
    assert {j.name: j.joins for j in line.jobs} == {
        f"{serial} BODY 0": (),
        f"{serial} NECK 0": (),
        f"{serial} ELECTRONICS 0": (),
        f"{serial} ASSEMBLY 1": (f"{serial} BODY 0", f"{serial} NECK 0"),
        f"{serial} ASSEMBLY 2": (f"{serial} ASSEMBLY 1", f"{serial} ELECTRONICS 0"),
    }


def test_steps_say_what_the_route_says_until_enough_was_seen(shop: make.Shop) -> None:
    released(shop, 1)
    steps = job(read(shop).line, "BODY").steps
    # Saw, dry 10 d, glue 3 h, machine, three coats with two gaps of 4 h, cure, inspect.
    told = [(s.station, s.work.mean_s, s.dwell.mean_s) for s in steps]
    assert told == [
        ("SAW", 600, 0),
        ("ROOM", 0, 10 * DAY),
        ("CLAMPS", 600, 3 * HOUR),
        ("CUTTER", 600, 0),
        ("BOOTH", 600, 0),
        (None, 0, 4 * HOUR),
        ("BOOTH", 600, 0),
        (None, 0, 4 * HOUR),
        ("BOOTH", 600, 0),
        ("RACK", 0, 20 * DAY),
        ("BOOTH", 600, 0),
    ]


def test_a_part_stands_where_the_ledger_left_it(shop: make.Shop) -> None:
    (one,) = released(shop, 1)
    shop.work(shop.part(one), until="Dry")
    step = shop.step_of(shop.part(one))
    assert step is not None
    shop.must(Wish.LOAD, step)
    shop.later(days=2, hours=3)
    loaded = Event.objects.get(kind=Wish.LOAD, accepted=True).happened_at
    body = job(read(shop).line, "BODY")
    assert body.steps[body.done].station == "ROOM"
    assert body.at is At.DWELLING
    assert body.spent_s == (shop.now - loaded).total_seconds() == 51 * HOUR


@pytest.mark.parametrize("until", ["Dry", "Lacquer"])
def test_what_is_pressed_while_the_floor_is_read_has_just_begun(
    shop: make.Shop, until: str
) -> None:
    """A page asks for the floor of a moment ago; the ledger may know more by then."""
    body = shop.part(released(shop, 1)[0])
    shop.work(body, until=until)
    step = shop.step_of(body)
    assert step is not None
    if until == "Dry":
        shop.must(Wish.LOAD, step)
    else:
        shop.do(step)
    before = shop.now - timedelta(minutes=1)
    found = job(floor_now(at=before, zone=ZONE).line, "BODY")
    assert (found.at, found.spent_s) == (At.DWELLING, 0)


def test_work_begun_counts_open_hours_alone(shop: make.Shop) -> None:
    (one,) = released(shop, 1)
    step = shop.step_of(shop.part(one, "NECK"))
    assert step is not None
    # A Tuesday, 9:30 by the wall; the shift is from 6:30 to 15:00.
    shop.must(Wish.START, step)
    shop.later(hours=24)
    neck = job(read(shop).line, "NECK")
    assert (neck.at, neck.spent_s) == (At.WORKING, 8.5 * HOUR)


def test_between_two_coats_a_part_rests(shop: make.Shop) -> None:
    (one,) = released(shop, 1)
    shop.work(shop.part(one), until="Lacquer")
    step = shop.step_of(shop.part(one))
    assert step is not None
    shop.do(step)
    shop.later(hours=1)
    body = job(read(shop).line, "BODY")
    assert body.at is At.DWELLING
    assert body.steps[body.done].station is None
    assert body.steps[body.done].dwell == fixed(4 * HOUR)
    assert body.spent_s == HOUR


def test_what_is_joined_begins_when_its_mates_are_done(shop: make.Shop) -> None:
    (one,) = released(shop, 1)
    for branch in ("BODY", "NECK"):
        shop.work(shop.part(one, branch))
    line = read(shop).line
    names = {j.name.partition(" ")[2]: j.joins for j in line.jobs}
    assert names == {
        "ELECTRONICS 0": (),
        "ASSEMBLY 1": (),
        "ASSEMBLY 2": (f"{one.serial} ASSEMBLY 1", f"{one.serial} ELECTRONICS 0"),
    }


def test_a_held_part_waits_first(shop: make.Shop) -> None:
    (one,) = released(shop, 1)
    shop.scan(Wish.HOLD, shop.part(one), by="qa", at="SAW", reason="x", only_part=True)
    shop.later(hours=5)
    line = read(shop).line
    body, neck = job(line, "BODY"), job(line, "NECK")
    wait = body.steps[body.done]
    assert (wait.station, wait.dwell) == (None, fixed(2 * DAY))
    assert neck.steps[neck.done].station == "SAW"


def test_times_are_those_seen_once_there_are_enough(shop: make.Shop) -> None:
    made = released(shop, ENOUGH + 1)
    for minutes, one in enumerate(made[:ENOUGH], start=1):
        step = shop.step_of(shop.part(one, "ELECTRONICS"))
        assert step is not None
        shop.must(Wish.START, step)
        shop.later(minutes=minutes)
        shop.must(Wish.FINISH, step)
        shop.later(minutes=1)
    floor = read(shop)
    last = next(
        j for j in floor.line.jobs if j.name == f"{made[-1].serial} ELECTRONICS 0"
    )
    work = last.steps[-1].work
    took = sorted(
        (end.happened_at - start.happened_at).total_seconds()
        for end in Event.objects.filter(kind=Wish.FINISH, accepted=True)
        for start in Event.objects.filter(kind=Wish.START, accepted=True, step=end.step)
    )
    assert list(work.values) == took == [60.0 * n for n in range(1, ENOUGH + 1)]


def test_waiting_beside_a_free_place_is_told_from_waiting_for_one(
    shop: make.Shop,
) -> None:
    """Four parts at one bench of three places: only the fourth waits for a place."""
    made = released(shop, 4)
    bench = shop.cast.stations["BENCH"]
    shop.later(hours=1)
    steps = [shop.step_of(shop.part(one, "ELECTRONICS")) for one in made]
    for step in steps[:3]:
        shop.must(Wish.START, step)
    shop.later(hours=2)
    shop.must(Wish.FINISH, steps[0])
    shop.later(minutes=30)
    shop.must(Wish.START, steps[3])
    for step in steps[1:]:
        shop.must(Wish.FINISH, step)
    waits = read(shop).seen.waits[bench.pk]
    # Each waited the first hour beside free places; the fourth half an hour more.
    assert sorted(waits.free) == [HOUR, HOUR, HOUR, 1.5 * HOUR]
    assert waits.whole_s == 3 * HOUR + 3.5 * HOUR


def test_losses_are_summed_in_one_order() -> None:
    """Sums in another order differ in their last digit, and so would the digest."""
    keys = {n: (1, "BODY", n) for n in range(40)}
    lost = Loss(1, True, (), False, None, None, make.MORNING)
    rows = tuple((key, lost) for key in reversed(keys.values()))
    assert [*_Lost(rows, keys).shares(Counter())] == sorted(keys.values())


def test_losses_are_those_of_the_ledger(shop: make.Shop) -> None:
    made = released(shop, ENOUGH)
    for one in made:
        step = shop.step_of(shop.part(one, "ELECTRONICS"))
        shop.do(step)
    operation = Step.objects.filter(operation__name="Solder").first()
    assert operation is not None
    shop.scan(
        Wish.SCRAP,
        shop.part(made[0], "ELECTRONICS"),
        step=Step.objects.get(instrument=made[0], operation__name="Solder"),
        by="qa",
        reason="burnt",
    )
    assert Event.objects.filter(kind=Wish.SCRAP, accepted=True).count() == 1
    floor = read(shop)
    key = (shop.model.pk, "ELECTRONICS", 10)
    assert floor.seen.losses_of(key).scrap == 1 / ENOUGH
    assert made[0].serial not in {one.name for one in floor.line.instruments}


def test_what_was_sent_back_is_done_again_and_counted(shop: make.Shop) -> None:
    made = released(shop, ENOUGH)
    for one in made:
        shop.do(shop.step_of(shop.part(one, "ELECTRONICS")))
    soldered = Step.objects.get(instrument=made[0], operation__name="Solder")
    sent = shop.scan(
        Wish.REWORK,
        soldered.part,
        step=soldered,
        by="qa",
        operations=[soldered.operation_id],
        reason="cold joint",
    )
    assert sent.accepted, sent.refusal
    floor = read(shop)
    key = (shop.model.pk, "ELECTRONICS", 10)
    told = floor.seen.losses_of(key)
    assert (told.rework, told.scrap, told.back_to) == (
        1 / ENOUGH,
        0,
        ((10, 1 / ENOUGH),),
    )
    again = next(
        j for j in floor.line.jobs if j.name == f"{made[0].serial} ELECTRONICS 0"
    )
    # Waited for, soldered; waited for, soldered once more.
    assert [s.station for s in again.steps] == ["BENCH beside", "BENCH"] * 2
    assert (again.at, again.done) == (At.WORKING, 2)
    assert again.steps[-1].rework == 1 / ENOUGH
    assert again.steps[-1].back_to == 2


def test_rework_goes_to_each_operation_as_often_as_it_was_seen_to(
    shop: make.Shop,
) -> None:
    """Of ten inspected, two went back to the lacquer and one was inspected again."""
    released(shop, 1)
    floor = read(shop)
    (one,) = floor.built
    chunk = next(chunk for chunk in one.chunks if chunk.branch == "BODY")
    lacquer = next(row.line for row in chunk.rows if row.line.times == 3)
    inspect = chunk.rows[-1].line
    key = (shop.model.pk, "BODY", inspect.number)
    ways = ((lacquer.number, 0.2), (inspect.number, 0.1))
    seen = replace(
        floor.seen,
        through=Counter({key: ENOUGH}),
        losses={key: Losses(0.3, 0.0, ways)},
    )
    made, laid = Steps(seen, frozenset(), {}, shop.now).of(chunk, one)
    coats = [own.start for own in laid if own.number == lacquer.number]
    assert len(coats) == 3
    looked, back = made[laid[-1].main], made[laid[-1].main + 1]
    # Of several coats one is done again; of the eight left one is an eighth.
    assert (looked.rework, looked.back_to) == (0.2, coats[-1])
    assert (back.station, back.work.mean_s, back.dwell.mean_s) == (None, 0, 0)
    assert back.rework == pytest.approx(0.125)
    assert back.back_to == laid[-1].start
    assert len(made) == laid[-1].end == laid[-1].main + 2


def test_what_was_left_for_a_decision_came_and_took_its_time(shop: make.Shop) -> None:
    """Ten were soldered; an eleventh was sent back after five hours at the bench."""
    made = released(shop, ENOUGH + 1)
    for one in made[:ENOUGH]:
        shop.do(shop.step_of(shop.part(one, "ELECTRONICS")))
    step = shop.step_of(shop.part(made[-1], "ELECTRONICS"))
    assert step is not None
    shop.must(Wish.START, step)
    begun = shop.now
    shop.later(hours=5)
    sent = shop.scan(
        Wish.REWORK,
        step.part,
        step=step,
        by="qa",
        operations=[step.operation_id],
        reason="cold joint",
    )
    assert sent.accepted, sent.refusal
    step.refresh_from_db()
    assert step.state == "VOID"
    seen = read(shop).seen
    key = (shop.model.pk, "ELECTRONICS", 10)
    assert seen.losses_of(key).rework == pytest.approx(1 / (ENOUGH + 1))
    decided = Event.objects.get(kind=Wish.REWORK, accepted=True).happened_at
    behind = seen.free[shop.cast.stations["BENCH"].pk].behind
    assert max(seen.work[key]) == behind.between_s(begun, decided) > 0
    assert len(seen.work[key]) == ENOUGH + 1


def test_a_wait_is_that_of_its_operation_once_enough_were_seen(
    shop: make.Shop,
) -> None:
    """Two operations at one station: one waits an hour, the other a minute."""
    released(shop, 1)
    floor = read(shop)
    saw = shop.cast.stations["SAW"]
    quick, slow = ((1, "BODY", 10), False), ((1, "NECK", 10), False)
    seen = replace(
        floor.seen,
        turns={
            (saw.pk, quick): Waits(free=(60.0,) * FEW),
            (saw.pk, slow): Waits(free=(3600.0,) * (FEW - 1)),
        },
        waits={**floor.seen.waits, saw.pk: Waits(free=(600.0,) * ENOUGH)},
    )
    told = [seen.wait_of(saw, turn) for turn in (quick, slow)]
    assert [one and one.mean_s for one in told] == [60, 600]
    assert seen.lies_on(saw, quick) is None


def test_closed_days_and_nights_are_not_open(shop: make.Shop) -> None:
    released(shop, 1)
    ClosedDay.objects.create(day=date(2026, 3, 11), reason="inventory")
    line = read(shop).line
    saw = next(one for one in line.stations if one.name == "SAW")
    # From Tuesday 9:30 by the wall; Wednesday is closed.
    assert saw.hours.opens[0] == (0, 5.5 * HOUR)
    assert saw.hours.opens[1][0] == (2 * 24 - 3) * HOUR


def test_summer_time_moves_the_shift_by_an_hour(shop: make.Shop) -> None:
    """Clocks go forward on 29 March 2026: Monday's shift comes an hour sooner."""
    released(shop, 1)
    line = read(shop).line
    saw = next(one for one in line.stations if one.name == "SAW")
    friday = next(a for a, _ in saw.hours.opens if a > 17 * DAY - 4 * HOUR)
    monday = next(a for a, _ in saw.hours.opens if a > friday)
    assert monday - friday == 3 * DAY - HOUR


def test_what_is_tried_changes_what_it_says(shop: make.Shop) -> None:
    (one,) = released(shop, 1)
    out = (date(2026, 3, 11), date(2026, 3, 12))
    line = read(
        shop,
        Changes(
            {"SAW": 2}, {"BENCH": 1}, {"FRETS": out}, frozenset({one.order.number})
        ),
    ).line
    stations = {station.name: station for station in line.stations}
    as_it_is = {station.name: station for station in read(shop).line.stations}
    assert stations["SAW"].places == as_it_is["SAW"].places + 2 == 4
    longer, usual = stations["BENCH"].hours.opens[1], as_it_is["BENCH"].hours.opens[1]
    assert (longer[1] - longer[0]) - (usual[1] - usual[0]) == HOUR
    # Wednesday and Thursday are gone: after Tuesday comes Friday.
    frets = stations["FRETS"].hours.opens
    assert [frets[0][0], frets[1][0]] == [0, (3 * 24 - 3) * HOUR]
    assert {j.rank for j in line.jobs} == {
        -100_000 + (date(2026, 9, 1) - date(2026, 3, 10)).days
    }


def test_a_lone_instrument_is_finished_by_hand_reckoning(shop: make.Shop) -> None:
    """One future of one instrument, added up with the calendar in the hand.

    Tuesday 9:30, all times by the wall.  Saw until 9:40; ten days in the room end on
    Friday week, 9:40; glue until 9:50 and three hours in the clamps, 12:50; machine
    until 13:00; a coat until 13:10, the second may begin at 17:10, so Monday 6:30 to
    6:40, the third 10:40 to 10:50; twenty days on the rack end on a Sunday, so Monday
    6:30; inspection 6:40, neck joint 6:50, harness 7:00, test play 7:10.
    """
    released(shop, 1)
    futures = simulate(read(shop).line, 1, 1)
    end = shop.now + timedelta(seconds=float(futures.finishes_s[0, 0]))
    assert end.astimezone(ZONE).isoformat() == "2026-04-13T07:10:00+02:00"


def test_a_part_that_is_made_anew_is_all_to_be_done(shop: make.Shop) -> None:
    """The join waits for the new body, and what was done to the old counts no more."""
    (one,) = released(shop, 1)
    for branch in ("BODY", "NECK"):
        shop.work(shop.part(one, branch))
    old = shop.part(one)
    last = old.steps.order_by("-position")[0]
    sent = shop.scan(Wish.REPLACE, old, step=last, by="qa", at="", reason="split")
    assert sent.accepted, sent.refusal
    line = read(shop).line
    names = {j.name.partition(" ")[2]: j.joins for j in line.jobs}
    assert names == {
        "BODY 0": (),
        "ELECTRONICS 0": (),
        "ASSEMBLY 1": (f"{one.serial} BODY 0",),
        "ASSEMBLY 2": (f"{one.serial} ASSEMBLY 1", f"{one.serial} ELECTRONICS 0"),
    }
    assert job(line, "BODY").done == 0
