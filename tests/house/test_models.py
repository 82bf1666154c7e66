"""Do the tables' keys protect, and point only to what lies lower?"""

import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.db import models

from tests.house import tree

Model = type[models.Model]

# A row that is only a word more about its parent goes with it; all else protects.
MAY_CASCADE = {
    "routes.Finish.model": "what a model is offered in",
    "routes.WoodNeed.model": "what a model is made of",
    "routes.DefectBranch.kind": "where a kind of defect is looked for",
    "shop.Session.person": "a session is nothing without whose it is",
    "shop.Session.tablet": "a session is nothing without its tablet",
}


# Moments of Django's own tables of people and sessions.
DJANGOS = {"last_login", "date_joined", "expire_date"}


def levels() -> dict[str, int]:
    """Read each app's height from the import contract: 0 is the lowest."""
    settings = tomllib.loads(tree.text(Path("pyproject.toml")))
    contracts = settings["tool"]["importlinter"]["contracts"]
    layers = next(c["layers"] for c in contracts if c["containers"] == ["travelers"])
    return {
        app: height
        for height, layer in enumerate(reversed(layers))
        for app in layer.replace(" ", "").split("|")
    }


def our_models() -> list[Model]:
    return [m for m in apps.get_models() if m.__module__.startswith("travelers.")]


def keys(model: Model) -> Iterable[Any]:
    return [
        field
        for field in [*model._meta.local_fields, *model._meta.local_many_to_many]
        if field.is_relation
    ]


def unprotected(model: Model) -> list[str]:
    return [
        f"{model._meta.label}.{field.name} does not protect"
        for field in keys(model)
        if not field.many_to_many
        and field.remote_field.on_delete is not models.PROTECT
        and f"{model._meta.label}.{field.name}" not in MAY_CASCADE
    ]


def upward(model: Model, heights: dict[str, int]) -> list[str]:
    own = model._meta.app_label
    return [
        f"{model._meta.label}.{field.name} points up to {other}"
        for field in keys(model)
        if (other := field.related_model._meta.app_label) in heights
        and other != own
        and heights[other] >= heights[own]
    ]


def ordered(model: Model) -> list[str]:
    return [f"{model._meta.label} has an order of its own"] * bool(model._meta.ordering)


def misnamed_moments(model: Model) -> list[str]:
    return [
        f"{model._meta.label}.{field.name} is a moment: call it …_at, …_until or since"
        for field in model._meta.local_fields
        if isinstance(field, models.DateTimeField)
        and not field.name.endswith(("_at", "_until", "since"))
        and field.model.__module__.startswith("travelers.")
        and field.name not in DJANGOS
    ]


def test_keys_protect() -> None:
    assert [line for model in our_models() for line in unprotected(model)] == []


def test_what_may_cascade_still_exists() -> None:
    known = {f"{m._meta.label}.{f.name}" for m in our_models() for f in keys(m)}
    assert set(MAY_CASCADE) - known == set()


def test_keys_point_down() -> None:
    heights = levels()
    assert [line for model in our_models() for line in upward(model, heights)] == []


def test_tables_have_no_order_of_their_own() -> None:
    assert [line for model in our_models() for line in ordered(model)] == []


def test_moments_are_named_as_moments() -> None:
    assert [line for model in our_models() for line in misnamed_moments(model)] == []


@pytest.mark.django_isolate_apps("travelers.floor", "travelers.quality")
def test_each_fault_of_a_table_is_found() -> None:
    class Hold(models.Model):
        placed_at = models.DateTimeField()

        class Meta:
            app_label = "floor"

        def __str__(self) -> str:
            return "hold"

    class Defect(models.Model):
        hold = models.ForeignKey(Hold, on_delete=models.PROTECT, related_name="+")
        again = models.ForeignKey(Hold, on_delete=models.CASCADE, related_name="+")

        class Meta:
            app_label = "quality"

        def __str__(self) -> str:
            return "defect"

    class Scan(models.Model):
        defect = models.ForeignKey(Defect, on_delete=models.PROTECT, related_name="+")
        moment = models.DateTimeField()

        class Meta:
            app_label = "floor"
            ordering = ["moment"]

        def __str__(self) -> str:
            return "scan"

    # The isolated classes stand in a test module; the rules look at names alone.
    Scan.__module__ = "travelers.floor.models"
    heights = levels()
    assert unprotected(Hold) == upward(Hold, heights) == ordered(Hold) == []
    assert misnamed_moments(Hold) == []
    assert unprotected(Defect) == ["quality.Defect.again does not protect"]
    assert upward(Defect, heights) == []
    assert upward(Scan, heights) == ["floor.Scan.defect points up to quality"]
    assert ordered(Scan) == ["floor.Scan has an order of its own"]
    assert misnamed_moments(Scan) == [
        "floor.Scan.moment is a moment: call it …_at, …_until or since"
    ]
