"""When will the sets that lie in a room be dry, and which are worth a reading?"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from enum import StrEnum

from django.db.models import Min, QuerySet

from travelers.formulas.drying import (
    DayRange,
    DryingFit,
    RatePrior,
    days_below,
    fit_many,
    narrowing,
    pool,
)
from travelers.kit.fields import written
from travelers.lumber import queries as lumber
from travelers.lumber.models import Piece
from travelers.lumber.queries import Climate, Session
from travelers.lumber.rules import Air, Dryness
from travelers.orders.models import Step
from travelers.orders.rules import StepState

CONFIDENCE = 0.8
DAY = timedelta(days=1)
# The air that a forecast goes on with is that of so long, or since the set came in.
AIR_OF = timedelta(days=14)
# Of the sets that dried here before, so many of the last half year are learned from.
PAST, MOST_PAST = timedelta(days=182), 300
# Sets dry alike when their thickness is the same to a centimetre.
ALIKE_MM = 10

# Species, thickness in centimetres, branch and number of the operation: wood that was
# glued dries otherwise than sawn wood.
Sort = tuple[int, int, str, int]


class Outlook(StrEnum):
    """What can be said of a set that lies to dry.

    ``MAY_BE`` is dry by the forecast, which only a reading can tell.
    """

    UNREAD = "UNREAD"
    DRY = "DRY"
    MAY_BE = "MAY_BE"
    WILL_BE = "WILL_BE"
    NEVER = "NEVER"


@dataclass(frozen=True, slots=True)
class Lot:
    """A set that lies, or lay, in a room."""

    step_id: int
    set_id: int
    since: datetime
    until: datetime | None
    sort: Sort


@dataclass(frozen=True, slots=True)
class Forecast:
    """When a set's worst reading will be below the limit, 80 % sure; or why no day."""

    outlook: Outlook
    dryness: Dryness | None = None
    expected_at: datetime | None = None
    earliest_at: datetime | None = None
    latest_at: datetime | None = None
    narrows_days: float = 0.0


def forecasts(
    *, climate: Climate, at: datetime, with_narrowing: bool = False
) -> dict[int, Forecast]:
    """Forecast all sets that lie in a room, by step; parts without wood are left out.

    1. Fit each set's readings since it came in, to the room's air of two weeks.
    2. Where they are few, lean on how sets of the same sort dried here before.
    3. Say the day, or that this air never gets there.
    """
    lying = _lots(
        Step.objects.filter(
            state__in=(written(StepState.DWELLING),), at_station__code=climate.code
        )
    )
    if not lying:
        return {}
    dry = lumber.drynesses(plank_set_ids=[lot.set_id for lot in lying])
    read = _readings(lying)
    air = lumber.air_since(room_id=climate.id, since=at - AIR_OF)
    if air is None:
        return {lot.step_id: _unknown(lot, dry, read, climate) for lot in lying}
    known = [lot for lot in lying if lot.step_id in read]
    priors = _priors(climate, air, lying, read, at)
    fits = fit_many(
        [_days(lot, read[lot.step_id]) for lot in known],
        [air.equilibrium_pct] * len(known),
        priors=[priors.get(lot.sort) for lot in known],
    )
    limit = float(climate.limit_pct)
    limits = [limit] * len(known)
    ranges = days_below(fits, limits, CONFIDENCE)
    now = [(at - lot.since) / DAY for lot in known]
    told = narrowing(fits, limits, now, CONFIDENCE) if with_narrowing else []
    found = {lot.step_id: _unknown(lot, dry, read, climate) for lot in lying}
    for n, lot in enumerate(known):
        gain = told[n] if told else 0.0
        found[lot.step_id] = _said(
            lot, dry.get(lot.set_id), ranges[n], climate, gain, at
        )
    return found


def dried(*, room_code: str, until: datetime) -> list[Lot]:
    """Give the sets that dried in a room and are out, the last first."""
    rows = Step.objects.filter(
        state=StepState.DONE,
        station__code=room_code,
        finished_at__lte=until,
        finished_at__gt=until - PAST,
    ).order_by("-finished_at")
    return _lots(rows)[:MOST_PAST]


def readings_of(lots: Sequence[Lot]) -> dict[int, list[Session]]:
    """Give each lot's readings while it lay, by step; those without are left out."""
    return _readings(lots)


def days_of(lot: Lot, sessions: Sequence[Session]) -> tuple[list[float], list[float]]:
    """Lay a lot's readings out as days since it came in, and moistures."""
    return _days(lot, sessions)


def _lots(steps: QuerySet[Step]) -> list[Lot]:
    rows = steps.filter(part__plank_set__isnull=False).values_list(
        "pk",
        "part__plank_set_id",
        "started_at",
        "finished_at",
        "part__plank_set__plank__delivery__species_id",
        "operation__branch",
        "operation__number",
    )
    found = list(rows)
    thick = dict(
        Piece.objects.filter(plank_set_id__in={row[1] for row in found})
        .values_list("plank_set_id")
        .annotate(thick=Min("thickness_mm"))
        .order_by()
    )
    return [
        Lot(step, own, since, until, (species, _class(thick.get(own)), branch, number))
        for step, own, since, until, species, branch, number in found
        if since
    ]


def _class(thickness_mm: Decimal | None) -> int:
    return round((thickness_mm or 0) / ALIKE_MM)


def _readings(lots: Sequence[Lot]) -> dict[int, list[Session]]:
    sessions = lumber.sessions(plank_set_ids={lot.set_id for lot in lots})
    found = {}
    for lot in lots:
        own = [
            one
            for one in sessions.get(lot.set_id, [])
            if lot.since <= one.read_at and (not lot.until or one.read_at <= lot.until)
        ]
        if own:
            found[lot.step_id] = own
    return found


def _days(lot: Lot, sessions: Sequence[Session]) -> tuple[list[float], list[float]]:
    return (
        [(one.read_at - lot.since) / DAY for one in sessions],
        [one.worst_pct for one in sessions],
    )


def _priors(
    climate: Climate,
    air: Air,
    lying: Sequence[Lot],
    read: Mapping[int, list[Session]],
    at: datetime,
) -> dict[Sort, RatePrior]:
    """Learn how fast each sort dries here, from what lies and what is out again."""
    past = dried(room_code=climate.code, until=at)
    long_air = lumber.air_since(room_id=climate.id, since=at - PAST) or air
    both = [(lot, air) for lot in lying] + [(lot, long_air) for lot in past]
    told = {**_readings(past), **read}
    # One reading says nothing of a rate.
    both = [(lot, air) for lot, air in both if len(told.get(lot.step_id, ())) > 1]
    return learned([(lot, told[lot.step_id], own.equilibrium_pct) for lot, own in both])


def learned(
    told: Sequence[tuple[Lot, Sequence[Session], float]],
) -> dict[Sort, RatePrior]:
    """Pool the rates of lots by their sort; sorts with fewer than three have none."""
    fits = fit_many(
        [_days(lot, sessions) for lot, sessions, _ in told],
        [equilibrium for _, _, equilibrium in told],
    )
    by_sort: dict[Sort, list[DryingFit]] = {}
    for (lot, _, _), one in zip(told, fits, strict=True):
        by_sort.setdefault(lot.sort, []).append(one)
    pooled = {sort: pool(some) for sort, some in by_sort.items()}
    return {sort: one for sort, one in pooled.items() if one}


def _unknown(
    lot: Lot,
    dry: Mapping[int, Dryness],
    read: Mapping[int, list[Session]],
    climate: Climate,
) -> Forecast:
    """Say what is known of a set without a fit: nothing, or that it is dry."""
    own = dry.get(lot.set_id) if lot.step_id in read else None
    is_dry = own and not own.unread and own.worst_pct < climate.limit_pct
    return Forecast(Outlook.DRY if is_dry else Outlook.UNREAD, own)


def _said(
    lot: Lot,
    own: Dryness | None,
    days: DayRange | None,
    climate: Climate,
    gain: float,
    at: datetime,
) -> Forecast:
    if own and not own.unread and own.worst_pct < climate.limit_pct:
        return Forecast(Outlook.DRY, own)
    if days is None or climate.remedy:
        return Forecast(Outlook.NEVER, own)
    day, first, last = (
        lot.since + _span(one) for one in (days.day, days.earliest, days.latest)
    )
    if day <= at:
        return Forecast(Outlook.MAY_BE, own, narrows_days=gain)
    return Forecast(Outlook.WILL_BE, own, day, max(first, at), last, gain)


def _span(days: float) -> timedelta:
    """Say days as a time, none beyond a year and a half: later is no forecast."""
    return timedelta(days=min(days, 548.0) if math.isfinite(days) else 548.0)
