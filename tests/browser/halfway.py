"""Which parts lie where on the floor that the screens are tried on?

One shop in the middle of its work, with a part in every state that a screen can show.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import time_machine
from django.db.models import Min
from django.test import override_settings

from tests import make
from tests.floor.story import must_swap
from tests.outbox.tablet import Outbox
from travelers.floor.queries import find_place
from travelers.floor.rules import Wish
from travelers.lumber.actions import note_airs
from travelers.lumber.models import Room
from travelers.lumber.rules import Told
from travelers.orders.actions import allot, make_order
from travelers.orders.models import Instrument, Part, Step, WorkOrder
from travelers.quality.actions import report_defect
from travelers.quality.models import Defect
from travelers.quality.rules import Severity
from travelers.shop.actions import ask_for_skill, change_cutter, qualify
from travelers.shop.models import Stage
from travelers.shop.rules import Work

TEN_YEARS = 10 * 365 * 86_400


@dataclass
class Halfway:
    """The shop, its steps by the name of what they show, and its clock."""

    shop: make.Shop
    clock: time_machine.Traveller
    steps: dict[str, Step] = field(default_factory=dict)

    def instrument(self) -> Instrument:
        return self.shop.instrument()

    def come_to(
        self, operation: str, branch: str = "BODY", *, of: Instrument | None = None
    ) -> Step:
        """Bring a part, of a new instrument unless one is named, to an operation."""
        part = self.shop.part(of or self.instrument(), branch)
        self.shop.work(part, until=operation)
        self.tell_the_time()
        return part.steps.select_related("operation", "part__instrument").get(
            operation__name=operation, state="READY"
        )

    def hurry(self, *parts: Part) -> None:
        """Make parts due first: a list shows the first twelve of those that wait."""
        first = WorkOrder.objects.aggregate(on=Min("due_on"))["on"]
        orders = WorkOrder.objects.filter(instruments__parts__in=parts)
        orders.update(due_on=first - timedelta(days=1))

    def begin(
        self, operation: str, branch: str = "BODY", *, of: Instrument | None = None
    ) -> Step:
        step = self.come_to(operation, branch, of=of)
        holds = step.operation.kind == "HOLD"
        self.shop.supply(step)
        self.shop.must(Wish.LOAD if holds else Wish.START, step)
        step.refresh_from_db()
        return step

    def tell_the_time(self) -> None:
        """Set the server's clock to the shop's, which the builders move."""
        self.clock.move_to(self.shop.now, tick=True)

    def later(self, **span: float) -> None:
        self.shop.later(**span)
        self.tell_the_time()

    def part(self, name: str) -> Part:
        return self.steps[name].part

    def address(self, name: str, *, at: str = "", **more: object) -> str:
        """Give the address of a step on its station's screen."""
        step = self.steps[name]
        place = at or (step.station.code if step.station else "")
        asked = "".join(f"&{key}={value}" for key, value in more.items())
        return f"/station/{place}/?code={step.part.code}&step={step.pk}{asked}"

    def check_of(self, name: str) -> int:
        return self.steps[name].operation.characteristics.get().pk


@contextmanager
def working(*, uses: bool = False) -> Iterator[Halfway]:
    """Open the small shop and let the server's clock go with its own.

    The clock jumps by weeks; nobody is signed out by that. With ``uses`` some of its
    operations use materials.
    """
    shop = make.shop(uses=uses)
    signed_in = override_settings(SESSION_COOKIE_AGE=TEN_YEARS)
    with signed_in, time_machine.travel(shop.now, tick=True) as clock:
        yield Halfway(shop, clock)


def fill(floor: Halfway) -> None:
    """Put a part into every state that a screen can show, what takes longest first."""
    shop, steps = floor.shop, floor.steps
    close_two(floor)
    steps["judged"] = floor.begin("Inspect body")
    built = floor.instrument()
    for branch in ("BODY", "NECK"):
        shop.work(shop.part(built, branch))
    steps["joint"] = floor.begin("Neck joint", "ASSEMBLY", of=built)
    steps["outside"] = floor.begin("Machine")
    wide = shop.reading(steps["outside"], "56.31", "caliper")
    shop.must(Wish.READ, steps["outside"], readings=[wide])
    steps["pocket"] = floor.begin("Machine")
    steps["frets"] = floor.begin("Fret", "NECK")
    shop.must(Wish.READ, steps["frets"], readings=[shop.reading(steps["frets"], "1.2")])
    steps["glue"] = floor.begin("Glue")
    steps["out"] = floor.begin("Dry")
    shop.later(days=11)
    steps["lies"] = floor.begin("Dry")
    steps["wet"] = floor.come_to("Dry")
    for name in ("next", "after", "last"):
        steps[name] = floor.come_to("Saw")
        floor.later(minutes=20)
    steps["running"] = floor.begin("Saw")
    steps["held"] = floor.come_to("Saw")
    shop.must(Wish.HOLD, steps["held"], reason="the grain runs out", only_part=True)
    _find_defect(floor, "outside")
    _ask_and_come_late(floor)
    _swap_necks(floor, "lies", "next")
    _prepare(floor)
    floor.later(minutes=35)
    _damp_room(floor)


def use_up(floor: Halfway) -> None:
    """Show what is used: a lacquer that is over, pickups, a cutter past its life."""
    shop, steps = floor.shop, floor.steps
    steps["solder"] = floor.begin("Solder", "ELECTRONICS")
    steps["coat"] = floor.come_to("Lacquer")
    yesterday = shop.now.date() - timedelta(days=1)
    shop.bring(shop.batch("LACQUER", "CL-7", expires_on=yesterday), "BOOTH")
    change_cutter(
        station_id=shop.cast.stations["SAW"].pk,
        head="top",
        number="C-1",
        life_parts=1,
        by=shop.cast.joiner,
        at=shop.now - timedelta(days=90),
    )
    floor.later(minutes=1)
    _breathe(floor)


def close_two(floor: Halfway) -> None:
    """Let one instrument be finished, and one be scrapped."""
    done, scrapped = floor.instrument(), floor.instrument()
    for branch in ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY"):
        floor.shop.work(floor.shop.part(done, branch))
    last = floor.shop.part(done).steps.order_by("position").last()
    assert last
    floor.steps["finished"] = last
    step = floor.come_to("Dry", of=scrapped)
    floor.shop.must(Wish.SCRAP, step, by="qa", reason="split through")
    floor.steps["scrapped"] = step


def _find_defect(floor: Halfway, name: str) -> None:
    step = floor.steps[name]
    report_defect(
        step_id=step.pk,
        station=find_place(code="CUTTER"),
        person=floor.shop.cast.joiner,
        event_id=uuid4(),
        at=floor.shop.now,
        heard_at=floor.shop.now,
        kind_code="TEAR_OUT",
        x=Decimal("0.62"),
        y=Decimal("0.41"),
        severity=Severity.MAJOR,
        note="at the pocket's edge",
    )


def _ask_and_come_late(floor: Halfway) -> None:
    """Let a step wait for the lead's word, and a press come late and be refused."""
    shop = floor.shop
    asks = floor.come_to("Saw")
    told = {"step": asks, "gate": "floor.not_here"}
    assert shop.scan(Wish.ASK, asks.part, at="BOOTH", **told).accepted
    tablet = Outbox(shop).enter()
    tablet.press(Wish.FINISH, floor.come_to("Saw"))
    floor.later(minutes=20)
    tablet.send()


def _damp_room(floor: Halfway) -> None:
    """Let the air of the drying room become too damp for its wood in two days."""
    Room.objects.create(
        station=floor.shop.cast.stations["ROOM"], limit_pct=Decimal("6.0")
    )
    _breathe(floor)


def _breathe(floor: Halfway) -> None:
    """Note the air of the last two days."""
    note_airs(
        room_id=Room.objects.get().pk,
        readings=[
            (floor.shop.now - timedelta(hours=n), Decimal(40), Decimal(680 - n) / 20)
            for n in range(48)
        ],
        told=Told.BY_LOGGER,
    )


def _swap_necks(floor: Halfway, one: str, other: str) -> None:
    necks = (
        floor.shop.part(floor.part(name).instrument, "NECK") for name in (one, other)
    )
    must_swap(floor.shop, *necks)


def _prepare(floor: Halfway) -> None:
    """Make an order that still wants its wood, and a route that is being drawn."""
    shop = floor.shop
    order = make_order(
        number="W900",
        model_id=shop.model.pk,
        finish="Tide Green",
        quantity=2,
        due_on=date(2026, 10, 1),
        by=shop.cast.planner,
        at=shop.now,
    )
    allot(order_id=order.pk, plank_set_id=shop.plank_set("BODY").pk)
    _ask_for_skills(shop)
    shop.plank_set("NECK")
    make.draft(shop.model, shop.cast, "B")


def _ask_for_skills(shop: make.Shop) -> None:
    """Ask for qualified people where the small route has no such work."""
    lead, finishing = shop.cast.lead, Stage.objects.get(code="FINISHING")
    for stage, kind in (("FINISHING", Work.JOIN), ("GLUING", Work.INSPECT)):
        ask_for_skill(stage=Stage.objects.get(code=stage), kind=kind, by=lead)
    day = shop.now.date()
    qualify(
        stage=finishing,
        kind=Work.JOIN,
        given={
            shop.cast.joiner: None,
            shop.cast.finisher: day + timedelta(days=80),
            shop.cast.qa: day - timedelta(days=9),
        },
        taken=[],
        by=lead,
        at=shop.now,
    )


def defect() -> Defect:
    return Defect.objects.get()
