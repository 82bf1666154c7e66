"""How many lay where on each day, by the ledger alone?

No step row and no kept count is read for it: the events that stand are folded anew up
to each moment at which one of them happened, and the parts are looked for where the
board would show them.
"""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from travelers.floor import queries as on_floor
from travelers.floor.models import Event
from travelers.floor.queries.anew import all_steps, lay_fresh
from travelers.floor.queries.benches import part_now
from travelers.floor.rules.bench import Bench
from travelers.orders.models import Instrument, Part
from travelers.planning.models import DayCount

# Day, stage, branch or nothing for whole instruments.
Key = tuple[date, int, str]
# Came, entered, went, left, lay.
Numbers = tuple[int, int, int, int, int]
Timeline = dict[datetime, int | None]


def kept() -> dict[Key, Numbers]:
    """Read what is kept."""
    return {
        (row.day, row.stage_id, row.branch): (
            row.came, row.entered, row.went, row.left, row.lay,
        )
        for row in DayCount.objects.all()
    }  # fmt: skip


def differ(
    one: dict[Key, Numbers], other: dict[Key, Numbers]
) -> dict[Key, tuple[Numbers | None, Numbers | None]]:
    """Say where two counts are not the same, and what each of them has there."""
    return {
        key: (one.get(key), other.get(key))
        for key in sorted(one.keys() | other.keys())
        if one.get(key) != other.get(key)
    }


def recount(*, last: date, zone: ZoneInfo) -> dict[Key, Numbers]:
    """Count each day up to the last from the ledger."""
    numbers: dict[Key, list[int]] = defaultdict(lambda: [0] * 5)
    for (branch, _), timeline in timelines().items():
        moves = sorted(timeline.items())
        days = {at: at.astimezone(zone).date() for at, _ in moves}
        before: int | None = None
        for at, stage in moves:
            if stage == before or days[at] > last:
                continue
            if stage is not None:
                numbers[days[at], stage, branch][0] += 1
                numbers[days[at], stage, branch][1] += before is None
            if before is not None:
                numbers[days[at], before, branch][2] += 1
                numbers[days[at], before, branch][3] += stage is None
            before = stage
        for day, stage in _ends(moves, days, last):
            numbers[day, stage, branch][4] += 1
    return {key: tuple(found) for key, found in numbers.items()}  # type: ignore[misc]


def _ends(
    moves: list[tuple[datetime, int | None]],
    days: dict[datetime, date],
    last: date,
) -> Iterator[tuple[date, int]]:
    """Say where a part was as each day ended."""
    for (at, stage), (until, _) in pairwise([*moves, (None, None)]):
        day = days[at]
        end = days[until] if until else last + timedelta(days=1)
        while day < end and day <= last:
            if stage is not None:
                yield day, stage
            day += timedelta(days=1)


def timelines() -> dict[tuple[str, int], Timeline]:
    """Say of each part, and each instrument as one thing, where it was from when on.

    A part is where the instrument says that has it then; an instrument is named by its
    body, and is where that is until its assembly is begun.
    """
    found: dict[tuple[str, int], Timeline] = defaultdict(dict)
    for instrument in Instrument.objects.all():
        for at, bench in _benches(instrument):
            stages = {part.branch: part.stage_id for part in bench.parts}
            for part in bench.parts:
                found[part.branch, part.id][at] = part.stage_id
                if part.branch == "BODY":
                    joined = stages["ASSEMBLY"]
                    found["", part.id][at] = joined or part.stage_id
    return found


def _benches(instrument: Instrument) -> Iterator[tuple[datetime, Bench]]:
    """Lay an instrument on the bench as it was at its release and after each event."""
    rows = Event.objects.filter(instrument=instrument, accepted=True).order_by("seq")
    told = [on_floor.told_of(event=event) for event in rows]
    fresh = lay_fresh(
        instrument=instrument,
        parts=[
            part_now(part)
            for part in Part.objects.filter(instrument=instrument).order_by("pk")
        ],
        steps=all_steps(instrument_id=instrument.pk),
        told=told,
    )
    undone = {event.data["event"] for event in told if event.kind == "UNDO"}
    stands = [event for event in told if event.event_id not in undone]
    yield instrument.released_at, fresh.fold([], instrument).bench
    for at in sorted({event.happened_at for event in stands if event.kind != "UNDO"}):
        known = [event for event in stands if event.happened_at <= at]
        yield at, fresh.fold(known, instrument).bench
