"""Who may enter which address?  Every address, tried by everybody.

The table says of each address who gets in and with what answer; whoever is signed in
and not named gets 403, and a stranger is sent to the sign-in.  An address that the
table does not know fails the test, so that nobody can forget to think of it.
"""

from collections.abc import Callable, Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass, field
from typing import Any

import pytest
from django.db import models, transaction
from django.test import Client
from django.urls import get_resolver
from django.urls.resolvers import URLPattern, URLResolver

from tests import make
from tests.desk import client
from tests.house.one_of_each import World, furnish
from travelers.floor.models import (
    Batch,
    BatchAtStation,
    BatchHold,
    Event,
    Hold,
    MaterialUse,
    Pin,
    Reading,
)
from travelers.lumber.models import (
    Delivery,
    DeliveryPaper,
    Logger,
    MoistureReading,
    Piece,
    Plank,
    PlankSet,
    Room,
    RoomReading,
    Species,
    SpeciesCorrection,
    Supplier,
)
from travelers.orders.models import Allotment, Instrument, Part, Step, WorkOrder
from travelers.paper import documents
from travelers.paper.models import Sheet
from travelers.planning.models import (
    Forecast,
    OrderPromise,
    ReleasePlan,
    ReleaseRules,
    WhatIf,
)
from travelers.quality.models import (
    ChartBase,
    Contained,
    Containment,
    Defect,
    DefectPhoto,
    Disposition,
    GaugeStudy,
    SignalAnswer,
    StudyPart,
    StudyValue,
    Verification,
)
from travelers.routes.models import (
    Characteristic,
    DefectKind,
    InstrumentModel,
    Material,
    Operation,
    Revision,
    WoodNeed,
)
from travelers.shop.models import (
    Badge,
    ClosedDay,
    Counter,
    Cutter,
    Gauge,
    GaugeFault,
    HouseRules,
    NeedsQualification,
    Person,
    Qualification,
    Shift,
    Stage,
    Station,
    Tablet,
)

BENCH = ("joiner", "finisher", "lead", "qa", "admin")
WOOD = ("lead", "planner", "admin")
PAPERS = ("lead", "planner", "qa", "admin")
PLANS = ("planner", "admin")
LEADS = ("lead", "admin")
ROUTES = ("engineer", "admin")
DECIDERS = ("lead", "qa", "admin")
READERS = ("joiner", "finisher", "lead", "planner", "qa", "admin")
DESK = ("lead", "planner", "qa", "engineer", "admin")
ALL = ("joiner", "finisher", *DESK)
SIGNED_IN = (*ALL, "outsider")
# The first opens the most doors; on PostgreSQL the gate tries no other.
EVERYBODY = tuple(sorted(("", *SIGNED_IN), key=lambda who: who != "admin"))


@dataclass(frozen=True)
class Way:
    """Who comes through, with what answer, and what they send."""

    who: tuple[str, ...]
    status: int = 200
    sends: Callable[[World], Mapping[str, Any]] = field(default=lambda world: {})


@dataclass(frozen=True)
class Door:
    """An address: what fills it, and who may look and who may act there."""

    fills: Callable[[World], Mapping[str, Any]] = field(default=lambda world: {})
    get: Way | None = None
    post: Way | None = None
    public: bool = False


def order(world: World) -> Mapping[str, Any]:
    return {"number": world.order.number}


def order_waiting(world: World) -> Mapping[str, Any]:
    return {"number": world.waiting.number}


def order_wooded(world: World) -> Mapping[str, Any]:
    return {"number": world.wooded.number}


def a_stage(world: World) -> Mapping[str, Any]:
    return {"stage": "LUMBER"}


def a_day(world: World) -> Mapping[str, Any]:
    return {"day": "2026-03-10"}


def delivery(world: World) -> Mapping[str, Any]:
    return {"number": world.delivery.number}


def plank(world: World) -> Mapping[str, Any]:
    return {"number": world.plank.number}


def a_plan(world: World) -> Mapping[str, Any]:
    need = WoodNeed.objects.earliest("id")
    sizes = {"length_mm": 900, "width_mm": 200, "kerf_mm": 3}
    return sizes | {"edge_trim_mm": 0, "end_trim_mm": 0, f"n-{need.pk}": 1}


def plank_set(world: World) -> Mapping[str, Any]:
    return {"number": world.set.number}


def released_revision(world: World) -> Mapping[str, Any]:
    return {"model": "WREN", "number": "A"}


def draft(world: World) -> Mapping[str, Any]:
    return {"model": "WREN", "number": "B"}


def station(world: World) -> Mapping[str, Any]:
    return {"code": "SAW"}


def room(world: World) -> Mapping[str, Any]:
    return {"code": "ROOM"}


def batch(world: World) -> Mapping[str, Any]:
    return {"code": Batch.objects.get().code}


def joiner(world: World) -> Mapping[str, Any]:
    return {"username": "joiner"}


def skill(world: World) -> Mapping[str, Any]:
    return {"stage": world.skill.stage.code, "kind": world.skill.kind}


def instrument(world: World) -> Mapping[str, Any]:
    return {"serial": world.instrument.serial}


def gauge(world: World) -> Mapping[str, Any]:
    return {"tag": Gauge.objects.earliest("pk").tag}


def study(world: World) -> Mapping[str, Any]:
    return {"number": GaugeStudy.objects.earliest("pk").pk}


def studied(world: World) -> Mapping[str, Any]:
    own = GaugeStudy.objects.earliest("pk").characteristic.operation.station
    return {"code": own.code, **study(world)}


def checked(world: World) -> Mapping[str, Any]:
    return {"number": Characteristic.objects.earliest("pk").pk}


def traced(world: World) -> Mapping[str, Any]:
    return {"kind": "instrument", "key": world.instrument.serial}


def what_if(world: World) -> Mapping[str, Any]:
    return {"number": WhatIf.objects.get().pk}


def start(world: World) -> Mapping[str, Any]:
    begun = Event.objects.filter(kind="START", instrument=world.instrument).latest(
        "seq"
    )
    return {"serial": world.instrument.serial, "target": begun.event_id}


DOORS: dict[str, Door] = {
    # The shop
    "sign-in/": Door(get=Way(EVERYBODY), post=Way(EVERYBODY, 200), public=True),
    "sign-out/": Door(post=Way(SIGNED_IN, 302)),
    "sign-in/here/": Door(post=Way(ALL, 204)),
    "tablet/": Door(get=Way(EVERYBODY), post=Way(EVERYBODY, 422), public=True),
    "tablets/": Door(get=Way(LEADS), post=Way(LEADS, 422)),
    "tablets/<int:number>/revoke/": Door(
        lambda world: {"number": world.tablet.pk}, post=Way(LEADS, 302)
    ),
    "people/": Door(get=Way(LEADS)),
    "people/<str:username>/": Door(joiner, get=Way(LEADS), post=Way(LEADS, 422)),
    "people/<str:username>/badge/revoke/": Door(joiner, post=Way(LEADS, 302)),
    "people/<str:username>/pause/lift/": Door(joiner, post=Way(LEADS, 302)),
    "qualifications/": Door(get=Way(LEADS), post=Way(LEADS, 422)),
    "qualifications/<str:stage>/<str:kind>/": Door(
        skill, get=Way(LEADS), post=Way(LEADS, 302)
    ),
    "qualifications/<str:stage>/<str:kind>/stop/": Door(skill, post=Way(LEADS, 302)),
    "": Door(get=Way(ALL)),
    "stations/": Door(get=Way(ALL)),
    # Lumber
    "lumber/": Door(get=Way(ALL)),
    "lumber/new/": Door(get=Way(WOOD), post=Way(WOOD, 422)),
    "lumber/<str:number>/": Door(delivery, get=Way(ALL), post=Way(WOOD, 422)),
    "lumber/<str:number>/papers/": Door(delivery, post=Way(WOOD, 422)),
    "lumber/<str:number>/papers/<int:paper>/": Door(
        lambda world: delivery(world) | {"paper": 1}, get=Way(PAPERS, 404)
    ),
    "lumber/plank/<str:number>/": Door(plank, get=Way(ALL), post=Way(WOOD, 422)),
    "lumber/plank/<str:number>/plan/": Door(plank, get=Way(ALL), post=Way(WOOD, 422)),
    "lumber/set/<str:number>/weigh/": Door(plank_set, post=Way(WOOD, 302)),
    # Rooms
    "rooms/": Door(get=Way(ALL), post=Way(DECIDERS, 422)),
    "rooms/<str:code>/": Door(room, get=Way(ALL), post=Way(READERS, 422)),
    "rooms/<str:code>/import/": Door(room, get=Way(READERS), post=Way(READERS, 422)),
    "rooms/<str:code>/loggers/": Door(room, get=Way(LEADS), post=Way(LEADS, 422)),
    "rooms/<str:code>/loggers/<int:number>/out/": Door(
        lambda world: room(world) | {"number": Logger.objects.get().pk},
        post=Way(LEADS, 302),
    ),
    # It asks for a logger's token.
    "rooms/<str:code>/log/": Door(room, post=Way(EVERYBODY, 403), public=True),
    "rooms/<str:code>/air.svg": Door(room, get=Way(ALL)),
    "rooms/<str:code>/places.svg": Door(room, get=Way(ALL)),
    "moisture/": Door(get=Way(ALL)),
    "moisture/calibration/": Door(get=Way(ALL)),
    "moisture/<str:number>/": Door(plank_set, get=Way(ALL), post=Way(READERS, 422)),
    # Routes
    "routes/": Door(get=Way(ALL)),
    "routes/<str:model>/<str:number>/": Door(released_revision, get=Way(ALL)),
    "routes/<str:model>/<str:number>/release/": Door(draft, post=Way(ROUTES, 302)),
    "routes/<str:model>/<str:number>/draft/": Door(
        released_revision, post=Way(ROUTES, 409)
    ),
    "routes/<str:model>/<str:number>/drop/": Door(draft, post=Way(ROUTES, 302)),
    # Orders
    "orders/": Door(get=Way(DESK)),
    "orders/new/": Door(get=Way(PLANS), post=Way(PLANS, 422)),
    "orders/<str:number>/": Door(order, get=Way(DESK)),
    "orders/<str:number>/allot/": Door(order_waiting, post=Way(PLANS, 422)),
    "orders/<str:number>/take-back/": Door(order_waiting, post=Way(PLANS, 302)),
    "orders/<str:number>/release/": Door(order_wooded, post=Way(PLANS, 302)),
    # Planning
    "board/": Door(get=Way(ALL)),
    "board/wall/": Door(get=Way(ALL)),
    "board/<str:stage>/<str:branch>/": Door(
        lambda world: {"stage": "LUMBER", "branch": "BODY"}, get=Way(ALL)
    ),
    "flow/": Door(get=Way(ALL)),
    "flow/course.svg": Door(get=Way(ALL)),
    "flow/weeks.svg": Door(get=Way(ALL)),
    "flow/ages.svg": Door(get=Way(ALL)),
    "flow/open/": Door(get=Way(ALL)),
    "flow/closed/": Door(get=Way(ALL)),
    "flow/released/": Door(get=Way(ALL)),
    "flow/waits/<str:stage>/": Door(a_stage, get=Way(ALL)),
    "flow/passed/<str:stage>/": Door(a_stage, get=Way(ALL)),
    "flow/day/<str:day>/": Door(a_day, get=Way(ALL)),
    "flow/day/<str:day>/<str:stage>/": Door(
        lambda world: a_day(world) | a_stage(world), get=Way(ALL)
    ),
    "limits/": Door(get=Way(WOOD), post=Way(WOOD, 302)),
    "limits/load.svg": Door(get=Way(WOOD)),
    "promises/": Door(get=Way(WOOD)),
    "promises/record/": Door(get=Way(WOOD)),
    "release/": Door(get=Way(WOOD), post=Way(WOOD, 302)),
    "release/rules/": Door(post=Way(PLANS, 422)),
    "release/now/": Door(post=Way(PLANS, 422)),
    "release/starts.svg": Door(get=Way(WOOD)),
    "release/fill.svg": Door(get=Way(WOOD)),
    "ask/": Door(get=Way(WOOD), post=Way(WOOD, 422)),
    "ask/accept/": Door(post=Way(PLANS, 404)),
    "what-if/": Door(get=Way(WOOD), post=Way(WOOD, 422)),
    "what-if/<int:number>/": Door(what_if, get=Way(WOOD), post=Way(WOOD, 302)),
    "what-if/<int:number>/drop/": Door(what_if, post=Way(WOOD, 302)),
    # The floor: what a role may do with a part is the ledger's to judge.
    "station/<str:code>/": Door(station, get=Way(ALL)),
    "station/<str:code>/help/": Door(station, get=Way(ALL)),
    "station/<str:code>/wish/": Door(station, get=Way(ALL, 303), post=Way(ALL, 422)),
    "station/<str:code>/scan/": Door(station, get=Way(ALL, 303), post=Way(ALL, 422)),
    "station/<str:code>/several/": Door(
        station,
        get=Way(ALL, 200, lambda world: {"wish": "LOAD"}),
        post=Way(ALL, 422),
    ),
    "station/<str:code>/reading/": Door(station, get=Way(ALL, 303), post=Way(ALL, 422)),
    "station/<str:code>/batch/": Door(station, get=Way(ALL, 303), post=Way(ALL, 422)),
    "station/<str:code>/cutters/": Door(
        station, get=Way(ALL), post=Way(("joiner", "finisher", *DECIDERS), 422)
    ),
    "station/<str:code>/answer/": Door(station, get=Way(ALL, 303), post=Way(ALL, 422)),
    "T/<str:code>": Door(lambda world: {"code": world.body.code}, get=Way(ALL, 302)),
    "instrument/<str:serial>/": Door(instrument, get=Way(ALL)),
    "instrument/<str:serial>/hold/": Door(
        instrument, get=Way(ALL, 302), post=Way(ALL, 422)
    ),
    "instrument/<str:serial>/lift/": Door(
        instrument, get=Way(ALL, 302), post=Way(ALL, 422)
    ),
    "instrument/<str:serial>/first/": Door(instrument, post=Way(PLANS, 422)),
    "first/": Door(get=Way(ALL)),
    "first/lift/": Door(post=Way(PLANS, 422)),
    "instrument/<str:serial>/undo/<uuid:target>/": Door(
        start, get=Way(DECIDERS), post=Way(DECIDERS, 422)
    ),
    "instrument/<str:serial>/swap/": Door(
        instrument, get=Way(("qa", "admin")), post=Way(("qa", "admin"), 422)
    ),
    "instrument/<str:serial>/paper/": Door(
        instrument, get=Way(BENCH), post=Way(BENCH, 422)
    ),
    "instrument/<str:serial>/anew/<str:code>/": Door(
        lambda world: {"serial": world.instrument.serial, "code": world.body.code},
        get=Way(("planner", "qa", "admin"), 404),
        post=Way(("planner", "qa", "admin"), 404),
    ),
    "quality/gauges/<str:tag>/bad/": Door(gauge, post=Way(("qa", "admin"), 422)),
    "quality/gauges/<str:tag>/back/": Door(gauge, post=Way(("qa", "admin"), 422)),
    "find/": Door(get=Way(ALL, 200)),
    # Materials
    "materials/": Door(get=Way(ALL), post=Way(DECIDERS, 422)),
    "materials/batch/<str:code>/": Door(batch, get=Way(ALL)),
    "materials/batch/<str:code>/hold/": Door(batch, post=Way(DECIDERS, 422)),
    "materials/batch/<str:code>/lift/": Door(batch, post=Way(DECIDERS, 422)),
    # The outbox: a tablet of the shop comes in by its token too (tests/outbox).
    "station/<str:code>/outbox/": Door(station, post=Way(ALL, 422), public=True),
    "station/<str:code>/due.json": Door(station, get=Way(ALL), public=True),
    "late/": Door(get=Way(DECIDERS)),
    "late/<int:number>/seen/": Door(
        lambda world: {"number": 1}, post=Way(DECIDERS, 404)
    ),
    "sw.js": Door(get=Way(EVERYBODY), public=True),
    # Decisions
    "decisions/": Door(get=Way(DECIDERS)),
    "decisions/answer/": Door(get=Way(DECIDERS, 302), post=Way(DECIDERS, 422)),
    # Quality
    "quality/report/": Door(
        get=Way(BENCH, 200, lambda world: {"step": world.defect.step_id}),
        post=Way(BENCH, 422, lambda world: {"step": world.defect.step_id}),
    ),
    "quality/outline/<slug:part>/<slug:shape>.svg": Door(
        lambda world: {"part": "body", "shape": "solid"}, get=Way(READERS)
    ),
    "quality/gauges/": Door(get=Way(READERS), post=Way(("qa", "admin"), 422)),
    "quality/gauges/<str:tag>/": Door(gauge, get=Way(ALL), post=Way(("qa",), 422)),
    "quality/studies/<int:number>/": Door(study, get=Way(BENCH)),
    "quality/studies/<int:number>/part/": Door(study, post=Way(("qa", "admin"), 422)),
    "quality/studies/<int:number>/off/": Door(study, post=Way(("qa", "admin"), 422)),
    "station/<str:code>/study/": Door(station, get=Way(ALL)),
    "station/<str:code>/study/<int:number>/": Door(
        studied, get=Way(ALL), post=Way(ALL, 422)
    ),
    "quality/pareto/": Door(get=Way(ALL)),
    "quality/trace/": Door(get=Way(ALL)),
    "quality/trace/<slug:kind>/<str:key>/": Door(traced, get=Way(ALL)),
    "quality/trace/<slug:kind>/<str:key>/twigs/": Door(traced, get=Way(ALL)),
    "quality/charts/": Door(get=Way(ALL)),
    "quality/charts/<int:number>/": Door(checked, get=Way(ALL)),
    "quality/charts/<int:number>/base/": Door(checked, post=Way(("qa", "admin"), 422)),
    "quality/charts/<int:number>/answer/": Door(
        checked,
        get=Way(("lead", "qa", "admin"), 302),
        post=Way(("lead", "qa", "admin"), 422),
    ),
    "quality/common/": Door(get=Way(ALL)),
    "quality/contained/": Door(get=Way(ALL), post=Way(("qa",), 422)),
    "quality/contained/<int:number>/": Door(
        lambda world: {"number": world.containment.pk},
        get=Way(ALL),
        post=Way(("qa",), 422),
    ),
    "quality/defects/": Door(get=Way(READERS)),
    "quality/defects/<int:number>/": Door(
        lambda world: {"number": world.defect.pk},
        get=Way(READERS),
        post=Way(("qa",), 422),
    ),
    # It is used as it is: nothing was done again.
    "quality/defects/<int:number>/verify/": Door(
        lambda world: {"number": world.defect.pk}, post=Way(("qa",), 409)
    ),
    "paper/rework/<int:number>.pdf": Door(
        lambda world: {"number": world.defect.pk}, get=Way(ALL, 409)
    ),
    "quality/defects/<uuid:event_id>/": Door(
        lambda world: {"event_id": world.defect.event.event_id}, get=Way(READERS, 302)
    ),
    # The disk had no room for the photo of this defect.
    "quality/defects/<uuid:event_id>/photo/<int:number>/": Door(
        lambda world: {"event_id": world.defect.event.event_id, "number": 1},
        get=Way(ALL, 404),
    ),
    # Paper
    "paper/traveler/<path:serial>.pdf": Door(instrument, get=Way(ALL)),
    "paper/traveler/<path:serial>.html": Door(instrument, get=Way(ALL)),
    # It is not finished, and has no record yet.
    "paper/record/<path:serial>.pdf": Door(instrument, get=Way(ALL, 409)),
    "paper/travelers/": Door(
        get=Way(DESK, 200, lambda world: {"serial": world.instrument.serial}),
        post=Way(DESK, 200, lambda world: {"serial": world.instrument.serial}),
    ),
    "digest/": Door(get=Way(PAPERS)),
    "digest/digest.pdf": Door(get=Way(PAPERS)),
    "paper/order/<path:number>/travelers.pdf": Door(order, get=Way(DESK)),
    "paper/order/<path:number>/tags.pdf": Door(order, get=Way(DESK)),
    "paper/part/<str:code>/tag.pdf": Door(
        lambda world: {"code": world.body.code}, get=Way(DESK)
    ),
    "paper/plank/<path:number>/plan.pdf": Door(plank, get=Way(ALL, sends=a_plan)),
    "paper/set/<path:number>/labels.pdf": Door(plank_set, get=Way(ALL)),
    "paper/delivery/<path:number>/labels.pdf": Door(delivery, get=Way(ALL)),
    "paper/batch/<str:code>.pdf": Door(batch, get=Way(ALL)),
    "paper/station/<path:code>.pdf": Door(station, get=Way(DESK)),
    "paper/cards/<path:code>.pdf": Door(station, get=Way(DESK)),
    "paper/containment/<int:number>.pdf": Door(
        lambda world: {"number": world.containment.pk}, get=Way(ALL)
    ),
    "paper/load/<uuid:load_id>.pdf": Door(
        lambda world: {"load_id": world.load.pk}, get=Way(ALL)
    ),
    "paper/print-check.pdf": Door(get=Way(DESK)),
    "paper/study/<int:number>/cards.pdf": Door(study, get=Way(DESK)),
    "paper/stations.pdf": Door(get=Way(DESK)),
    "paper/badges.pdf": Door(
        post=Way(LEADS, 200, lambda world: {"username": "joiner"})
    ),
}

# The back door: of each table what an admin may do there.  Everybody else gets 403.
LOOK, CORRECT, KEEP = (), ("change",), ("add", "change", "delete")
BACK_DOOR: dict[type[models.Model], tuple[str, ...]] = {
    **dict.fromkeys((Event, Reading, Hold, Defect, Disposition, Sheet, Counter), LOOK),
    **dict.fromkeys((Badge, Logger, RoomReading, MoistureReading), LOOK),
    **dict.fromkeys((DefectPhoto, DeliveryPaper, HouseRules), LOOK),
    **dict.fromkeys((Containment, Contained, ChartBase, SignalAnswer), LOOK),
    **dict.fromkeys((Verification, Forecast, WhatIf), LOOK),
    **dict.fromkeys((ReleasePlan, ReleaseRules, OrderPromise), LOOK),
    **dict.fromkeys((GaugeStudy, StudyPart, StudyValue), LOOK),
    **dict.fromkeys((Cutter, GaugeFault), LOOK),
    **dict.fromkeys((Batch, BatchHold, BatchAtStation, MaterialUse, Pin), LOOK),
    **dict.fromkeys((Instrument, Part, Step, Allotment, PlankSet, Tablet), LOOK),
    **dict.fromkeys((WorkOrder, Delivery, Plank, Piece), CORRECT),
    **dict.fromkeys((Person, Stage, Station, Shift, ClosedDay, Gauge), KEEP),
    **dict.fromkeys((Qualification, NeedsQualification), LOOK),
    **dict.fromkeys((Species, Supplier, Room, InstrumentModel, DefectKind), KEEP),
    **dict.fromkeys((SpeciesCorrection, Material), KEEP),
    # The first of these is released; drafts are changed.
    **dict.fromkeys((Revision, Operation), ("add",)),
}
# What the back door has beside its tables: what an admin is answered by GET.
PASSAGES = {
    "admin/": 200,
    "admin/login/": 302,
    "admin/logout/": 405,
    "admin/password_change/": 200,
    "admin/password_change/done/": 200,
    "admin/autocomplete/": 403,
    "admin/jsi18n/": 200,
    "admin/r/<path:content_type_id>/<path:object_id>/": 404,
    "admin/shop/person/<id>/password/": 200,
}


def patterns(
    resolver: URLResolver, before: str = ""
) -> Iterator[tuple[str, URLPattern]]:
    """List every address as it is written, with its pattern."""
    for pattern in resolver.url_patterns:
        written = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from patterns(pattern, written)
        else:
            yield written, pattern


def fill(written: str, fills: Mapping[str, Any]) -> str:
    """Put values for the parts of an address that are in angle brackets."""
    address = "/" + written
    for name, value in fills.items():
        before, _, rest = address.partition(f":{name}>")
        address = before[: before.rindex("<")] + str(value) + rest
    assert "<" not in address, f"{written} needs more than {dict(fills)}"
    return address


@pytest.fixture
def shop(db: None, monkeypatch: pytest.MonkeyPatch) -> make.Shop:
    """Give the small shop; doors need no paper, and drawing it takes its time."""
    for paper in documents.__all__:
        if paper.islower():
            monkeypatch.setattr(documents, paper, lambda **_: b"%PDF")
    return make.shop()


def expected(door: Door, method: str, who: str) -> int:
    way = door.get if method == "GET" else door.post
    if not who and not door.public:
        return 302
    if way is None:
        return 405
    return way.status if who in way.who else 403


def answers(
    door: Door, written: str, opened: Client, who: str, world: World
) -> list[str]:
    """Try a door by looking and by acting, and say where the answer is another."""
    address = fill(written, door.fills(world))
    wrong = []
    for method in ("GET", "POST"):
        way = door.get if method == "GET" else door.post
        sends = way.sends(world) if way else {}
        with transaction.atomic():
            send = opened.get if method == "GET" else opened.post
            status = send(address, dict(sends)).status_code
            # What was done behind a door is undone before the next is tried.
            transaction.set_rollback(True)
        want = expected(door, method, who)
        if status != want:
            wrong.append(
                f"{method} {written} as {who or 'a stranger'}: {status}, not {want}"
            )
    return wrong


def test_every_address_is_in_the_table() -> None:
    known = {written for written, _ in patterns(get_resolver())}
    ours = {written for written in known if not written.startswith("admin/")}
    assert ours - set(DOORS) == set()
    assert set(DOORS) - ours == set()


@pytest.mark.parametrize("who", EVERYBODY, ids=lambda who: who or "a-stranger")
def test_every_door_opens_to_whom_it_should(shop: make.Shop, who: str) -> None:
    world = furnish(shop)
    signed_in = client(shop, who)
    wrong = []
    for written, door in DOORS.items():
        opened = Client()
        opened.cookies = deepcopy(signed_in.cookies)
        wrong += answers(door, written, opened, who, world)
    assert wrong == []


def test_a_door_that_opens_to_the_wrong_person_is_found(shop: make.Shop) -> None:
    world = furnish(shop)
    written = "orders/<str:number>/allot/"
    planner = client(shop, "planner")
    assert answers(DOORS[written], written, planner, "planner", world) == []
    for other, found in (
        (
            Door(order_waiting, post=Way(("lead",), 422)),
            "POST {} as planner: 422, not 403",
        ),
        (Door(order_waiting, post=Way(PLANS, 302)), "POST {} as planner: 422, not 302"),
        (
            Door(order_waiting, get=Way(PLANS), post=Way(PLANS, 422)),
            "GET {} as planner: 405, not 200",
        ),
    ):
        wrong = answers(other, written, planner, "planner", world)
        assert wrong == [found.format(written)]


def deeds(model: type[models.Model]) -> dict[str, tuple[str, int]]:
    """Give a table's addresses at the back door, and what an admin is answered."""
    row = model._default_manager.order_by("pk").first()
    assert row is not None, f"There is no {model.__name__} to try the door with."
    base = f"admin/{model._meta.app_label}/{model._meta.model_name}/"
    may = BACK_DOOR[model]
    return {
        "": (base, 200),
        "add/": (f"{base}add/", 200 if "add" in may else 403),
        "<path:object_id>/history/": (f"{base}{row.pk}/history/", 200),
        "<path:object_id>/change/": (f"{base}{row.pk}/change/", 200),
        "<path:object_id>/delete/": (
            f"{base}{row.pk}/delete/",
            200 if "delete" in may else 403,
        ),
        "<path:object_id>/": (f"{base}{row.pk}/", 302),
    }


def test_every_address_of_the_back_door_is_known(shop: make.Shop) -> None:
    furnish(shop)
    told = set(PASSAGES)
    for model in BACK_DOOR:
        base = f"admin/{model._meta.app_label}/{model._meta.model_name}/"
        told |= {base + end for end in deeds(model)}
    known = {
        written
        for written, _ in patterns(get_resolver())
        if written.startswith("admin/")
    }
    # One address for the list of each app, one that catches what is nowhere.
    others = {
        written for written in known if "app_label" in written or "url>" in written
    }
    assert len(others) == 2
    assert known - others - told == set()
    assert told - known == set()


@pytest.mark.parametrize("who", EVERYBODY, ids=lambda who: who or "a-stranger")
def test_the_back_door_opens_to_admins_alone(shop: make.Shop, who: str) -> None:
    furnish(shop)
    opened = client(shop, who)
    tried = {
        address: status for address, status in PASSAGES.items() if "<" not in address
    }
    for model in BACK_DOOR:
        tried |= dict(deeds(model).values())
    tried |= {"admin/shop/": 200, "admin/nowhere/": 404}
    wrong = []
    for address, for_admin in tried.items():
        status = opened.get(f"/{address}").status_code
        want = for_admin if who == "admin" else 403 if who else 302
        if address == "admin/login/":
            want = 302
        if status != want:
            wrong.append(f"{address} as {who or 'a stranger'}: {status}, not {want}")
    assert wrong == []


def test_an_admin_changes_by_the_back_door_what_may_be(shop: make.Shop) -> None:
    """A form that is sent empty is asked again where one may change, else refused."""
    furnish(shop)
    opened = client(shop, "admin")
    wrong = []
    for model, may in BACK_DOOR.items():
        told = deeds(model)
        for deed in KEEP:
            address, _ = told[f"{'' if deed == 'add' else '<path:object_id>/'}{deed}/"]
            with transaction.atomic():
                status = opened.post(f"/{address}", {}).status_code
                transaction.set_rollback(True)
            if (status == 403) is (deed in may):
                wrong.append(f"{deed} {model.__name__}: {status}")
    assert wrong == []
