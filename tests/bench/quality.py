"""Does QA wait for a trace, a chart or the search for a cause when history grows?

The trace is that of a delivery of 200 planks to 1,500 instruments, measured once with
nothing else in the house and once with a hundred times as much. The board of the same
run stands beside it. Beside each time stands what the processor worked: on a machine
with other work the clock says more than that.
"""

import os
from random import Random
from typing import Any
from uuid import uuid4

from tests.bench.ground import database, say
from tests.bench.pages import Took, median, page
from tests.bench.table import row, tried

PLANKS, INSTRUMENTS, TIMES, ROUNDS = 200, 2_000, 100, 9
POINTS = 500
MET, CANDIDATES, CASES = 2_000, 300, 60
# The copies that make history grow have greater numbers than this.
FAR = 10_000_000


def main() -> None:
    tried("the search for what is in common", _search)
    with database():
        from django.conf import settings
        from django.test import Client

        from tests import make

        settings.ALLOWED_HOSTS.append("testserver")
        shop = make.shop(uses=True)
        client = Client()
        client.force_login(shop.cast.qa)
        number = _deliver(shop)
        address = f"/quality/trace/delivery/{number}/"
        once = _cost(client, shop, address)
        _grow(TIMES - 1)
        often = _cost(client, shop, address)
        _live(shop)
        asked = "?kind=TEAR_OUT&since=2025-01-01&until=2027-12-31"
        common = _cost(client, shop, f"/quality/common/{asked}")
        _measure(shop)
        chart = _cost(client, shop, _chart_address())
        plain = _cost(client, shop, "/board/")
    _tell(f"trace to {INSTRUMENTS} instruments", once)
    _tell(f"the same with {TIMES} times the history", often, aim=300)
    _tell(f"in common, of {INSTRUMENTS} instruments", common, aim=500)
    _tell(f"a chart of {POINTS} parts", chart, aim=200)
    _tell("the board", plain)


def _tell(what: str, took: Took, *, aim: int | None = None) -> None:
    say(f"{what}: {took.processor_ms:.1f} ms of the processor")
    row(what, took.ms, "ms", at_most=aim)


def _search() -> None:
    from travelers.formulas.association import in_common

    chance = Random(5)
    groups = {
        n: chance.sample(range(MET), chance.choice([6, 12, 40, 150]))
        for n in range(CANDIDATES)
    }
    cases = set(chance.sample(range(MET), CASES))
    is_case = [n in cases for n in range(MET)]
    took = median(lambda: in_common(groups, is_case), rounds=ROUNDS)
    _tell(f"in common: {MET} x {CANDIDATES} candidates", took, aim=500)


def _deliver(shop: Any) -> str:
    """Make the instruments, and let the wood of their bodies be of one delivery."""
    from travelers.lumber.models import Delivery, Plank, PlankSet

    for _ in range(INSTRUMENTS // 100):
        shop.instruments(100)
    delivery = Delivery.objects.earliest("pk")
    planks = list(Plank.objects.order_by("pk")[:PLANKS])
    Plank.objects.filter(pk__in=[one.pk for one in planks]).update(delivery=delivery)
    sets = list(PlankSet.objects.filter(purpose="BODY").order_by("pk"))
    for n, one in enumerate(sets):
        one.plank = planks[n % PLANKS]
    PlankSet.objects.bulk_update(sets, ["plank"], batch_size=500)
    return str(delivery.number)


def _grow(times: int) -> None:
    """Copy wood and instruments so many times, as of other deliveries."""
    from django.db import connection

    tables = {
        "lumber_delivery": ({"number": "-{n}"}, ()),
        "lumber_plank": ({"number": "-{n}", "code": "{n}"}, ("delivery_id",)),
        "lumber_plankset": ({"number": "-{n}", "code": "{n}"}, ("plank_id",)),
        "orders_instrument": ({"serial": "-{n}"}, ()),
        "orders_part": ({"code": "{n}"}, ("instrument_id", "plank_set_id")),
    }
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA ignore_check_constraints = ON")
        cursor.execute("PRAGMA foreign_keys = OFF")
        for table, (texts, numbers) in tables.items():
            description = connection.introspection.get_table_description(cursor, table)
            columns = [one.name for one in description]
            for n in range(1, times + 1):
                chosen = ", ".join(_copied(name, texts, numbers, n) for name in columns)
                cursor.execute(
                    f"INSERT INTO {table} ({', '.join(columns)}) "
                    f"SELECT {chosen} FROM {table} WHERE id < {FAR}"
                )
        cursor.execute("ANALYZE")


def _copied(name: str, texts: dict[str, str], numbers: tuple[str, ...], n: int) -> str:
    if name in texts:
        return f"{name} || '{texts[name].format(n=n)}'"
    if name == "id" or name in numbers:
        return f"{name} + {n * FAR}"
    # An order has each place once.
    return f"position + {n * 200}" if name == "position" else name


def _live(shop: Any) -> None:
    """Let every instrument be worked on, measured and dried; some are defective."""
    from travelers.floor.models import Event
    from travelers.orders.models import Step
    from travelers.quality.models import Defect
    from travelers.routes.models import DefectKind

    chance = Random(9)
    at = shop.later(hours=3)
    steps = list(Step.objects.filter(instrument_id__lt=FAR).select_related("operation"))
    events = [
        _event(shop, step, kind, at) for step in steps for kind in ("START", "FINISH")
    ]
    Event.objects.bulk_create(events, batch_size=2_000)
    done = [one for one in events if one.kind == "FINISH"]
    _read(done, chance)
    _use(shop, events, chance)
    _dry(shop, [one for one in done if one.step.operation.kind == "HOLD"], chance)
    machined = [one for one in done if one.step.operation.name == "Machine"]
    Step.objects.filter(pk__in=[one.step_id for one in machined]).update(
        state="DONE", finished_at=at
    )
    kind = DefectKind.objects.get(code="TEAR_OUT")
    Defect.objects.bulk_create(
        Defect(
            event=one,
            part_id=one.part_id,
            step_id=one.step_id,
            kind=kind,
            severity="MINOR",
            x="0.5",
            y="0.5",
        )
        for one in chance.sample(machined, CASES)
    )


def _read(done: list[Any], chance: Random) -> None:
    """Let a value be read at each event, with one gauge or another."""
    from travelers.floor.models import Reading
    from travelers.routes.models import Characteristic
    from travelers.shop.models import Gauge

    gauges, check = list(Gauge.objects.all()), Characteristic.objects.get(code="POCKET")
    Reading.objects.bulk_create(
        [
            Reading(
                event=one,
                characteristic=check,
                place=1,
                value="56.1",
                unit="mm",
                verdict="INSIDE",
                gauge=chance.choice(gauges),
                in_calibration=True,
            )
            for one in done
        ],
        batch_size=2_000,
    )


def _use(shop: Any, events: list[Any], chance: Random) -> None:
    """Let begin and end of what uses a batch be of one of forty or so."""
    from travelers.floor.models import MaterialUse
    from travelers.routes.models import MaterialNeed

    batches = {
        code: [shop.batch(code) for _ in range(40)] for code in ("GLUE", "LACQUER")
    }
    needs = {
        need.operation_id: need
        for need in MaterialNeed.objects.filter(material__traced="BATCH")
        .select_related("material")
        .order_by("pk")
    }
    MaterialUse.objects.bulk_create(
        [
            MaterialUse(
                event=one,
                need=need,
                batch=chance.choice(batches[need.material.code]),
                serial="",
            )
            for one in events
            if (need := needs.get(one.step.operation_id))
        ],
        batch_size=2_000,
    )


def _dry(shop: Any, dried: list[Any], chance: Random) -> None:
    """Let parts lie in loads of eight or so."""
    from travelers.floor.models import Load, Stay

    room = shop.cast.stations["ROOM"]
    loads = [
        Load(id=uuid4(), station=room, person=shop.cast.joiner, begun_at=shop.now)
        for _ in range(len(dried) // 8)
    ]
    Load.objects.bulk_create(loads)
    Stay.objects.bulk_create(
        [
            Stay(
                load=chance.choice(loads), step_id=one.step_id, event=one, taken_out=one
            )
            for one in dried
        ],
        batch_size=2_000,
    )


def _event(shop: Any, step: Any, kind: str, at: Any) -> Any:
    from travelers.floor.models import Event

    return Event(
        event_id=uuid4(),
        kind=kind,
        instrument_id=step.instrument_id,
        part_id=step.part_id,
        step=step,
        station_id=step.station_id,
        person=shop.cast.joiner,
        happened_at=at,
        recorded_at=at,
        data={},
        accepted=True,
        came_late=False,
        wish_digest="0",
        digest="0",
    )


def _measure(shop: Any) -> None:
    """Write down a value of the pocket for so many bodies."""
    from travelers.floor.models import Reading
    from travelers.orders.models import Step
    from travelers.routes.models import Characteristic

    chance = Random(7)
    check = Characteristic.objects.get(code="POCKET")
    steps = Step.objects.filter(operation=check.operation).select_related("part")
    for step in steps.order_by("pk")[:POINTS]:
        event = _event(shop, step, "READ", shop.later(hours=3))
        event.save()
        Reading.objects.create(
            event=event,
            characteristic=check,
            place=1,
            value=f"{56.12 + chance.gauss(0, 0.02):.3f}",
            unit="mm",
            verdict="INSIDE",
        )


def _chart_address() -> str:
    from travelers.routes.models import Characteristic

    return f"/quality/charts/{Characteristic.objects.get(code='POCKET').pk}/"


def _cost(client: Any, shop: Any, address: str) -> Took:
    import time_machine

    with time_machine.travel(shop.now, tick=True):
        client.force_login(shop.cast.qa)
        return page(client, address, rounds=ROUNDS).took


if __name__ == "__main__":
    os.environ.setdefault("SECRET_KEY", "bench")
    main()
