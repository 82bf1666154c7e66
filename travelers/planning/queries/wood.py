"""Which sets are worth a reading now, and how dry is one of them?"""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from travelers.floor.queries import keeps_until
from travelers.formulas import codes
from travelers.formulas.wood import equilibrium_moisture_pct
from travelers.kit.people import has_one_of
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.lumber import queries as lumber
from travelers.lumber.models import PlankSet
from travelers.lumber.queries import MOISTURE_READERS, Climate, Meter, Moisture, SetRow
from travelers.lumber.rules import Dryness, Movement, movement
from travelers.orders.models import Part, Step
from travelers.orders.rules import StepState
from travelers.planning.queries.drying import Forecast, Outlook, forecasts
from travelers.routes.rules import Joins
from travelers.shop.models import Person
from travelers.shop.queries import workshop_air

# A reading that narrows the interval by less than this is not worth the walk
# (common practice, no source).
WORTH_DAYS = 2.0
MOST_OF_A_WALK = 40


@dataclass(frozen=True, slots=True)
class ToRead:
    """A set in a room, and what a reading of it now would tell."""

    number: str
    species: str
    serial: str
    forecast: Forecast

    @property
    def narrows_days(self) -> int:
        return round(self.forecast.narrows_days)

    @property
    def is_worth_it(self) -> bool:
        now = self.forecast.outlook in (Outlook.UNREAD, Outlook.MAY_BE)
        return now or self.forecast.narrows_days >= WORTH_DAYS


@dataclass(frozen=True, slots=True)
class Walk:
    """One walk through a room: the sets worth a reading first."""

    climate: Climate
    sets: tuple[ToRead, ...]
    rest: int

    @property
    def narrows_days(self) -> float:
        return sum(one.forecast.narrows_days for one in self.sets)


@dataclass(frozen=True, slots=True)
class PieceSize:
    """A piece, and how its width and thickness change until it is dry."""

    id: int
    letter: str
    code: str
    length_mm: Decimal
    width_mm: Decimal
    thickness_mm: Decimal
    mass_g: int | None
    density_kg_m3: float | None
    width: Movement | None
    thickness: Movement | None


@dataclass(frozen=True, slots=True)
class SetPage:
    """A set: where it is, how dry, and all that was read of it."""

    id: int
    number: str
    code: str
    plank: str
    species: str
    purpose: str
    serial: str
    part_code: str
    room: Climate | None
    limit_pct: Decimal | None
    dryness: Dryness | None
    forecast: Forecast | None
    pieces: tuple[PieceSize, ...]
    moistures: tuple[Moisture, ...]
    meters: tuple[Meter, ...]
    may_write: bool
    # Of wood that left its room and is not glued yet; None keeps for good.
    keeps_until: datetime | None
    lay_too_long: bool

    @property
    def is_dry(self) -> bool | None:
        """Say whether its worst piece is below the limit; None is not known."""
        if self.dryness is None or self.dryness.unread or self.limit_pct is None:
            return None
        return self.dryness.worst_pct < self.limit_pct


@dataclass(frozen=True, slots=True)
class Workshop:
    """The air in which dry wood lies until it is glued, and what it takes up there."""

    temperature_c: Decimal
    humidity_pct: Decimal

    @property
    def equilibrium_pct(self) -> float:
        warm, damp = float(self.temperature_c), float(self.humidity_pct)
        return equilibrium_moisture_pct(warm, damp)


def workshop() -> Workshop:
    """Give the workshop's air as the shop says it is."""
    return Workshop(*workshop_air())


def walks(*, at: datetime) -> tuple[Walk, ...]:
    """List for each room which sets a walk with the meter should read, and why.

    Nobody walks for one reading: all that are worth it in a room are one walk.
    """
    return tuple(_walk(climate, at) for climate in lumber.climates(at=at))


def find_set(*, text: str) -> str:
    """Give the number of the set that a scan or a typed number means; "" for none."""
    by_number = PlankSet.objects.filter(number=text.strip()).first()
    if by_number:
        return str(by_number.number)
    try:
        code = codes.parse(text)
    except codes.NotACode:
        return ""
    where = {"S": "code", "W": "pieces__code", "P": "part__code"}.get(code[0])
    found = PlankSet.objects.filter(**{where: code}).first() if where else None
    return str(found.number) if found else ""


def set_page(*, number: str, by: Person, at: datetime) -> SetPage:
    """Give a set with its readings; its forecast where it lies in a room now."""
    row = (
        PlankSet.objects.select_related("plank__delivery__species")
        .prefetch_related("pieces")
        .filter(number=number)
        .first()
    )
    if row is None:
        raise Refused(NOT_FOUND)
    part = Part.objects.filter(plank_set=row).select_related("instrument").first()
    step = _lying(part)
    room = _room(step, at)
    limit = room.limit_pct if room else lumber.driest_limit()
    own = lumber.drynesses(plank_set_ids=[row.pk]).get(row.pk)
    keeps = _keeps_until(row, part) if room is None else None
    return SetPage(
        row.pk,
        row.number,
        row.code,
        row.plank.number,
        row.plank.delivery.species.name,
        row.purpose,
        part.instrument.serial if part else "",
        part.code if part else "",
        room,
        limit,
        own,
        forecasts(climate=room, at=at).get(step.pk) if room and step else None,
        _pieces(
            lumber.set_row(plank_set=row),
            row.plank.delivery.species.handbook_name,
            own,
            limit,
        ),
        lumber.moistures(plank_set_id=row.pk),
        lumber.meters(),
        has_one_of(by, MOISTURE_READERS),
        keeps,
        keeps is not None and keeps < at,
    )


def _walk(climate: Climate, at: datetime) -> Walk:
    found = forecasts(climate=climate, at=at, with_narrowing=True)
    rows = Step.objects.filter(pk__in=found).values_list(
        "pk",
        "part__plank_set__number",
        "part__plank_set__plank__delivery__species__name",
        "instrument__serial",
    )
    sets = sorted(
        (
            ToRead(number, species, serial, found[pk])
            for pk, number, species, serial in rows
        ),
        key=_urgency,
    )
    worth = [one for one in sets if one.is_worth_it][:MOST_OF_A_WALK]
    return Walk(climate, tuple(worth), len(sets) - len(worth))


def _urgency(one: ToRead) -> tuple[int, float, str]:
    """Put what may be dry first, then what nobody read, then what tells most."""
    first = {Outlook.MAY_BE: 0, Outlook.UNREAD: 1}.get(one.forecast.outlook, 2)
    return (first, -one.forecast.narrows_days, one.number)


def _lying(part: Part | None) -> Step | None:
    if part is None:
        return None
    return (
        part.steps.filter(state=StepState.DWELLING).select_related("at_station").first()
    )


def _room(step: Step | None, at: datetime) -> Climate | None:
    """Give the room that a set lies in; a rack where lacquer cures is none."""
    if step is None or step.at_station is None:
        return None
    code = step.at_station.code
    return next((one for one in lumber.climates(at=at) if one.code == code), None)


def _keeps_until(row: PlankSet, part: Part | None) -> datetime | None:
    """Say until when wood that waits for the glue is dry enough for it."""
    if part is None:
        return None
    glued = part.steps.filter(operation__joins=Joins.PIECES)
    if not glued.exclude(state=StepState.DONE).exists():
        return None
    return keeps_until(plank_set_id=row.pk, part_id=part.pk)


def _pieces(
    one: SetRow, species: str, own: Dryness | None, limit: Decimal | None
) -> tuple[PieceSize, ...]:
    wet, dry = (own.worst_pct if own else None), limit

    def moves(size: Decimal) -> Movement | None:
        if wet is None or dry is None or wet <= dry:
            return None
        return movement(species, float(size), float(wet), float(dry))

    return tuple(
        PieceSize(
            piece.id,
            piece.letter,
            piece.code,
            piece.length_mm,
            piece.width_mm,
            piece.thickness_mm,
            piece.mass_g,
            piece.density_kg_m3,
            moves(piece.width_mm),
            moves(piece.thickness_mm),
        )
        for piece in one.pieces
    )
