"""How is a workshop made that has been at work for months?"""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import connection, transaction
from django.utils import timezone

from travelers.demo import queries
from travelers.demo.actions.carrying import Carriers
from travelers.demo.actions.deciding import Deciders
from travelers.demo.actions.drying import Drying
from travelers.demo.actions.living import Floor
from travelers.demo.actions.ordering import Office
from travelers.demo.actions.planting import Planted
from travelers.demo.actions.rooms import heat_rooms
from travelers.demo.actions.routing import make_model, name_defects, name_materials
from travelers.demo.actions.setting_up import Shop, set_up_shop
from travelers.demo.actions.wood import accept_wood
from travelers.demo.actions.working import Hand, Hands
from travelers.demo.rules import reasons
from travelers.demo.rules.agenda import Agenda, Process
from travelers.demo.rules.chances import Chances
from travelers.demo.rules.crew import HANDS
from travelers.demo.rules.pace import pauses
from travelers.demo.rules.plan import SPREAD_OVER, Planned, plan, released
from travelers.demo.rules.planting import USUAL, Cause
from travelers.kit.refusals import Refused

# The last scan was so long ago, so that nobody sees a scan of the future.
JUST_NOW = timedelta(minutes=2)
MODELS = ("tern", "heron")
# In the last minutes whoever has work is at it.
LAST_STRETCH = 18
COUNTED_AFTER = timedelta(days=14)
BUSY_DAYS = timedelta(days=4)
# The routes were released so long before the first order.
BEFORE = timedelta(days=30)


@dataclass(frozen=True, slots=True)
class Loaded:
    """What came of it."""

    orders: int
    instruments: int
    scans: int
    refused: int


def load_demo(
    *, seed: int, instruments: int, now: datetime, cause: Cause = USUAL
) -> Loaded:
    """Let the demo's workshop live until shortly before ``now``, all or nothing.

    The hidden ``cause`` makes some of its defects, for whoever looks for causes.

    1. Only an empty database takes it in.
    2. Shop, wood and routes are set up; the orders are planned backwards from now.
    3. Orders are released and worked on, hour by hour, by the shop's own verbs.
    """
    if not queries.is_empty():
        raise Refused(reasons.NOT_EMPTY)
    with transaction.atomic():
        end = now - JUST_NOW
        chances = Chances(seed)
        shop = set_up_shop(end=end, zone=ZoneInfo(timezone.get_default_timezone_name()))
        orders = _plan(shop, instruments, end, chances)
        _furnish(shop, orders[0].made_at - BEFORE, end, chances)
        return _Months(shop, orders, chances, end, cause).live()


@transaction.atomic
def furnish(*, at: datetime, zone: ZoneInfo) -> Shop:
    """Set the demo's workshop up as it stood before its first order."""
    shop = set_up_shop(end=at, zone=zone)
    _furnish(shop, at - BEFORE, at, Chances(1))
    return shop


def _furnish(shop: Shop, since: datetime, until: datetime, chances: Chances) -> None:
    accept_wood(shop=shop)
    heat_rooms(shop=shop, since=since, until=until, chance=chances.of("air"))
    name_defects(shop=shop)
    name_materials()
    for name in MODELS:
        make_model(name=name, shop=shop, at=since)


def _plan(
    shop: Shop, instruments: int, end: datetime, chances: Chances
) -> tuple[Planned, ...]:
    said = [queries.fixture(name=name) for name in MODELS]
    return plan(
        instruments=instruments,
        finishes={model["code"]: model["finishes"] for model in said},
        hours=shop.day_shift,
        end=end,
        chance=chances.of("orders"),
    )


class _Months:
    """The months from the first order to the end."""

    def __init__(
        self,
        shop: Shop,
        orders: tuple[Planned, ...],
        chances: Chances,
        end: datetime,
        cause: Cause,
    ) -> None:
        self._shop = shop
        self._orders = orders
        self._chances = chances
        self._end = end
        self._agenda = Agenda(orders[0].made_at - timedelta(hours=1))
        self._floor = Floor(shop, chances, self._agenda)
        self._planted = Planted(self._floor, cause)
        self._office = Office(shop, chances)

    def live(self) -> Loaded:
        Carriers(self._floor)
        deciders = Deciders(self._floor, self._planted, self._office)
        hands = Hands(self._floor, deciders)
        drying = Drying(self._floor)
        for order in self._orders:
            self._agenda.start(self._order(order), order.made_at)
        holds = deciders.hold_now_and_then(self._end - BUSY_DAYS)
        self._agenda.start(holds, self._agenda.now)
        self._agenda.start(deciders.look_at_reworks(), self._agenda.now)
        self._agenda.start(drying.walk(), self._agenda.now)
        for hand in self._hands():
            hands.set_to_work(hand)
        if connection.vendor == "postgresql":
            self._agenda.start(self._count_rows(), self._agenda.now)
        self._agenda.run(self._end)
        scans, refused = queries.count_scans()
        return Loaded(len(self._orders), len(self._floor.benches), scans, refused)

    def _count_rows(self) -> Process:
        """Tell PostgreSQL how its tables grow, which in one transaction it cannot see.

        It would go on planning for the empty tables that it met at the beginning.
        Only our own are counted: those that all databases of a server share stay locked
        until the load ends, and another's would wait for it.
        """
        own = connection.introspection.django_table_names(only_existing=True)
        names = ", ".join(map(connection.ops.quote_name, own))
        while True:
            with connection.cursor() as cursor:
                cursor.execute(f"ANALYZE {names}")
            yield self._agenda.now + COUNTED_AFTER

    def _order(self, planned: Planned) -> Process:
        """Make an order, and release it when its time has come."""
        order_id = self._office.make(planned)
        if planned.released_at is None:
            return
        yield planned.released_at
        self._floor.wood |= queries.wood_of_order(order_id=order_id)
        for instrument in self._office.release(order_id, planned.released_at):
            self._floor.look_at(part_code=queries.tag_of(instrument_id=instrument.pk))

    def _hands(self) -> list[Hand]:
        made = released(self._orders)
        routes = {
            model: (count / made.total(), queries.route_of(model=model))
            for model, count in made.items()
        }
        waits = pauses(
            hands=HANDS,
            routes=routes,
            stations=queries.stations_of_operations(),
            per_workday=made.total() / SPREAD_OVER,
        )
        return [self._hand(name, waits[name]) for name in HANDS]

    def _hand(self, name: str, pause: timedelta) -> Hand:
        job = HANDS[name]
        hours = replace(self._shop.hours[job.shift], weekdays=job.days)
        last = self._chances.minutes("last start", 2, LAST_STRETCH)
        return Hand(
            person=self._shop.people[name],
            hours=hours,
            stations=job.stations,
            pause=pause,
            last_start=hours.before(self._end, last),
        )
