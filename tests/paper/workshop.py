"""How does a test get an order of the demo's Tern, with its sixty operations?"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from decimal import Decimal
from pathlib import Path
from typing import Any

from travelers.lumber.actions import Cut, Sawn, accept_delivery, cut_set
from travelers.lumber.models import Plank, Species, Supplier
from travelers.lumber.rules import Purpose
from travelers.orders.actions import allot, make_order, release_order
from travelers.orders.models import WorkOrder
from travelers.routes.actions import release_revision
from travelers.routes.models import (
    Caution,
    Characteristic,
    Finish,
    InstrumentModel,
    Operation,
    Precedence,
    Revision,
    WoodNeed,
)
from travelers.shop.actions import take_codes
from travelers.shop.models import Person, Shift, Stage, Station

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures" / "demo"
MORNING = datetime(2026, 3, 10, 8, 30, tzinfo=UTC)
SETS_A_PLANK = 3
DENSITY_G_MM3 = Decimal("0.00065")


@dataclass
class Workshop:
    """The demo's stations and its Tern, released; orders are made as wanted."""

    planner: Person
    model: InstrumentModel
    revision: Revision
    orders: int = 0

    def order(self, quantity: int = 1, *, finish: str = "Tide Green") -> WorkOrder:
        """Release an order with all its wood."""
        self.orders += 1
        order = make_order(
            number=f"W26-{self.orders:03}",
            model_id=self.model.pk,
            finish=finish,
            quantity=quantity,
            due_on=date(2026, 9, 1),
            by=self.planner,
            at=MORNING,
        )
        for need in self.model.wood_needs.order_by("branch"):
            cut = Cut(need.pieces, need.length_mm, need.width_mm, need.thickness_mm)
            planks = self._planks(need, -(-quantity // SETS_A_PLANK))
            for place in range(quantity):
                made = cut_set(
                    plank_id=planks[place // SETS_A_PLANK].pk,
                    purpose=Purpose(need.branch),
                    cut=cut,
                    cut_on=date(2026, 1, 7),
                )
                allot(order_id=order.pk, plank_set_id=made.pk)
        release_order(order_id=order.pk, by=self.planner, at=MORNING)
        order.refresh_from_db()
        return order

    def _planks(self, need: WoodNeed, count: int) -> list[Plank]:
        """Take in planks, each a little larger than the sets that it gives."""
        length = need.length_mm * need.pieces * (SETS_A_PLANK + 1)
        width, thickness = need.width_mm + 10, need.thickness_mm + 5
        mass = int(length * width * thickness * DENSITY_G_MM3)
        delivery = accept_delivery(
            number=f"D26-{self.orders:02}{need.branch[0]}",
            supplier_id=Supplier.objects.get().pk,
            species_id=Species.objects.get(code=SPECIES[need.branch]).pk,
            received_on=date(2026, 1, 5),
            planks=[Sawn(length, width, thickness, mass)] * count,
        )
        return list(delivery.planks.order_by("number"))


SPECIES = {"BODY": "ASH", "NECK": "MAPLE"}


def tern() -> Workshop:
    """Build the demo's places and its Tern in an empty shop."""
    shop, tern_, lumber = (read(name) for name in ("shop", "tern", "lumber"))
    planner = Person.objects.create_user(
        "pia", first_name="Pia", last_name="Lindqvaert", initials="PL", is_planner=True
    )
    Supplier.objects.create(code="QF", name="Quillfoss Timber Yard")
    Species.objects.bulk_create(Species(**row) for row in lumber["species"])
    stations = _stations(shop)
    model = _model(tern_)
    revision = _route(model, tern_["revision"], stations)
    release_revision(revision_id=revision.pk, by=planner, at=MORNING)
    revision.refresh_from_db()
    return Workshop(planner, model, revision)


def read(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((FIXTURES / f"{name}.json").read_text("utf-8"))
    return found


def _stations(shop: Mapping[str, Any]) -> dict[str, Station]:
    stages = {
        row["code"]: Stage.objects.create(position=position, **row)
        for position, row in enumerate(shop["stages"], start=1)
    }
    shift = Shift.objects.create(
        code="DAY", name="Day", weekdays="12345", starts=time(6), ends=time(15)
    )
    tags = take_codes(kind="H", count=len(shop["stations"]))
    return {
        row["code"]: Station.objects.create(
            **{**row, "stage": stages[row["stage"]], "shift": shift, "tag": tag}
        )
        for row, tag in zip(shop["stations"], tags, strict=True)
    }


def _model(tern_: Mapping[str, Any]) -> InstrumentModel:
    names = ("code", "name", "shape", "serial_prefix", "scale_mm", "strings", "frets")
    model = InstrumentModel.objects.create(**{name: tern_[name] for name in names})
    for finish in tern_["finishes"]:
        Finish.objects.create(model=model, name=finish)
    for row in tern_["wood"]:
        length, width, thickness = row["piece_mm"]
        WoodNeed.objects.create(
            model=model,
            branch=row["branch"],
            pieces=row["pieces"],
            length_mm=length,
            width_mm=width,
            thickness_mm=thickness,
        )
    return InstrumentModel.objects.get(pk=model.pk)


def _route(
    model: InstrumentModel, route: Mapping[str, Any], stations: Mapping[str, Station]
) -> Revision:
    revision = Revision.objects.create(model=model, number=route["number"])
    made = {}
    for row in route["operations"]:
        station = stations.get(row["station"])
        stage = station.stage if station else Stage.objects.get(code=row["stage"])
        own = _without(row, "station", "stage", "after", "characteristics", "cautions")
        operation = Operation.objects.create(
            **{**own, "joins": own["joins"] or "NOTHING"},
            revision=revision,
            stage=stage,
            station=station,
        )
        made[f"{row['branch']}.{row['number']}"] = operation
        for check in row["characteristics"]:
            given = {**check, "gauge_kind": check["gauge_kind"] or ""}
            Characteristic.objects.create(operation=operation, **given)
        for caution in row["cautions"]:
            Caution.objects.create(operation=operation, **caution)
        for before in row["after"]:
            Precedence.objects.create(before=made[before], after=operation)
    return revision


def _without(row: Mapping[str, Any], *names: str) -> dict[str, Any]:
    return {key: value for key, value in row.items() if key not in names}


def serials(order: WorkOrder) -> Iterable[str]:
    return order.instruments.order_by("position").values_list("serial", flat=True)
