"""How does a forecast come to be kept?"""

import hashlib
from dataclasses import fields, replace
from datetime import date, datetime
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from django.db import transaction

from travelers.formulas import forecast as fc
from travelers.kit.refusals import Refused
from travelers.planning.models import Forecast, LivedThrough
from travelers.planning.queries.forecast import (
    FloorNow,
    floor_now,
    gains,
    lessons,
    most_limiting,
    told,
    why_not,
)

# So many stations are tried with more, in so many futures each.
TRIED, TRIED_FUTURES = 3, 200
Kept = TypeVar("Kept", bound=LivedThrough)


def make_forecast(
    *,
    at: datetime,
    seed: int,
    futures: int,
    zone: ZoneInfo,
    with_gains: bool = False,
) -> Forecast:
    """Live through futures of the floor as it stands, and keep what they say.

    1. The floor is read; what is read has a digest, so that a result can be had again.
    2. The futures are lived through, and with ``with_gains`` those of the floor with a
       little more at the stations that limit most.
    3. Days are corrected by what came of those that were said before.
    4. It takes the place of the day's last forecast.
    """
    floor = read_floor(at=at, zone=zone)
    results = told(
        floor=floor,
        futures=fc.simulate(floor.line, seed, futures),
        lessons=lessons(at=at),
    )
    if with_gains:
        tried = most_limiting(results=results, count=TRIED)
        results["gains"] = gains(
            floor=floor,
            stations=tried,
            seed=seed,
            futures=min(futures, TRIED_FUTURES),
        )
    return keep_of_the_day(
        Forecast,
        day=at.astimezone(zone).date(),
        made_at=at,
        seed=seed,
        futures=futures,
        digest=digest_of(line=floor.line),
        results=results,
    )


@transaction.atomic
def keep_of_the_day(kind: type[Kept], *, day: date, **told: Any) -> Kept:
    """Keep a forecast or a plan in place of the day's last one."""
    found, _ = kind._default_manager.update_or_create(day=day, defaults=told)
    return found


def read_floor(*, at: datetime, zone: ZoneInfo) -> FloorNow:
    """Read the floor, if there is something on it and it can be lived through."""
    if fault := why_not():
        raise Refused(fault)
    return floor_now(at=at, zone=zone)


def digest_of(*, line: fc.Line) -> str:
    """Name all that goes into a forecast by its SHA-256.

    Many jobs share their steps: each step is written once, and then by its number.
    """
    numbers: dict[fc.Step, int] = {}
    known: dict[int, int] = {}
    for job in line.jobs:
        for step in job.steps:
            if id(step) not in known:
                known[id(step)] = numbers.setdefault(step, len(numbers))
    others = [one.name for one in fields(fc.Job) if one.name != "steps"]
    jobs = [
        (
            [known[id(step)] for step in job.steps],
            [getattr(job, name) for name in others],
        )
        for job in line.jobs
    ]
    told = (replace(line, jobs=()), list(numbers), jobs)
    return hashlib.sha256(repr(told).encode()).hexdigest()
