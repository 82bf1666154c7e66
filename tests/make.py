"""How does a test get the shop into a wanted state?  By doing what people do."""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

from tests.cast import Cast, assemble
from travelers.floor import queries
from travelers.floor.actions import Verdict, bring_batch, record, take_batch_in
from travelers.floor.models import Batch
from travelers.floor.rules import State, Wish
from travelers.floor.rules.origin import FROM_A_SCREEN, Origin
from travelers.lumber.actions import (
    Cut,
    Sawn,
    accept_delivery,
    cut_set,
    read_moisture,
)
from travelers.lumber.models import PlankSet, Room, Species, Supplier
from travelers.lumber.rules import Metering, Pin, Purpose
from travelers.orders.actions import allot, make_order, release_order
from travelers.orders.models import Instrument, Part, Step, WorkOrder
from travelers.routes.actions import release_revision
from travelers.routes.models import (
    Caution,
    Characteristic,
    DefectBranch,
    DefectKind,
    Finish,
    InstrumentModel,
    Material,
    MaterialNeed,
    Operation,
    Precedence,
    Revision,
    WoodNeed,
)
from travelers.routes.rules import Branch

MORNING = datetime(2026, 3, 10, 8, 30, tzinfo=UTC)
HOUR, DAY = 3600, 86400
# Branch, number, name, station, kind, and what else the operation has.
SMALL_ROUTE: tuple[tuple[str, int, str, str, str, dict[str, Any]], ...] = (
    ("BODY", 10, "Saw", "SAW", "WORK", {}),
    ("BODY", 20, "Dry", "ROOM", "HOLD", {"shortest_dwell_s": 10 * DAY}),
    (
        "BODY",
        30,
        "Glue",
        "CLAMPS",
        "JOIN",
        {"joins": "PIECES", "shortest_dwell_s": 3 * HOUR, "longest_gap_s": 4 * DAY},
    ),
    ("BODY", 40, "Machine", "CUTTER", "WORK", {}),
    (
        "BODY",
        50,
        "Lacquer",
        "BOOTH",
        "WORK",
        {
            "times": 3,
            "shortest_between_s": 4 * HOUR,
            "longest_between_s": 48 * HOUR,
        },
    ),
    ("BODY", 60, "Cure", "RACK", "HOLD", {"shortest_dwell_s": 20 * DAY}),
    ("BODY", 70, "Inspect body", "BOOTH", "INSPECT", {}),
    ("NECK", 10, "Rough", "SAW", "WORK", {}),
    ("NECK", 20, "Fret", "FRETS", "WORK", {}),
    ("ELECTRONICS", 10, "Solder", "BENCH", "WORK", {}),
    ("ASSEMBLY", 10, "Neck joint", "BENCH", "JOIN", {"joins": "BRANCHES"}),
    ("ASSEMBLY", 20, "Harness", "BENCH", "JOIN", {"joins": "BRANCHES"}),
    ("ASSEMBLY", 30, "Test play", "BENCH", "INSPECT", {}),
)
AFTER = (
    (("BODY", 70), ("ASSEMBLY", 10)),
    (("NECK", 20), ("ASSEMBLY", 10)),
    (("ELECTRONICS", 10), ("ASSEMBLY", 20)),
)
CHECKS: dict[tuple[str, int], tuple[dict[str, Any], ...]] = {
    ("BODY", 20): (
        {
            "code": "MOISTURE",
            "name": "Moisture",
            "kind": "MEASURED",
            "unit": "%",
            "upper": Decimal("7.2"),
            "nominal": Decimal("6.5"),
            "gauge_kind": "moisture_meter",
            "decimals": 1,
        },
    ),
    ("BODY", 40): (
        {
            "code": "POCKET",
            "name": "Pocket width",
            "kind": "MEASURED",
            "unit": "mm",
            "nominal": Decimal("56.10"),
            "lower": Decimal("56.05"),
            "upper": Decimal("56.20"),
            "gauge_kind": "caliper",
        },
    ),
    ("BODY", 70): ({"code": "SHINE", "name": "Even shine", "kind": "JUDGED"},),
    ("NECK", 20): (
        {
            "code": "FRET_HEIGHT",
            "name": "Fret height",
            "kind": "MEASURED",
            "unit": "mm",
            "nominal": Decimal("1.20"),
            "lower": Decimal("1.15"),
            "upper": Decimal("1.25"),
            "places": 3,
            "place_name": "fret",
        },
    ),
}


# Branch, number of the operation, what it uses, how that is traced, how many pieces.
USES = (
    ("BODY", 30, "GLUE", "Hide glue", "BATCH", 1),
    ("BODY", 50, "LACQUER", "Lacquer", "BATCH", 1),
    ("ELECTRONICS", 10, "PICKUP", "Pickup", "SERIAL", 2),
)


@dataclass
class Shop:
    """A small shop that works: its cast, its model, and a clock that tests move."""

    cast: Cast
    model: InstrumentModel
    revision: Revision
    now: datetime = MORNING
    orders: int = 0
    planks: int = 0
    batches: int = 0
    serials: int = 0
    log: list[Verdict] = field(default_factory=list)

    def later(self, **span: float) -> datetime:
        self.now += timedelta(**span)
        return self.now

    def scan(
        self,
        wish: Wish,
        part: Part | str = "",
        *,
        at: str | None = None,
        by: str = "joiner",
        step: Step | None = None,
        event_id: UUID | None = None,
        when: datetime | None = None,
        origin: Origin = FROM_A_SCREEN,
        **data: Any,
    ) -> Verdict:
        """Record a wish at station ``at``: the step's own, where none is named."""
        code = part if isinstance(part, str) else part.code
        place = at if at is not None else self._place(step or self.step_of(part))
        verdict = record(
            wish=wish,
            code=code,
            step_id=step.pk if step else None,
            station=queries.find_place(code=place) if place else None,
            person=self.cast.people[by],
            event_id=event_id or uuid4(),
            at=when or self.now,
            heard_at=self.now,
            data=data,
            origin=origin,
        )
        self.log.append(verdict)
        return verdict

    def step_of(self, part: Part | str) -> Step | None:
        code = part if isinstance(part, str) else part.code
        found = queries.find_bench(code=code)
        if found is None:
            return None
        bench = queries.bench_of(found=found)
        step = bench.current(found.part_id) or bench.current(
            bench.part_of(Branch.ASSEMBLY).id
        )
        return Step.objects.get(pk=step.id) if step else None

    def work(self, part: Part, *, until: str = "") -> None:
        """Do a part's steps by the book until the operation named, or to its end."""
        while True:
            step = Step.objects.filter(
                part=part, state__in=["READY", "RUNNING", "DWELLING"]
            ).first()
            if step is None or step.operation.name == until:
                return
            self.do(step)

    def do(self, step: Step) -> None:
        """Do one step by the book: begin, check, scan mates, end, wait."""
        line = step.operation
        if step.state == State.READY:
            self.later(hours=5)
            self.supply(step)
            self.must(Wish.LOAD if line.kind == "HOLD" else Wish.START, step)
        step.refresh_from_db()
        if line.kind == "HOLD":
            self.now = max(self.now, step.dwell_until or self.now)
        if step.state == State.RUNNING or line.kind == "HOLD":
            self.check(step)
            self.mate(step)
            self.build_in(step)
            self.read_dry(step)
            self.must(Wish.TAKE_OUT if line.kind == "HOLD" else Wish.FINISH, step)
        step.refresh_from_db()
        if step.state == State.DWELLING:
            self.now = max(self.now, step.dwell_until or self.now)
            self.must(Wish.TAKE_OUT, step)

    def must(self, wish: Wish, step: Step, **data: Any) -> Verdict:
        verdict = self.scan(wish, step.part, step=step, **data)
        assert verdict.accepted, verdict.refusal
        return verdict

    def check(self, step: Step, **values: str) -> None:
        """Record every check of a step; nominal values unless named otherwise."""
        for check in step.operation.characteristics.all():
            usual = "1" if check.kind == "JUDGED" else str(check.nominal)
            gauge = {"moisture_meter": "meter", "caliper": "caliper"}.get(
                check.gauge_kind
            )
            readings = [
                {
                    "check": check.pk,
                    "place": place,
                    "value": values.get(check.code, usual),
                    "gauge": self.cast.gauges[gauge].pk if gauge else None,
                }
                for place in range(1, check.places + 1)
            ]
            self.must(Wish.READ, step, readings=readings)

    def mate(self, step: Step) -> None:
        found = queries.find_bench(step_id=step.pk)
        assert found
        bench = queries.bench_of(found=found)
        now = bench.step(step.pk)
        assert now
        for code in queries.mates_of(bench=bench, step=now):
            self.must(Wish.MATE, step, mate=code)

    def batch(
        self, material: str = "GLUE", number: str = "", expires_on: date | None = None
    ) -> Batch:
        """Take a batch in; its number is its own unless one is named."""
        self.batches += 1
        return take_batch_in(
            material_id=Material.objects.get(code=material).pk,
            number=number or f"N-{self.batches:03}",
            received_on=date(2026, 1, 5),
            expires_on=expires_on,
            by=self.cast.lead,
            at=self.now,
        )

    def bring(self, batch: Batch, at: str) -> None:
        """Let a station work with a batch from now on."""
        place = queries.find_place(code=at)
        assert place
        bring_batch(
            code=batch.code, station=place, person=self.cast.joiner, at=self.now
        )

    def supply(self, step: Step) -> None:
        """Bring what a step uses of a batch and does not stand at its station yet."""
        for need in step.operation.needs.filter(material__traced="BATCH"):
            assert step.station
            stands = queries.batches_at(
                station_id=step.station.pk,
                material_ids=[need.material_id],
                at=self.now,
            )
            if not stands:
                self.bring(self.batch(need.material.code), step.station.code)

    def build_in(self, step: Step) -> None:
        """Scan a serial number of its own for each piece that a step builds in."""
        for need in step.operation.needs.filter(material__traced="SERIAL"):
            for _ in range(need.pieces):
                self.serials += 1
                self.must(Wish.USE, step, serial=f"PU-{self.serials:04}")

    def plank_set(self, purpose: str = "BODY") -> PlankSet:
        """Cut a set from a plank of its own."""
        self.planks += 1
        need = WoodNeed.objects.get(model=self.model, branch=purpose)
        delivery = accept_delivery(
            number=f"D{self.planks:03}",
            supplier_id=Supplier.objects.get().pk,
            species_id=Species.objects.get(code="ASH").pk,
            received_on=date(2026, 1, 5),
            planks=[Sawn(Decimal(3000), Decimal(200), Decimal(60), 22_000)],
        )
        cut = Cut(need.pieces, need.length_mm, need.width_mm, need.thickness_mm)
        return cut_set(
            plank_id=delivery.planks.get().pk,
            purpose=Purpose(purpose),
            cut=cut,
            cut_on=date(2026, 1, 7),
        )

    def order(self, quantity: int = 1) -> WorkOrder:
        self.orders += 1
        return make_order(
            number=f"W{self.orders:03}",
            model_id=self.model.pk,
            finish="Tide Green",
            quantity=quantity,
            due_on=date(2026, 9, 1),
            by=self.cast.planner,
            at=self.now,
        )

    def instruments(self, quantity: int = 1) -> list[Instrument]:
        """Release an order with all its wood."""
        order = self.order(quantity)
        for _ in range(quantity):
            for purpose in ("BODY", "NECK"):
                allot(order_id=order.pk, plank_set_id=self.plank_set(purpose).pk)
        return release_order(order_id=order.pk, by=self.cast.planner, at=self.now)

    def instrument(self) -> Instrument:
        return self.instruments()[0]

    def read_dry(self, step: Step) -> None:
        """Read the wood of a step as dry as its room wants it; rooms alone want it."""
        room = Room.objects.filter(station=step.station).first()
        wood = step.part.plank_set
        if room and wood:
            self.read_wood(wood, *[str(room.limit_pct - 1)] * wood.pieces.count())

    def read_wood(self, plank_set: PlankSet, *shown: str) -> None:
        """Read the pieces of a set now, a value for each in their order."""
        pieces = plank_set.pieces.order_by("letter")
        read_moisture(
            plank_set_id=plank_set.pk,
            how=Metering(self.now, self.cast.gauges["meter"].pk),
            pins=[
                Pin(piece.pk, 1, Decimal(value))
                for piece, value in zip(pieces, shown, strict=True)
            ],
            by=self.cast.joiner,
            at=self.now,
            sure=True,
        )

    def part(self, instrument: Instrument, branch: str = "BODY") -> Part:
        return Part.objects.in_use().get(instrument=instrument, branch=branch)

    def _place(self, step: Step | None) -> str:
        return step.station.code if step and step.station else ""

    def reading(
        self, step: Step, value: str, gauge: str | None = None
    ) -> dict[str, Any]:
        """Give one reading of a step's only check."""
        check = step.operation.characteristics.get()
        return {
            "check": check.pk,
            "place": 1,
            "value": value,
            "gauge": self.cast.gauges[gauge].pk if gauge else None,
        }


def shop(*, uses: bool = False) -> Shop:
    """Build the small shop: its cast, wood, one model and a released route.

    With ``uses`` some of its operations use materials.
    """
    cast = assemble()
    Supplier.objects.create(code="MARSH", name="Marsh Timber")
    Species.objects.create(code="ASH", name="ash", latin="Fraxinus excelsior")
    Species.objects.create(
        code="ROSE", name="rosewood", latin="Dalbergia sp.", trade_controlled=True
    )
    model = InstrumentModel.objects.create(
        code="WREN",
        name="Wren",
        shape="solid",
        serial_prefix="W",
        scale_mm=Decimal(640),
        strings=6,
        frets=22,
    )
    Finish.objects.create(model=model, name="Tide Green")
    for branch, pieces, width in (("BODY", 2, 170), ("NECK", 1, 90)):
        WoodNeed.objects.create(
            model=model,
            branch=branch,
            pieces=pieces,
            length_mm=Decimal(520),
            width_mm=Decimal(width),
            thickness_mm=Decimal(50),
        )
    revision = draft(model, cast)
    if uses:
        use_materials(revision)
    release_revision(revision_id=revision.pk, by=cast.engineer, at=MORNING)
    _defect_kinds(cast)
    revision.refresh_from_db()
    return Shop(cast, model, revision)


def draft(model: InstrumentModel, cast: Cast, number: str = "A") -> Revision:
    revision = Revision.objects.create(model=model, number=number)
    operations = {}
    for branch, position, name, station, kind, more in SMALL_ROUTE:
        place = cast.stations[station]
        operation = Operation.objects.create(
            revision=revision,
            branch=branch,
            number=position,
            name=name,
            station=place,
            stage=place.stage,
            kind=kind,
            planned_s=0 if kind == "HOLD" else 600,
            picture="body" if branch == "BODY" else "instrument",
            **more,
        )
        operations[branch, position] = operation
        for check in CHECKS.get((branch, position), ()):
            Characteristic.objects.create(operation=operation, **check)
    Caution.objects.create(
        operation=operations["BODY", 10], sign="W022", sentence="The blade turns on."
    )
    for before, after in AFTER:
        Precedence.objects.create(before=operations[before], after=operations[after])
    return revision


def use_materials(revision: Revision) -> None:
    """Let operations of a draft use glue, lacquer and pickups."""
    for branch, number, code, name, traced, pieces in USES:
        material, _ = Material.objects.get_or_create(
            code=code, defaults={"name": name, "traced": traced}
        )
        operation = revision.operations.get(branch=branch, number=number)
        MaterialNeed.objects.create(
            operation=operation, material=material, pieces=pieces
        )


def _defect_kinds(cast: Cast) -> None:
    for code, branch, station in (
        ("TEAR_OUT", "BODY", "CUTTER"),
        ("RUN", "BODY", "BOOTH"),
        ("BUZZ", "ASSEMBLY", "BENCH"),
    ):
        kind = DefectKind.objects.create(
            code=code,
            name=code.replace("_", "-").lower(),
            origins="tool",
            usual="REWORK",
        )
        kind.stages.add(cast.stations[station].stage)
        DefectBranch.objects.create(kind=kind, branch=branch)
