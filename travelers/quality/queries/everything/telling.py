"""How is a thing told of that a search came to?  One question for each sort."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Any

from travelers.formulas import codes
from travelers.kit.words import label
from travelers.lumber.models import Piece, Plank, PlankSet
from travelers.orders.models import Instrument, WorkOrder
from travelers.quality.queries.trace import Named, names_of
from travelers.quality.rules import Kind, Thing
from travelers.shop.models import Station


class Sort(StrEnum):
    """The sorts of things that are looked for, the most usual first."""

    INSTRUMENTS = "INSTRUMENTS"
    ORDERS = "ORDERS"
    PARTS = "PARTS"
    PLANK_SETS = "PLANK_SETS"
    PIECES = "PIECES"
    PLANKS = "PLANKS"
    DELIVERIES = "DELIVERIES"
    BATCHES = "BATCHES"
    SERIALS = "SERIALS"
    CUTTERS = "CUTTERS"
    GAUGES = "GAUGES"
    STATIONS = "STATIONS"
    DEFECTS = "DEFECTS"
    LOADS = "LOADS"


@dataclass(frozen=True, slots=True)
class Found:
    """A thing that was found; ``key`` is its name in an address."""

    sort: Sort
    key: str
    name: str
    of: str = ""
    state: str = ""
    when: date | datetime | None = None


def _told(
    kind: Kind, say: Callable[[Named], Found]
) -> Callable[[list[Any]], Iterator[Found]]:
    """Tell of things by the names that a trace has for them."""

    def tell(ids: list[Any]) -> Iterator[Found]:
        things = [Thing(kind, str(own)) for own in ids]
        names = names_of(things=things)
        return (say(names[thing]) for thing in things)

    return tell


def _as_named(sort: Sort) -> Callable[[Named], Found]:
    return lambda one: Found(sort, one.key, one.name, one.of, when=one.day)


def _part(one: Named) -> Found:
    name = codes.grouped(one.key)
    return Found(Sort.PARTS, one.key, name, f"{label(one.name)}, {one.of}")


def _gauge(one: Named) -> Found:
    return Found(Sort.GAUGES, one.key, one.name, codes.grouped(one.key))


def _batch(one: Named) -> Found:
    said = f"{one.of}, {codes.grouped(one.key)}"
    return Found(Sort.BATCHES, one.key, one.name, said, when=one.day)


def _defect(one: Named) -> Found:
    name = f"#{one.key} {one.name}"
    return Found(Sort.DEFECTS, one.key, name, one.of, when=one.day)


def _told_instruments(ids: list[int]) -> Iterator[Found]:
    rows = Instrument.objects.filter(pk__in=ids).order_by("serial")
    for serial, model, finish, order, state in rows.values_list(
        "serial", "revision__model__name", "order__finish", "order__number", "state"
    ):
        yield Found(
            Sort.INSTRUMENTS, serial, serial, f"{model}, {finish}, {order}", state
        )


def _told_orders(ids: list[int]) -> Iterator[Found]:
    rows = WorkOrder.objects.filter(pk__in=ids).order_by("number")
    for number, model, finish, due in rows.values_list(
        "number", "revision__model__name", "finish", "due_on"
    ):
        yield Found(Sort.ORDERS, number, number, f"{model}, {finish}", when=due)


def _told_sets(ids: list[int]) -> Iterator[Found]:
    rows = PlankSet.objects.filter(pk__in=ids).order_by("number")
    for number, code, species, day in rows.values_list(
        "number", "code", "plank__delivery__species__name", "cut_on"
    ):
        said = f"{species}, {codes.grouped(code)}"
        yield Found(Sort.PLANK_SETS, number, number, said, when=day)


def _told_pieces(ids: list[int]) -> Iterator[Found]:
    """Tell of pieces, whose page is that of their set."""
    rows = Piece.objects.filter(pk__in=ids).order_by("code")
    for number, letter, code in rows.values_list("plank_set__number", "letter", "code"):
        yield Found(Sort.PIECES, number, f"{number}-{letter}", codes.grouped(code))


def _told_planks(ids: list[int]) -> Iterator[Found]:
    rows = Plank.objects.filter(pk__in=ids).order_by("number")
    for number, code, species in rows.values_list(
        "number", "code", "delivery__species__name"
    ):
        said = f"{species}, {codes.grouped(code)}"
        yield Found(Sort.PLANKS, number, number, said)


def _told_stations(ids: list[int]) -> Iterator[Found]:
    rows = Station.objects.filter(pk__in=ids).order_by("code")
    for code, name in rows.values_list("code", "name"):
        yield Found(Sort.STATIONS, code, name, code)


TELL: Mapping[Sort, Callable[[list[Any]], Iterator[Found]]] = {
    Sort.INSTRUMENTS: _told_instruments,
    Sort.ORDERS: _told_orders,
    Sort.PARTS: _told(Kind.PART, _part),
    Sort.PLANK_SETS: _told_sets,
    Sort.PIECES: _told_pieces,
    Sort.PLANKS: _told_planks,
    Sort.BATCHES: _told(Kind.BATCH, _batch),
    Sort.GAUGES: _told(Kind.GAUGE, _gauge),
    Sort.DEFECTS: _told(Kind.DEFECT, _defect),
    Sort.STATIONS: _told_stations,
    **{
        sort: _told(kind, _as_named(sort))
        for sort, kind in (
            (Sort.DELIVERIES, Kind.DELIVERY),
            (Sort.SERIALS, Kind.SERIAL),
            (Sort.CUTTERS, Kind.CUTTER),
            (Sort.LOADS, Kind.LOAD),
        )
    },
}
