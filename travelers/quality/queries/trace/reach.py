"""What of a trace can still be held, and by which part of each instrument?"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from travelers.orders.models import Part
from travelers.orders.rules import InstrumentState
from travelers.quality.queries.trace.names import names_of
from travelers.quality.queries.trace.pages import descend
from travelers.quality.rules import Kind, Thing, Web
from travelers.routes.rules import Branch


@dataclass(frozen=True, slots=True)
class ToHold:
    """A part to hold; unless ``only_part`` its whole instrument stops with it."""

    part_id: int
    only_part: bool


@dataclass(frozen=True, slots=True)
class Reach:
    """All that came of a thing and can still be held."""

    parts: tuple[ToHold, ...]
    sets: tuple[int, ...]
    planks: tuple[int, ...]
    batches: tuple[int, ...] = ()

    @property
    def is_empty(self) -> bool:
        return not (self.parts or self.sets or self.planks or self.batches)


def reach_of(*, start: Thing, since: date | None, zone: ZoneInfo) -> Reach:
    """Say what of a thing's trace can be held.

    Of an instrument whose body alone came of it the neck may go on, up to the joint.
    Where more than one part did, or they are joined, the instrument is held whole.
    """
    web = descend(start=start, since=since, zone=zone)
    found = (start, *web.found)
    sets = tuple(
        int(one.id)
        for one in found
        if one.kind is Kind.PLANK_SET and not web.next_of.get(one)
    )
    planks = tuple(int(one.id) for one in found if one.kind is Kind.PLANK)
    batches = tuple(int(one.id) for one in found if one.kind is Kind.BATCH)
    return Reach(tuple(_parts(web)), sets, planks, batches)


def name_of(*, thing: Thing) -> str:
    """Say what a thing is called, as its containment keeps it."""
    return names_of(things=[thing])[thing].name


def _parts(web: Web) -> Iterator[ToHold]:
    through: dict[int, list[int]] = defaultdict(list)
    found = (web.start, *web.found)
    touched = {int(one.id) for one in found if one.kind is Kind.PART}
    whole = {int(one.id) for one in found if one.kind is Kind.INSTRUMENT}
    assembly: dict[int, int] = {}
    rows = Part.objects.filter(
        instrument_id__in=whole, instrument__state=InstrumentState.OPEN
    ).order_by("instrument__serial", "pk")
    gone: set[int] = set()
    for part, instrument, branch, scrapped_at in rows.values_list(
        "pk", "instrument_id", "branch", "scrapped_at"
    ):
        if branch == Branch.ASSEMBLY:
            assembly[instrument] = part
        if part in touched and scrapped_at:
            gone.add(instrument)
        elif part in touched:
            through[instrument].append(part)
    for instrument, last in assembly.items():
        own = through.get(instrument, [])
        if not own and instrument in gone:
            # It came of the thing by nothing but a part that was scrapped since.
            continue
        if len(own) == 1 and own != [last]:
            yield ToHold(own[0], only_part=True)
        else:
            yield ToHold(last, only_part=False)
