"""How far has a part come with its step?"""

from datetime import datetime, timedelta

from travelers.formulas.forecast import At, Step
from travelers.orders.rules import StepState
from travelers.planning.queries.forecast.open_steps import Row
from travelers.planning.queries.forecast.steps import Laid
from travelers.planning.queries.forecast.waits import Free
from travelers.routes.rules import OperationKind

Stands = tuple[At, int, float]


def stands_at(
    row: Row, laid: Laid, made: tuple[Step, ...], free: Free, at: datetime
) -> Stands:
    """Say how far a part has come with a step, at which of those laid down, since when.

    Seconds of open time for what works or waits beside, of any time for what lies.
    """
    if row.state is StepState.RUNNING and row.started_at:
        return At.WORKING, laid.main, free.behind.between_s(row.started_at, at)
    if row.state is StepState.DWELLING and row.dwell_until:
        return _lies(row, row.dwell_until, laid, made, free, at)
    if row.ready_at:
        return _waits(row, row.ready_at, laid, made, free, at)
    return At.WAITING, laid.start, 0.0


def _lies(
    row: Row,
    until: datetime,
    laid: Laid,
    made: tuple[Step, ...],
    free: Free,
    at: datetime,
) -> Stands:
    """What lay long enough waits to be taken out, unless it is wood that dries."""
    dries = bool(made[laid.main].dwell.values)
    if until <= at and not dries and laid.lies_on:
        return At.WORKING, laid.main + 1, free.behind.between_s(until, at)
    since = until - row.line.shortest_dwell
    if row.line.kind is OperationKind.HOLD and row.started_at:
        since = row.started_at
    return At.DWELLING, laid.main, _seconds(at - since)


def _waits(
    row: Row,
    ready: datetime,
    laid: Laid,
    made: tuple[Step, ...],
    free: Free,
    at: datetime,
) -> Stands:
    """A coat rests first; then it waits for somebody, or for a place."""
    rests = row.line.shortest_between if row.repeat > 1 else None
    rested = ready + (rests or timedelta(0))
    if rested > at and laid.start and made[laid.start - 1].station is None:
        return At.DWELLING, laid.start - 1, _seconds(at - ready)
    if laid.main > laid.start:
        return At.WORKING, laid.start, free.between_s(rested, at)
    return At.WAITING, laid.start, _seconds(at - rested)


def _seconds(span: timedelta) -> float:
    """Give what has passed: what was pressed while the floor is read has not begun."""
    return max(0.0, span.total_seconds())
