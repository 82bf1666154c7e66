"""Does each swap stand in both ledgers, and did the part come as it had left?"""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any
from uuid import UUID

from travelers.floor.models import Event
from travelers.floor.queries.anew import all_steps, lay_fresh
from travelers.floor.queries.audit.difference import NOTHING, Difference, said
from travelers.floor.queries.audit.rows import holds_told
from travelers.floor.queries.benches import part_now, told_of
from travelers.floor.rules.bench import PART_PLACE, STEP_MOVES, PartNow
from travelers.floor.rules.digest import digest_of
from travelers.floor.rules.machine import Wish
from travelers.floor.rules.swap import HoldTold, OutOfTurn, standing_of
from travelers.orders.models import Instrument, Part


def not_as_swapped(
    instrument: Instrument, parts: Iterable[PartNow], accepted: Iterable[Event]
) -> Difference:
    """Name the parts that are here, and the last swap that says otherwise."""
    here = {part.id for part in parts}
    swaps = [event for event in accepted if event.kind == Wish.SWAP]
    missed = [event for event in swaps if event.data["incoming"]["part"] not in here]
    last = (missed or swaps)[-1]
    codes = " ".join(sorted(part.code for part in parts))
    came = last.data["incoming"]["code"]
    return Difference(instrument.serial, "parts", "instrument", codes, came, last.seq)


def compare_swaps(
    instrument: Instrument, accepted: Iterable[Event]
) -> Iterator[Difference]:
    """Compare each swap with its twin, and with what the twin's ledger says before it.

    Where that ledger is damaged itself, its own check says so and it proves nothing.
    """
    for event in accepted:
        if event.kind != Wish.SWAP:
            continue
        twin = _find_twin(event.data["other"]["event"])
        wrong = list(_not_twins(instrument, event, twin))
        yield from wrong
        if not wrong:
            assert twin  # noqa: S101 - else it were wrong
            yield from _not_as_it_left(instrument, event, twin)


def _find_twin(event_id: str) -> Event | None:
    try:
        return Event.objects.filter(event_id=UUID(event_id)).first()
    except ValueError:
        return None


def _not_twins(
    instrument: Instrument, event: Event, twin: Event | None
) -> Iterator[Difference]:
    """Say where two events of a swap do not name each other, or not the same parts."""
    if twin is None:
        named = event.data["other"]["event"]
        yield Difference(
            instrument.serial, "event SWAP", "twin", NOTHING, named, event.seq
        )
        return
    for field, has, ought in (
        ("kind", twin.kind, Wish.SWAP),
        ("accepted", twin.accepted, True),
        ("instrument", twin.instrument_id, event.data["other"]["instrument"]),
        ("part", twin.part_id, event.data["incoming"]["part"]),
        ("event", _of(twin, "other", "event"), str(event.event_id)),
        ("its instrument", _of(twin, "other", "instrument"), event.instrument_id),
        ("outgoing", _of(twin, "outgoing", "part"), event.data["incoming"]["part"]),
        ("incoming", _of(twin, "incoming", "part"), event.data["outgoing"]["part"]),
        ("part here", event.part_id, event.data["outgoing"]["part"]),
    ):
        if has != ought:
            what = f"twin {twin.seq} of event SWAP"
            where = instrument.serial
            yield Difference(where, what, field, said(has), said(ought), event.seq)


def _of(twin: Event, name: str, key: str) -> Any:
    return twin.data.get(name, {}).get(key)


def _not_as_it_left(
    instrument: Instrument, event: Event, twin: Event
) -> Iterator[Difference]:
    """Compare how the part came in with how the other ledger had left it just then."""
    told = event.data["incoming"]
    left = _left(twin, told["part"])
    if left is None:
        return
    what = f"part {told['code']} of event SWAP"
    for path, has, ought in _apart(told, left):
        where = instrument.serial
        yield Difference(where, what, path, said(has), said(ought), event.seq)


def _left(twin: Event, part_id: int) -> dict[str, Any] | None:
    """Fold the other instrument until just before the part left it."""
    other = Instrument.objects.get(events=twin)
    events = list(Event.objects.filter(instrument=other).order_by("seq"))
    if any(event.digest != digest_of(event) for event in events):
        return None
    accepted = [event for event in events if event.accepted]
    before = [event for event in accepted if event.seq < twin.seq]
    rows = Part.objects.filter(instrument=other).order_by("id")
    try:
        fresh = lay_fresh(
            instrument=other,
            parts=[part_now(row) for row in rows],
            steps=all_steps(instrument_id=other.pk),
            told=[told_of(event=one) for one in accepted],
        )
    except OutOfTurn:
        return None
    folded = fresh.fold([told_of(event=one) for one in before], other)
    steps = (*folded.bench.steps, *folded.closed.values())
    return standing_of(
        folded.bench.part(part_id),
        [step for step in steps if step.part_id == part_id],
        [
            HoldTold(key, one["seq"], one["at"], one["reason"], one["lifted"])
            for key, one in sorted(
                holds_told(before).items(), key=lambda item: int(item[1]["seq"])
            )
            if one["part"] == part_id
        ],
    )


def _apart(
    told: Mapping[str, Any], left: Mapping[str, Any]
) -> Iterator[tuple[str, Any, Any]]:
    """Name what of a part's standing is told otherwise than it was left."""
    for name in ("code", *PART_PLACE):
        if told[name] != left[name]:
            yield name, told[name], left[name]
    if told["holds"] != left["holds"]:
        yield "holds", told["holds"], left["holds"]
    ids = [[row["id"] for row in one["steps"]] for one in (told, left)]
    if ids[0] != ids[1]:
        yield "steps", ids[0], ids[1]
        return
    for has, ought in zip(told["steps"], left["steps"], strict=True):
        for name in STEP_MOVES:
            if has[name] != ought[name]:
                yield f"step {has['id']} {name}", has[name], ought[name]
