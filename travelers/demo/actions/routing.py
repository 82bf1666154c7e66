"""How do the demo's models, routes and kinds of defects come about?"""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from typing import Any

from travelers.demo import queries
from travelers.demo.actions.setting_up import Shop
from travelers.demo.rules.crew import ROUTE_ENGINEER
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

AS_WRITTEN = (
    "branch",
    "number",
    "name",
    "kind",
    "picture",
    "planned_s",
    "shortest_dwell_s",
    "longest_gap_s",
    "times",
    "shortest_between_s",
    "longest_between_s",
    "instruction",
)


def make_model(*, name: str, shop: Shop, at: datetime) -> InstrumentModel:
    """Draft a model's route as its file says, and release it."""
    said = queries.fixture(name=name)
    model = InstrumentModel.objects.create(
        code=said["code"],
        name=said["name"],
        shape=said["shape"],
        serial_prefix=said["serial_prefix"],
        scale_mm=Decimal(said["scale_mm"]),
        strings=said["strings"],
        frets=said["frets"],
        body_volume_cm3=said["body_volume_cm3"],
        heaviest_body_g=said["heaviest_body_g"],
    )
    Finish.objects.bulk_create(
        Finish(model=model, name=finish) for finish in said["finishes"]
    )
    for wood in said["wood"]:
        length, width, thickness = wood["piece_mm"]
        WoodNeed.objects.create(
            model=model,
            branch=wood["branch"],
            pieces=wood["pieces"],
            length_mm=length,
            width_mm=width,
            thickness_mm=thickness,
        )
    revision = Revision.objects.create(model=model, number=said["revision"]["number"])
    made = _draft(revision, said["revision"]["operations"], shop)
    _use_materials(said["code"], made)
    release_revision(revision_id=revision.pk, by=shop.people[ROUTE_ENGINEER], at=at)
    return model


def name_materials() -> None:
    """Name what is bought, and say how each is traced."""
    Material.objects.bulk_create(
        Material(code=row["code"], name=row["name"], traced=row["traced"])
        for row in queries.fixture(name="materials")["materials"]
    )


def _use_materials(model: str, made: dict[str, Operation]) -> None:
    materials = {one.code: one for one in Material.objects.all()}
    MaterialNeed.objects.bulk_create(
        MaterialNeed(
            operation=made[row["operation"]],
            material=materials[row["material"]],
            pieces=row["pieces"],
        )
        for row in queries.fixture(name="materials")["uses"]
        if row["model"] == model
    )


def _draft(
    revision: Revision, rows: list[dict[str, Any]], shop: Shop
) -> dict[str, Operation]:
    stages = {station.stage.code: station.stage for station in shop.stations.values()}
    made = {}
    for row in rows:
        made[f"{row['branch']}.{row['number']}"] = Operation.objects.create(
            revision=revision,
            stage=stages[row["stage"]],
            station=shop.stations[row["station"]] if row["station"] else None,
            **{name: row[name] for name in AS_WRITTEN},
            **({"joins": row["joins"]} if row["joins"] else {}),
        )
    for row in rows:
        operation = made[f"{row['branch']}.{row['number']}"]
        _describe(operation, row["characteristics"], row["cautions"])
        for before in row["after"]:
            Precedence.objects.create(before=made[before], after=operation)
    return made


def _describe(
    operation: Operation,
    checks: Iterable[dict[str, Any]],
    cautions: Iterable[dict[str, str]],
) -> None:
    Characteristic.objects.bulk_create(
        Characteristic(operation=operation, **_check(row)) for row in checks
    )
    Caution.objects.bulk_create(Caution(operation=operation, **row) for row in cautions)


def _check(row: dict[str, Any]) -> dict[str, Any]:
    limits = {
        name: None if row[name] is None else Decimal(row[name])
        for name in ("nominal", "lower", "upper")
    }
    return {**row, **limits, "gauge_kind": row["gauge_kind"] or ""}


def name_defects(*, shop: Shop) -> None:
    """Name the kinds of defects, where each is found and what usually becomes of it."""
    stages = {station.stage.code: station.stage for station in shop.stations.values()}
    for row in queries.fixture(name="defects")["kinds"]:
        kind = DefectKind.objects.create(
            code=row["code"],
            name=row["name"],
            origins=row["origins"],
            usual=row["usual"],
        )
        kind.stages.set(stages[code] for code in row["stages"])
        DefectBranch.objects.bulk_create(
            DefectBranch(kind=kind, branch=branch) for branch in row["branches"]
        )
