"""What was tried, and what came of it beside today?"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.orders.models import WorkOrder
from travelers.orders.queries import open_orders
from travelers.planning.models import WhatIf
from travelers.shop.models import Station

DAY_S = 86_400
Days = tuple[date, date, date]


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """One thing that is otherwise: how much, at which station or order."""

    sort: str
    name: str
    much: str


@dataclass(frozen=True, slots=True)
class TrialRow:
    id: int
    name: str
    made_by: str
    changes: tuple[ChangeRow, ...]
    tried_at: datetime | None
    sooner_days: tuple[float, float, float] | None
    fewer_late: tuple[float, float, float] | None


@dataclass(frozen=True, slots=True)
class OrderDays:
    """An order's days of 50, 80 and 95 of 100, as it is and as it would be."""

    order: str
    here: Days
    there: Days

    @property
    def days_sooner(self) -> int:
        return (self.here[1] - self.there[1]).days


@dataclass(frozen=True, slots=True)
class TrialPage:
    row: TrialRow
    futures: int
    seed: int
    orders: tuple[OrderDays, ...]


def trials() -> tuple[TrialRow, ...]:
    """List what was tried, the last one first."""
    names = dict(Station.objects.values_list("code", "name"))
    rows = WhatIf.objects.select_related("made_by").order_by("-made_at", "-id")
    return tuple(_row(one, names) for one in rows)


def trial_page(*, what_if_id: int, zone: ZoneInfo) -> TrialPage:
    found = WhatIf.objects.select_related("made_by").filter(pk=what_if_id).first()
    if found is None:
        raise Refused(NOT_FOUND)
    names = dict(Station.objects.values_list("code", "name"))
    told: Mapping[str, Any] = found.results or {}
    orders = []
    for one in told.get("orders", ()):
        here, there = (
            _days(one[side], found.tried_at, zone) for side in ("here_s", "there_s")
        )
        orders.append(OrderDays(one["order"], here, there))
    row = _row(found, names)
    return TrialPage(row, told.get("futures", 0), told.get("seed", 0), tuple(orders))


def what_can_change() -> tuple[list[tuple[str, str]], list[str]]:
    """Name the stations, and the orders on the floor."""
    stations = Station.objects.order_by("name", "code").values_list("code", "name")
    orders = WorkOrder.objects.filter(pk__in=open_orders()).order_by("due_on", "id")
    return list(stations), list(orders.values_list("number", flat=True))


def _row(one: WhatIf, names: Mapping[str, str]) -> TrialRow:
    told: Mapping[str, Any] = one.results or {}
    sooner = fewer = None
    if told:
        finish, late = told["finish_s"], told["late"]
        days = [-finish[end] / DAY_S for end in ("mean", "high", "low")]
        sooner = (days[0], days[1], days[2])
        fewer = (-late["mean"], -late["high"], -late["low"])
    changes = tuple(_changes(one.changes, names))
    return TrialRow(
        one.pk, one.name, str(one.made_by), changes, one.tried_at, sooner, fewer
    )


def _changes(told: Mapping[str, Any], names: Mapping[str, str]) -> list[ChangeRow]:
    found = []
    for sort in ("more_places", "longer_h"):
        for code, much in told.get(sort, {}).items():
            found.append(ChangeRow(sort, names.get(code, code), f"{much:+d}"))
    for code, (first, last) in told.get("out", {}).items():
        found.append(ChangeRow("out", names.get(code, code), f"{first} – {last}"))
    for order in told.get("first", ()):
        found.append(ChangeRow("first", order, ""))
    return found


def _days(seconds: list[float], at: datetime | None, zone: ZoneInfo) -> Days:
    if at is None:
        raise ValueError("what was not tried has no days")
    half, usual, sure = (
        (at + timedelta(seconds=one)).astimezone(zone).date() for one in seconds
    )
    return half, usual, sure
