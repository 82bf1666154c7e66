"""Which made-up floors are releases planned for, whose chances are known?"""

from datetime import UTC, date, datetime, timedelta
from random import Random
from typing import Any

from travelers.formulas import forecast as fc
from travelers.formulas.forecast import fixed, gamma
from travelers.planning.queries.forecast import FloorNow
from travelers.planning.queries.forecast.to_come import ToCome
from travelers.planning.queries.release.asked import Asked
from travelers.planning.queries.release.ground import DAYS, Ground, looked_at

DAY, HOUR = 86_400, 3_600
MONDAY = date(2026, 3, 9)
AT = datetime(2026, 3, 9, tzinfo=UTC)
WEEK = fc.weekly([(n * DAY + 8 * HOUR, n * DAY + 16 * HOUR) for n in range(5)])
STATIONS = (
    fc.Station("saw", 2, WEEK, is_holding=True),
    fc.Station("room", 14, WEEK, is_holding=True),
    fc.Station("paint", 3, WEEK, is_holding=True),
    fc.Station("bench", 2, WEEK, is_holding=True),
)


def jobs_of(name: str, chance: Random, *, done: bool) -> tuple[fc.Job, ...]:
    """Give the stretches of an instrument; one that is begun lies in the room."""
    body = (
        fc.Step("saw", work=gamma(HOUR, 0.5)),
        fc.Step("room", dwell=gamma(12 * DAY, 0.25)),
        fc.Step("paint", work=gamma(3 * HOUR, 0.6), dwell=fixed(2 * DAY)),
        fc.Step("bench", work=gamma(HOUR, 0.4), rework=0.08, back_to=2),
    )
    neck = (
        fc.Step("saw", work=gamma(HOUR, 0.5)),
        fc.Step("bench", work=gamma(4 * HOUR, 0.8)),
    )
    whole = (fc.Step("bench", work=gamma(2 * HOUR, 0.5)),)
    told: dict[str, Any] = {}
    if done:
        told = {"done": 1, "at": fc.At.DWELLING, "spent_s": chance.random() * 10 * DAY}
    return (
        fc.Job(f"{name} BODY", name, body, **told),
        fc.Job(f"{name} NECK", name, neck),
        fc.Job(f"{name} ASSEMBLY", name, whole, joins=(f"{name} BODY", f"{name} NECK")),
    )


def world(
    seed: int,
    *,
    orders: int = 6,
    on_floor: int = 8,
    certainty_pct: int = 80,
    most: int | None = 16,
    within: tuple[int, int] = (40, 110),
) -> Ground:
    """Make a floor with some instruments in its room, and orders to be released.

    Orders are due on a day of ``within``, from today as 0.
    """
    chance = Random(seed)
    coming = tuple(
        ToCome(
            f"W{n}",
            n + 1,
            1,
            n + 1,
            chance.randint(2, 6),
            MONDAY + timedelta(days=chance.randint(*within)),
            5,
        )
        for n in range(orders)
    )
    jobs: list[fc.Job] = []
    owners: list[fc.Instrument] = []
    for n in range(on_floor):
        owners.append(fc.Instrument(f"I{n}", "on floor", 60.0 * DAY))
        jobs += jobs_of(f"I{n}", chance, done=True)
    for one in coming:
        due_s = ((one.due_on - MONDAY).days + 1) * float(DAY)
        owners += [fc.Instrument(name, one.number, due_s) for name in one.names]
        for name in one.names:
            jobs += jobs_of(name, chance, done=False)
    line = fc.Line(STATIONS, tuple(jobs), tuple(owners))
    floor: Any = FloorNow(AT, line, (), None, (), {})  # type: ignore[arg-type]
    here = Ground(
        asked=Asked(certainty_pct, most, True, coming),
        floor=floor,
        alone={},
        limits=(),
        rooms=("room",),
        open_days=tuple(n % 7 < 5 for n in range(DAYS)),
        offset_s=0.0,
        today=MONDAY,
    )
    return looked_at(here=here, seed=seed)
