"""What is it that somebody types who looks for anything that has a number?

First come the things of which the text is the whole number, code or name; only where
there is none, those that have it as a part.  Each sort of things is one question.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Model, Q

from travelers.floor import queries as floor
from travelers.floor.queries import Unread
from travelers.floor.rules import reasons
from travelers.floor.rules.gauges import STUDY_CARD_ELSEWHERE
from travelers.floor.rules.materials import read_serial
from travelers.formulas import codes, layouts
from travelers.lumber.models import Delivery, Piece, Plank, PlankSet
from travelers.orders.models import Instrument, Part, WorkOrder
from travelers.quality.models import Defect
from travelers.quality.queries.everything.telling import TELL, Found, Sort
from travelers.quality.rules import NOTHING_CALLED
from travelers.shop.models import Cutter, Gauge, Station

SHOWN = 12
LONGEST_SHOWN = 40
# Of a code fewer characters than these say nothing: the first is that of all parts.
LEAST_OF_A_CODE = 4
# A number longer than that is none of ours.
LONGEST_NUMBER = 18
# What the page of a scan says is said here too; that only a piece came in is not, since
# a piece is enough here.
AS_OF_A_SCAN = frozenset(
    one.code
    for one in (
        reasons.UNKNOWN_CODE,
        reasons.CARD_ELSEWHERE,
        reasons.KIND_CARD_ELSEWHERE,
        STUDY_CARD_ELSEWHERE,
    )
)


@dataclass(frozen=True, slots=True)
class Lot:
    """The things of one sort; ``more`` says that not all are shown."""

    sort: Sort
    found: tuple[Found, ...]
    more: bool


@dataclass(frozen=True, slots=True)
class Search:
    """What a text means: one thing, several, or nothing and why."""

    asked: str
    lots: tuple[Lot, ...] = ()
    unread: Unread | None = None

    @property
    def only(self) -> Found | None:
        """Give the thing that is meant where no other can be."""
        found = [one for lot in self.lots for one in lot.found]
        return found[0] if len(found) == 1 else None


@dataclass(frozen=True, slots=True)
class Sought:
    """A text as it may stand on things: as a number, and as the code of a tag."""

    text: str
    code: str
    whole: bool

    @property
    def spelt(self) -> tuple[str, ...]:
        return tuple(sorted({self.text, self.text.upper(), self.text.lower()}))

    def is_in(self, *numbers: str, code: str = "") -> Q:
        """Ask for it in columns with numbers, and in one with a code."""
        which = Q(pk__in=[])
        for name in numbers:
            which |= Q(
                **{f"{name}__in": self.spelt}
                if self.whole
                else {f"{name}__icontains": self.text}
            )
        if code and self.whole:
            which |= Q(**{code: self.code})
        elif code and len(self.code) >= LEAST_OF_A_CODE:
            which |= Q(**{f"{code}__contains": self.code})
        return which


def search_all(*, text: str, sorts: Collection[Sort]) -> Search:
    """Find what a scanned or typed text means among the sorts that are asked for."""
    for whole in (True, False):
        sought = Sought(text, _code(text), whole)
        lots = tuple(_lots(sought, sorts))
        if lots:
            return Search(text, lots)
    return Search(text, unread=_unread(text))


def _code(text: str) -> str:
    """Give what of a tag's code a text may be, as codes are kept."""
    try:
        return codes.parse(text)
    except codes.NotACode:
        return layouts.meant(text) or codes.squashed(text)


def _unread(text: str) -> Unread:
    seen = floor.unread(text=text)
    if seen.near or seen.refusal.code in AS_OF_A_SCAN:
        return seen
    shown = text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}…"
    return Unread(NOTHING_CALLED.about(text=shown))


def _lots(sought: Sought, sorts: Collection[Sort]) -> Iterator[Lot]:
    for sort in Sort:
        if sort not in sorts:
            continue
        ids = list(LOOK[sort](sought))
        if ids:
            found = tuple(TELL[sort](ids[:SHOWN]))
            yield Lot(sort, found, len(ids) > SHOWN)


def _rows(
    model: type[Model], *numbers: str, code: str = "", order: str = ""
) -> Callable[[Sought], Iterable[Any]]:
    """Make the questions for a sort that is a table, one for each of its columns.

    Each is answered by the index of its column alone, however long the table is.
    """

    def ask(sought: Sought) -> Iterable[Any]:
        found: dict[Any, None] = {}
        for column in (*numbers, *([code] if code else [])):
            rows = model._default_manager.filter(
                sought.is_in(code=code) if column == code else sought.is_in(column)
            ).order_by(order or column, "pk")
            found |= dict.fromkeys(rows.values_list("pk", flat=True)[: SHOWN + 1])
        return tuple(found)[: SHOWN + 1]

    return ask


BY_SERIAL = _rows(Instrument, "serial")
BY_CODE = _rows(Piece, code="code")
PLACES = _rows(Station, "code", "name", code="tag")


def _instruments(sought: Sought) -> Iterable[int]:
    """Find by serial; who may not see orders finds theirs by the order's number."""
    found = dict.fromkeys(BY_SERIAL(sought))
    if not sought.whole:
        rows = Instrument.objects.filter(order__number__in=sought.spelt)
        rows = rows.order_by("serial")
        found |= dict.fromkeys(rows.values_list("pk", flat=True)[: SHOWN + 1])
    return tuple(found)[: SHOWN + 1]


def _pieces(sought: Sought) -> Iterable[int]:
    """Find pieces by their code, or by the number of their set and their letter."""
    number, _, letter = sought.text.upper().rpartition("-")
    if sought.whole and number and len(letter) == 1:
        rows = Piece.objects.filter(plank_set__number=number, letter=letter)
        return rows.values_list("pk", flat=True)
    return BY_CODE(sought)


def _batches(sought: Sought) -> Iterable[int]:
    which = sought.is_in("number", code="code")
    return floor.batches_sought(which=which, most=SHOWN + 1)


def _serials(sought: Sought) -> Iterable[str]:
    serial = read_serial(sought.text)
    spelt = serial if isinstance(serial, str) else sought.text
    which = Sought(spelt, "", sought.whole).is_in("serial")
    found = floor.serials_sought(which=which, most=SHOWN + 1)
    return [f"{material}.{serial}" for material, serial in found]


def _defects(sought: Sought) -> Iterable[int]:
    """Find by number: a bare one may be part of any other, behind a # it is meant."""
    given = sought.text.removeprefix("#")
    meant = sought.text.startswith("#") is sought.whole
    if not meant or not given.isdecimal() or len(given) > LONGEST_NUMBER:
        return ()
    return Defect.objects.filter(pk=given).values_list("pk", flat=True)


def _loads(sought: Sought) -> Iterable[UUID]:
    """Find by what a machine calls it, or by where it was loaded."""
    if not sought.whole:
        places = PLACES(sought)
        which = Q(station__in=places)
        return floor.loads_sought(which=which, most=SHOWN + 1) if places else ()
    try:
        return floor.loads_sought(which=Q(pk=UUID(sought.text)), most=1)
    except ValueError:
        return ()


LOOK: Mapping[Sort, Callable[[Sought], Iterable[Any]]] = {
    Sort.INSTRUMENTS: _instruments,
    Sort.ORDERS: _rows(WorkOrder, "number"),
    Sort.PARTS: _rows(Part, code="code"),
    Sort.PLANK_SETS: _rows(PlankSet, "number", code="code"),
    Sort.PIECES: _pieces,
    Sort.PLANKS: _rows(Plank, "number", code="code"),
    Sort.DELIVERIES: _rows(Delivery, "number"),
    Sort.BATCHES: _batches,
    Sort.SERIALS: _serials,
    Sort.CUTTERS: _rows(Cutter, "number", order="-mounted_at"),
    Sort.GAUGES: _rows(Gauge, "name", code="tag"),
    Sort.STATIONS: PLACES,
    Sort.DEFECTS: _defects,
    Sort.LOADS: _loads,
}
