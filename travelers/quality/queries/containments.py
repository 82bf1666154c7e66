"""What is contained, and where is it today?"""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from travelers.floor import queries as floor
from travelers.kit.drawing.marks import Look
from travelers.kit.leaves import Leaf, cut_leaf
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.orders.models import Instrument
from travelers.orders.queries import InstrumentRow, instrument_rows
from travelers.quality.models import Contained, Containment
from travelers.quality.rules import Kind
from travelers.routes.rules import Branch

ON_A_LEAF = 20


@dataclass(frozen=True, slots=True)
class ContainmentRow:
    """A containment as a list shows it; ``held`` is how much of it still is."""

    number: int
    kind: Kind
    key: str
    name: str
    reason: str
    by: str
    made_at: datetime
    held: int
    of: int


@dataclass(frozen=True, slots=True)
class Kept:
    """One contained thing: a part with its instrument, a set, a plank or a batch."""

    id: int
    serial: str
    branch: Branch | None
    code: str
    number: str
    only_part: bool
    look: Look | None
    places: tuple[str, ...]
    is_held: bool
    let_go_at: datetime | None
    let_go_by: str
    is_batch: bool = False


@dataclass(frozen=True, slots=True)
class ContainmentPage:
    row: ContainmentRow
    kept: tuple[Kept, ...]


def containments(*, leaf: int) -> tuple[tuple[ContainmentRow, ...], Leaf]:
    """List the containments, the latest first."""
    rows, shown = cut_leaf(
        Containment.objects.select_related("by").order_by("-made_at", "-pk"),
        number=leaf,
        size=ON_A_LEAF,
    )
    of, held = _counted(rows)
    return tuple(_row(row, held[row.pk], of[row.pk]) for row in rows), shown


def _counted(rows: Sequence[Containment]) -> tuple[Counter[int], Counter[int]]:
    """Count what containments hold or held, and what they hold still."""
    of: Counter[int] = Counter()
    held: Counter[int] = Counter()
    parts: dict[UUID, int] = {}
    for made, hold_id, let_go_at in Contained.objects.filter(
        containment__in=rows
    ).values_list("containment_id", "hold_id", "let_go_at"):
        of[made] += 1
        if hold_id:
            parts[hold_id] = made
        elif let_go_at is None:
            held[made] += 1
    held.update(parts[one] for one in _open_holds(parts))
    return of, held


def _open_holds(hold_ids: Collection[UUID]) -> frozenset[UUID]:
    """Say which holds are open, of parts by the ledger and of batches."""
    parts = floor.open_hold_ids(event_ids=hold_ids)
    return frozenset(parts) | floor.open_batch_holds(uuids=hold_ids)


def containment_page(*, number: int) -> ContainmentPage:
    """Give all that a containment holds or held, what is still held first."""
    made = Containment.objects.select_related("by").filter(pk=number).first()
    if made is None:
        raise Refused(NOT_FOUND)
    rows = list(
        made.contained.select_related(
            "part__instrument", "plank_set", "plank", "batch", "let_go_by"
        ).order_by("part__instrument__serial", "plank_set__number", "plank__number")
    )
    held = _open_holds([row.hold_id for row in rows if row.hold_id])
    instruments = list(
        Instrument.objects.filter(
            pk__in={row.part.instrument_id for row in rows if row.part}
        )
    )
    seen = {one.serial: one for one in instrument_rows(instruments=instruments)}
    kept = [_kept(row, row.hold_id in held, seen) for row in rows]
    still = sum(one.is_held for one in kept)
    return ContainmentPage(
        _row(made, still, len(kept)),
        tuple(sorted(kept, key=lambda one: not one.is_held)),
    )


def _row(made: Containment, held: int, of: int) -> ContainmentRow:
    return ContainmentRow(
        made.pk,
        Kind(made.kind),
        made.key,
        made.name,
        made.reason,
        str(made.by),
        made.made_at,
        held,
        of,
    )


def _kept(
    row: Contained, hold_is_open: bool, seen: Mapping[str, InstrumentRow]
) -> Kept:
    part = row.part
    if part is None:
        wood = row.plank_set or row.plank or row.batch
        return Kept(
            row.pk,
            "",
            None,
            "",
            wood.number if wood else "",
            False,
            None,
            (),
            hold_is_open if row.hold_id else row.let_go_at is None,
            row.let_go_at,
            str(row.let_go_by or ""),
            is_batch=row.batch is not None,
        )
    instrument = seen[part.instrument.serial]
    return Kept(
        row.pk,
        part.instrument.serial,
        Branch(part.branch),
        part.code,
        "",
        row.only_part,
        instrument.look,
        tuple(
            one.stage
            for one in instrument.parts
            if one.stage and (not row.only_part or one.branch == part.branch)
        ),
        hold_is_open,
        row.let_go_at,
        str(row.let_go_by or ""),
    )
