"""What hangs on a tag, and what was meant where nothing has that code?"""

from dataclasses import dataclass
from enum import StrEnum

from travelers.floor.models import Batch
from travelers.floor.rules import reasons
from travelers.floor.rules.gauges import STUDY_CARD_ELSEWHERE
from travelers.formulas import codes, layouts
from travelers.formulas.cards import command_of
from travelers.kit.refusals import Refusal
from travelers.lumber.models import Piece, Plank, PlankSet
from travelers.orders.models import Part
from travelers.shop.models import Gauge, Station

LONGEST_SHOWN = 24


class Thing(StrEnum):
    """What sort of thing a tag hangs on."""

    PART = "PART"
    PIECE = "PIECE"
    PLANK_SET = "PLANK_SET"
    PLANK = "PLANK"
    STATION = "STATION"
    GAUGE = "GAUGE"
    BATCH = "BATCH"


@dataclass(frozen=True, slots=True)
class Tag:
    """A thing with a tag: its number, and the instrument that it belongs to."""

    thing: Thing
    code: str
    number: str
    serial: str = ""
    id: int = 0

    def not_allotted(self) -> Refusal:
        return reasons.NOT_ALLOTTED.about(thing_word=self.thing, number=self.number)


@dataclass(frozen=True, slots=True)
class Unread:
    """A scan that names nothing: why, and which tags it may have been."""

    refusal: Refusal
    near: tuple[Tag, ...] = ()


# Cards that mean something on one screen alone.
CARDS_OF = {"D": reasons.KIND_CARD_ELSEWHERE, "Y": STUDY_CARD_ELSEWHERE}


def find_tag(*, code: str) -> Tag | None:
    return next(iter(_tags([code])), None)


def unread(*, text: str) -> Unread:
    """Say why a text names nothing here, with near tags that do exist."""
    refusal = why_unread(text=text)
    if refusal.code == reasons.UNKNOWN_CODE.code:
        return Unread(refusal)
    if typed := _tags(list(layouts.perhaps(text))):
        return Unread(reasons.CODE_LAYOUT.about(code=_cut(text)), tuple(typed))
    return Unread(refusal, tuple(_tags(list(codes.close_codes(text)))))


def why_unread(*, text: str) -> Refusal:
    """Say why a text names nothing here; asks the database nothing."""
    try:
        code = codes.parse(text)
    except codes.NotACode as fault:
        return _refusal(fault, _cut(text))
    if command := command_of(code):
        return reasons.CARD_ELSEWHERE.about(card_word=command)
    if no := CARDS_OF.get(code[0]):
        return no
    return reasons.UNKNOWN_CODE.about(code=codes.grouped(code))


def _refusal(fault: codes.NotACode, shown: str) -> Refusal:
    if fault.reason is codes.Fault.TOO_SHORT:
        return reasons.CODE_SHORT.about(code=shown, missing=str(fault.by))
    if fault.reason is codes.Fault.TOO_LONG_BY:
        return reasons.CODE_LONG.about(code=shown)
    if fault.reason is codes.Fault.CHECK:
        return reasons.CODE_MISREAD.about(code=shown)
    return reasons.CODE_FOREIGN.about(code=shown)


def _tags(near: list[str]) -> list[Tag]:
    """Find which of the codes hang on something; a query for each kind in the list."""
    kinds: dict[str, list[str]] = {}
    for code in near:
        kinds.setdefault(code[0], []).append(code)
    return [
        tag for kind, some in kinds.items() if kind in FIND for tag in FIND[kind](some)
    ]


def _parts(near: list[str]) -> list[Tag]:
    rows = Part.objects.filter(code__in=near).select_related("instrument")
    return [
        Tag(Thing.PART, row.code, row.branch, row.instrument.serial, row.pk)
        for row in rows.order_by("code")
    ]


def _pieces(near: list[str]) -> list[Tag]:
    rows = Piece.objects.filter(code__in=near).order_by("code")
    return [
        Tag(Thing.PIECE, code, f"{number}-{letter}", serial or "", pk)
        for code, number, letter, serial, pk in rows.values_list(
            "code",
            "plank_set__number",
            "letter",
            "plank_set__part__instrument__serial",
            "pk",
        )
    ]


def _sets(near: list[str]) -> list[Tag]:
    rows = PlankSet.objects.filter(code__in=near).order_by("code")
    return [
        Tag(Thing.PLANK_SET, code, number, serial or "", pk)
        for code, number, serial, pk in rows.values_list(
            "code", "number", "part__instrument__serial", "pk"
        )
    ]


def _planks(near: list[str]) -> list[Tag]:
    rows = Plank.objects.filter(code__in=near).order_by("code")
    return [Tag(Thing.PLANK, row.code, row.number, "", row.pk) for row in rows]


def _stations(near: list[str]) -> list[Tag]:
    rows = Station.objects.filter(tag__in=near).order_by("tag")
    return [Tag(Thing.STATION, row.tag, row.code, "", row.pk) for row in rows]


def _gauges(near: list[str]) -> list[Tag]:
    rows = Gauge.objects.filter(tag__in=near).order_by("tag")
    return [Tag(Thing.GAUGE, row.tag, row.name, "", row.pk) for row in rows]


def _batches(near: list[str]) -> list[Tag]:
    rows = Batch.objects.filter(code__in=near).order_by("code")
    return [Tag(Thing.BATCH, row.code, row.number, "", row.pk) for row in rows]


FIND = {
    "P": _parts,
    "W": _pieces,
    "S": _sets,
    "K": _planks,
    "H": _stations,
    "G": _gauges,
    "B": _batches,
}


def _cut(text: str) -> str:
    shown = " ".join(text[: LONGEST_SHOWN * 4].split())
    return shown if len(shown) <= LONGEST_SHOWN else f"{shown[:LONGEST_SHOWN]}…"
