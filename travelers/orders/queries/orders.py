"""Which orders are there, and how does one stand?"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Count, Q, QuerySet

from travelers.kit.fields import written
from travelers.kit.leaves import Leaf, cut_leaf
from travelers.kit.people import has_one_of
from travelers.kit.refusals import NOT_FOUND, Refusal, Refused
from travelers.orders import rules
from travelers.orders.models import Allotment, Instrument, Part, WorkOrder
from travelers.orders.queries.instruments import InstrumentRow, instruments_of
from travelers.orders.queries.wood import Wood, wood_of
from travelers.orders.rules import InstrumentState, Look
from travelers.routes.models import WoodNeed
from travelers.routes.queries import released_route
from travelers.shop.models import Person
from travelers.shop.rules import Role

ON_A_LEAF = 60
ORDER_KEEPERS = (Role.PLANNER,)
ORDER_READERS = (Role.PLANNER, Role.LEAD, Role.QA, Role.ROUTE_ENGINEER)


@dataclass(frozen=True, slots=True)
class OrderRow:
    """An order as a list shows it; ``looks`` counts its parts on the floor."""

    number: str
    model: str
    finish: str
    quantity: int
    due_on: date
    is_late: bool
    priority: int
    released_at: datetime | None
    finished: int
    scrapped: int
    allotted: int
    wood_wanted: int
    looks: tuple[tuple[Look, int], ...]


@dataclass(frozen=True, slots=True)
class OrderList:
    waiting: tuple[OrderRow, ...]
    on_floor: tuple[OrderRow, ...]
    finished: tuple[OrderRow, ...]
    leaf: Leaf
    may_write: bool


@dataclass(frozen=True, slots=True)
class OrderPage:
    """An order with its wood, and once it is released with its instruments."""

    id: int
    number: str
    model: str
    model_code: str
    revision: str
    finish: str
    note: str
    quantity: int
    due_on: date
    priority: int
    made_at: datetime
    made_by: str
    released_at: datetime | None
    released_by: str
    shortest: timedelta
    wood: tuple[Wood, ...]
    lacking: Refusal | None
    instruments: tuple[InstrumentRow, ...]
    leaf: Leaf
    finished: int
    scrapped: int
    may_write: bool


def open_orders() -> QuerySet[Instrument, int]:
    """Name the orders with an instrument on the floor, by their own index."""
    return Instrument.objects.filter(state=written(InstrumentState.OPEN)).values_list(
        "order", flat=True
    )


def get_order(*, number: str) -> WorkOrder:
    order = (
        WorkOrder.objects.select_related("revision__model", "made_by", "released_by")
        .filter(number=number)
        .first()
    )
    if order is None:
        raise Refused(NOT_FOUND)
    return order


def is_order(*, number: str) -> bool:
    return WorkOrder.objects.filter(number=number).exists()


def orders(*, leaf: int, today: date, by: Person) -> OrderList:
    """List what is to be released and what is on the floor, by the day it is due,
    and what is finished, the latest first."""
    rows = WorkOrder.objects.select_related("revision__model")
    still = Q(pk__in=open_orders())
    waiting = list(rows.filter(released_at=None).order_by("due_on", "priority", "id"))
    on_floor = list(
        rows.filter(still, released_at__isnull=False).order_by(
            "due_on", "priority", "id"
        )
    )
    finished, shown = cut_leaf(
        rows.filter(~still, released_at__isnull=False).order_by("-due_on", "-id"),
        number=leaf,
        size=ON_A_LEAF,
    )
    told = _Told.of([*waiting, *on_floor, *finished])
    return OrderList(
        tuple(told.row(order, today) for order in waiting),
        tuple(told.row(order, today) for order in on_floor),
        tuple(told.row(order, today) for order in finished),
        shown,
        may_write(by=by),
    )


def order_page(*, number: str, leaf: int, by: Person) -> OrderPage:
    order = get_order(number=number)
    wood = wood_of(order=order)
    instruments, shown = instruments_of(order=order, leaf=leaf)
    told = _Told.of([order])
    model = order.revision.model
    return OrderPage(
        order.pk,
        order.number,
        model.name,
        model.code,
        order.revision.number,
        order.finish,
        order.note,
        order.quantity,
        order.due_on,
        order.priority,
        order.made_at,
        str(order.made_by),
        order.released_at,
        str(order.released_by or ""),
        released_route(revision_id=order.revision_id).shortest_lead(),
        wood,
        rules.wood_missing(
            order=order.number,
            quantity=order.quantity,
            allotted={one.branch: len(one.given) for one in wood},
        ),
        instruments,
        shown,
        told.closed[order.pk, InstrumentState.FINISHED],
        told.closed[order.pk, InstrumentState.SCRAPPED],
        may_write(by=by),
    )


def may_write(*, by: Person) -> bool:
    return has_one_of(by, ORDER_KEEPERS)


@dataclass(frozen=True, slots=True)
class _Told:
    """What is counted of several orders at once: one query a count."""

    closed: Mapping[tuple[int, str], int]
    looks: Mapping[tuple[int, str], int]
    allotted: Mapping[int, int]
    needs: Mapping[int, int]

    @classmethod
    def of(cls, orders: list[WorkOrder]) -> "_Told":
        closed = Instrument.objects.filter(order__in=orders).exclude(
            state=InstrumentState.OPEN
        )
        on_floor = Part.objects.filter(
            instrument__order__in=orders, stage__isnull=False
        )
        waiting = [order for order in orders if order.released_at is None]
        return cls(
            _count(closed, "order_id", "state"),
            _count(on_floor, "instrument__order_id", "look"),
            _count_one(Allotment.objects.filter(order__in=waiting), "order_id"),
            _count_one(WoodNeed.objects.all(), "model_id"),
        )

    def row(self, order: WorkOrder, today: date) -> OrderRow:
        finished = self.closed[order.pk, InstrumentState.FINISHED]
        scrapped = self.closed[order.pk, InstrumentState.SCRAPPED]
        return OrderRow(
            order.number,
            order.revision.model.name,
            order.finish,
            order.quantity,
            order.due_on,
            order.due_on < today and finished + scrapped < order.quantity,
            order.priority,
            order.released_at,
            finished,
            scrapped,
            self.allotted[order.pk],
            self.needs[order.revision.model_id] * order.quantity,
            tuple(
                (look, self.looks[order.pk, look])
                for look in Look
                if self.looks[order.pk, look]
            ),
        )


def _count(rows: QuerySet, key: str, word: str) -> Mapping[tuple[int, str], int]:  # type: ignore[type-arg]
    counts: dict[tuple[int, str], int] = defaultdict(int)
    for row in rows.order_by(key, word).values(key, word).annotate(n=Count("*")):
        counts[row[key], row[word]] = row["n"]
    return counts


def _count_one(rows: QuerySet, key: str) -> Mapping[int, int]:  # type: ignore[type-arg]
    counts: dict[int, int] = defaultdict(int)
    for row in rows.order_by(key).values(key).annotate(n=Count("*")):
        counts[row[key]] = row["n"]
    return counts
