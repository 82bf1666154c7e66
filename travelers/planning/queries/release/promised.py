"""Which days were promised, and which of them still hold?"""

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from travelers.orders.models import Instrument
from travelers.orders.rules import InstrumentState
from travelers.planning.models import OrderPromise
from travelers.planning.queries.forecast.page import last_forecast
from travelers.planning.queries.release.page import last_plan


@dataclass(frozen=True, slots=True)
class KeptPromise:
    """A day that was promised; ``in_time_pct`` is what the last forecast says of it.

    ``finished_on`` is of its last instrument, once none is open any more.
    """

    order: str
    promised_on: date
    wished_on: date
    certainty_pct: int
    made_at: datetime
    made_by: str
    due_on: date
    in_time_pct: float | None
    finished_on: date | None

    @property
    def is_kept(self) -> bool | None:
        """Whether it was kept; None while nobody knows."""
        return (
            None if self.finished_on is None else self.finished_on <= self.promised_on
        )


def kept_promises(*, zone: ZoneInfo) -> tuple[KeptPromise, ...]:
    """List the promises, the last one first, with how they stand.

    An order on the floor is in the last forecast, one that waits in the last plan; both
    tell of its due day, so of one that was moved since nothing is said.
    """
    rows = list(
        OrderPromise.objects.select_related("order", "made_by").order_by(
            "-made_at", "-id"
        )
    )
    shares: dict[str, float] = {}
    if plan := last_plan():
        shares |= {one["order"]: one["late_share"] for one in plan.results["orders"]}
    if last := last_forecast():
        shares |= {one["name"]: one["late_share"] for one in last.results["orders"]}
    ends = _ends([one.order_id for one in rows], zone)
    return tuple(_row(one, shares, ends) for one in rows)


def _row(
    one: OrderPromise, shares: dict[str, float], ends: dict[int, date]
) -> KeptPromise:
    order = one.order
    late = shares.get(order.number) if order.due_on == one.promised_on else None
    ended = ends.get(order.pk)
    return KeptPromise(
        order.number,
        one.promised_on,
        one.wished_on,
        one.certainty_pct,
        one.made_at,
        str(one.made_by),
        order.due_on,
        None if late is None or ended else 100 * (1 - late),
        ended,
    )


def _ends(order_ids: list[int], zone: ZoneInfo) -> dict[int, date]:
    """Say when the last instrument of each order was closed that has none open."""
    found: dict[int, date] = {}
    still: set[int] = set()
    rows = Instrument.objects.filter(order__in=order_ids).order_by("id")
    for order, state, closed_at in rows.values_list("order_id", "state", "closed_at"):
        if state == InstrumentState.OPEN or closed_at is None:
            still.add(order)
            continue
        day = closed_at.astimezone(zone).date()
        found[order] = max(day, found.get(order, day))
    return {order: day for order, day in found.items() if order not in still}
