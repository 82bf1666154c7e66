"""What does the page say of the last plan, and what can be released from it?"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import Any
from zoneinfo import ZoneInfo

from travelers.kit.people import has_one_of
from travelers.kit.refusals import Refusal
from travelers.orders.models import WorkOrder
from travelers.orders.queries import ORDER_KEEPERS, Proposed, proposed_wood
from travelers.planning.models import ReleasePlan
from travelers.planning.queries.forecast import FIRST, WHOLE, not_compiled
from travelers.planning.queries.forecast.page import FRESH
from travelers.planning.queries.release.asked import Asked, asked
from travelers.planning.queries.release.ground import IN_WORK
from travelers.planning.rules import CERTAINTIES, Holds
from travelers.shop.models import Person

DAY_S = 86_400


class Due(StrEnum):
    """When an order is to be released."""

    THIS_WEEK = "THIS_WEEK"
    NEXT_WEEK = "NEXT_WEEK"
    LATER = "LATER"
    NEVER = "NEVER"


@dataclass(frozen=True, slots=True)
class PlanKnown:
    """Of when a plan is, of how many futures, and corrected by how many orders."""

    made_at: datetime
    seed: int
    futures: int
    parts: int
    is_fresh: bool
    learned_of: int

    @property
    def is_done(self) -> bool:
        return self.is_fresh and self.futures >= WHOLE

    @property
    def next_futures(self) -> int:
        return WHOLE if self.is_fresh else FIRST


@dataclass(frozen=True, slots=True)
class OrderPlan:
    """When an order should start, when it shall, and by when it is finished.

    ``by`` are the days of 50, 80 and 95 of 100, ``sure`` that of the certainty asked
    for; all None for an order that is never released.  ``lead_days`` is how long
    before its day it must start.
    """

    latest_on: date
    release_on: date | None
    by: tuple[date, date, date] | None
    sure: date | None
    in_time_pct: float
    holds: Holds
    held_by: str
    lead_days: float
    spent: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class ReleaseRow:
    """An order that waits, with the wood it has or could have, and its plan."""

    number: str
    model: str
    finish: str
    quantity: int
    due_on: date
    wood: tuple[Proposed, ...]
    plan: OrderPlan | None

    @property
    def missing(self) -> tuple[Proposed, ...]:
        return tuple(one for one in self.wood if one.missing)

    @property
    def set_ids(self) -> str:
        """Name the sets that are proposed, as a form carries them."""
        return ",".join(str(one.id) for wood in self.wood for one in wood.sets)


@dataclass(frozen=True, slots=True)
class Group:
    """The orders that are to be released in one time; ``until`` is its last day."""

    due: Due
    until: date | None
    rows: tuple[ReleaseRow, ...]

    @property
    def ready(self) -> int:
        """How many of them have all their wood."""
        return sum(not row.missing for row in self.rows)


@dataclass(frozen=True, slots=True)
class Filled:
    """How much is somewhere in a week: on average, and at the most as sure as asked."""

    likely: float
    most: int


@dataclass(frozen=True, slots=True)
class WeekRow:
    day: date
    in_work: Filled
    rooms: tuple[Filled, ...]


@dataclass(frozen=True, slots=True)
class ReleasePage:
    """All orders that wait, by the time of their release, and how full it gets."""

    known: PlanKnown | None
    asked: Asked
    groups: tuple[Group, ...]
    weeks: tuple[WeekRow, ...]
    rooms: tuple[tuple[str, int], ...]
    today: date
    fault: Refusal | None
    may_write: bool

    @property
    def rows(self) -> tuple[ReleaseRow, ...]:
        return tuple(row for group in self.groups for row in group.rows)

    @property
    def asks_on(self) -> bool:
        return bool(
            self.asked.orders
            and not self.fault
            and not (self.known and self.known.is_done)
        )

    @property
    def late(self) -> int:
        return sum(
            row.plan is not None and row.plan.holds is not Holds.HOLDS
            for row in self.rows
        )

    @property
    def woodless(self) -> int:
        return sum(bool(row.missing) for row in self.rows)


def last_plan() -> ReleasePlan | None:
    return ReleasePlan.objects.order_by("-made_at").first()


def kept_leads(*, asked: Asked) -> dict[str, float]:
    """Give what the last plan learned of lead times, if it was asked for the same."""
    last = last_plan()
    if last is None or last.results["mark"] != asked.mark:
        return {}
    return {one["order"]: one["lead_s"] for one in last.results["orders"]}


def release_page(*, at: datetime, zone: ZoneInfo, by: Person) -> ReleasePage:
    wanted, last = asked(at=at), last_plan()
    today = at.astimezone(zone).date()
    told: Mapping[str, Any] = last.results if last else {}
    if told and told["mark"][0] != wanted.certainty_pct:
        # Whether an order holds was asked otherwise.
        told, last = {}, None
    known = None
    if last:
        fresh = at - last.made_at < FRESH and told["mark"] == wanted.mark
        known = PlanKnown(
            last.made_at,
            last.seed,
            last.futures,
            told["parts"],
            fresh,
            told.get("learned_of", 0),
        )
    rows = _rows(wanted, told)
    return ReleasePage(
        known,
        wanted,
        _groups(rows, today),
        tuple(_week(one, told["rooms"]) for one in told.get("weeks", ())),
        tuple((one["name"], one["places"]) for one in told.get("rooms", {}).values()),
        today,
        not_compiled(),
        has_one_of(by, ORDER_KEEPERS),
    )


def _rows(wanted: Asked, told: Mapping[str, Any]) -> list[ReleaseRow]:
    """Show the orders as they wait now, each with what the last plan says of it."""
    names = {code: one["name"] for code, one in told.get("rooms", {}).items()}
    due = {one.number: one.due_on.isoformat() for one in wanted.orders}
    was = {number: day for number, _, _, day in told["mark"][2]} if told else {}
    plans = {
        one["order"]: _plan(one, wanted.certainty_pct, names)
        for one in told.get("orders", ())
        if was.get(one["order"]) == due.get(one["order"])
    }
    number = sorted(
        due,
        key=lambda one: (
            (plans[one].release_on or date.max) if one in plans else date.max,
            due[one],
        ),
    )
    wood = proposed_wood(numbers=number)
    orders = {
        one.number: one
        for one in WorkOrder.objects.filter(
            pk__in=[one.id for one in wanted.orders]
        ).select_related("revision__model")
    }
    return [
        ReleaseRow(
            name,
            orders[name].revision.model.name,
            orders[name].finish,
            orders[name].quantity,
            orders[name].due_on,
            wood.get(name, ()),
            plans.get(name),
        )
        for name in number
        if name in orders
    ]


def _plan(
    told: Mapping[str, Any], certainty_pct: int, names: Mapping[str, str]
) -> OrderPlan:
    day = date.fromisoformat
    half, usual, sure = map(day, told["by_on"]) if told["by_on"] else (None,) * 3
    by = (half, usual, sure) if half and usual and sure else None
    held = told["held_by"]
    return OrderPlan(
        day(told["latest_on"]),
        day(told["release_on"]) if told["release_on"] else None,
        by,
        by[CERTAINTIES.index(certainty_pct)] if by else None,
        100 * (1 - told["late_share"]),
        Holds(told["holds"]),
        held if held == IN_WORK else names.get(held, held),
        told["lead_s"] / DAY_S,
        tuple((sort, told[sort]) for sort in ("lies", "closed", "waits", "works")),
    )


def _groups(rows: Sequence[ReleaseRow], today: date) -> tuple[Group, ...]:
    """Tell this week's releases from next week's and later ones; Sunday ends a week."""
    sunday = today + timedelta(days=6 - today.weekday())
    ends = {Due.THIS_WEEK: sunday, Due.NEXT_WEEK: sunday + timedelta(weeks=1)}
    found: dict[Due, list[ReleaseRow]] = {due: [] for due in Due}
    for row in rows:
        found[_due(row, ends)].append(row)
    return tuple(
        Group(due, ends.get(due), tuple(some)) for due, some in found.items() if some
    )


def _due(row: ReleaseRow, ends: Mapping[Due, date]) -> Due:
    if row.plan is None:
        return Due.LATER
    day = row.plan.release_on
    if day is None:
        return Due.NEVER
    return next((due for due, end in ends.items() if day <= end), Due.LATER)


def _week(told: Mapping[str, Any], rooms: Iterable[str]) -> WeekRow:
    return WeekRow(
        date.fromisoformat(told["day"]),
        Filled(*told["in_work"]),
        tuple(Filled(*told["rooms"][room]) for room in rooms),
    )
