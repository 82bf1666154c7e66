"""What the tables of shared/ say; each is read once."""

import csv
import os
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar

FOLDER_VARIABLE = "PLANK_SHARED"

Row = TypeVar("Row")


class SignKind(StrEnum):
    """The families of safety signs; each has its own shape and colour."""

    MANDATORY = "mandatory action"
    PROHIBITION = "prohibition"
    WARNING = "warning"
    SAFE_CONDITION = "safe condition"
    FIRE_EQUIPMENT = "fire equipment"


@dataclass(frozen=True, slots=True)
class Sign:
    """A registered safety sign: its code, what it refers to, its family."""

    code: str
    referent: str
    kind: SignKind


@dataclass(frozen=True, slots=True)
class SpeciesGravity:
    """The average specific gravity of a species, with oven-dry mass.

    By volume at 12 % moisture content, and by green volume; None where not known.
    Single pieces differ from the average by about 10 % (coefficient of variation).
    """

    species: str
    at_12_pct: float | None
    green: float | None


@dataclass(frozen=True, slots=True)
class SpeciesMovement:
    """How a species moves with its moisture, across the ring and along it.

    The coefficients are the share of the size for each percentage point of moisture
    (6 to 14 %); the shrinkages are percent of the green size, from green to oven-dry.
    None where not known.
    """

    species: str
    radial_per_point: float | None = None
    tangential_per_point: float | None = None
    radial_shrinkage_pct: float | None = None
    tangential_shrinkage_pct: float | None = None


@cache
def signs() -> Mapping[str, Sign]:
    """Give the safety signs that a wood and finishing shop needs.

    Returns
    -------
    mapping of str to Sign
        By code, for example ``M004``.

    Raises
    ------
    ValueError
        If a row of the table cannot be read.

    References
    ----------
    ISO 7010, registered safety signs; see the readme of ``shared/``.

    Examples
    --------
    >>> signs()["M004"].referent
    'Wear eye protection'
    """
    rows = _rows("iso7010_signs.csv")
    found = {
        row["code"]: Sign(row["code"], row["referent"], SignKind(row["kind"]))
        for row in rows
    }
    return _whole("code", rows, found)


@cache
def species_gravity() -> Mapping[str, SpeciesGravity]:
    """Give the average specific gravity of wood species.

    Returns
    -------
    mapping of str to SpeciesGravity
        By species as the table names it, for example ``Maple, sugar``.

    Raises
    ------
    ValueError
        If a row of the table cannot be read.

    References
    ----------
    USDA Forest Products Laboratory (2010), Wood Handbook, FPL-GTR-190, chapter 5; see
    the readme of ``shared/``.

    Examples
    --------
    >>> species_gravity()["Maple, sugar"].at_12_pct
    0.63
    """
    rows = _rows("specific_gravity.csv")
    found = {
        row["species"]: SpeciesGravity(
            row["species"],
            _number(row["gravity_at_12pct_ratio"]),
            _number(row["gravity_green_ratio"]),
        )
        for row in rows
    }
    return _whole("species", rows, found)


@cache
def species_movement() -> Mapping[str, SpeciesMovement]:
    """Give how much the wood of species shrinks and swells.

    Returns
    -------
    mapping of str to SpeciesMovement
        By species as the tables name it, for example ``Maple, sugar``.

    Raises
    ------
    ValueError
        If a row of a table cannot be read.

    References
    ----------
    USDA Forest Products Laboratory (2010), Wood Handbook, FPL-GTR-190, tables 13-5,
    4-3 and 4-4; see the readme of ``shared/``.

    Examples
    --------
    >>> species_movement()["Maple, sugar"].tangential_per_point
    0.00353
    """
    change = {row["species"]: row for row in _once("dimensional_change.csv")}
    shrinkage = {row["species"]: row for row in _once("total_shrinkage.csv")}
    return MappingProxyType(
        {
            name: SpeciesMovement(
                name,
                _number(change.get(name, {}).get("radial_per_point_ratio", "")),
                _number(change.get(name, {}).get("tangential_per_point_ratio", "")),
                _number(shrinkage.get(name, {}).get("radial_pct", "")),
                _number(shrinkage.get(name, {}).get("tangential_pct", "")),
            )
            for name in {**change, **shrinkage}
        }
    )


def _folder() -> Path:
    at_the_top = Path(__file__).resolve().parents[2] / "shared"
    return Path(os.environ.get(FOLDER_VARIABLE) or at_the_top)


def _rows(name: str) -> list[dict[str, str]]:
    with (_folder() / name).open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


def _once(name: str) -> list[dict[str, str]]:
    """Read a table of species, each of which must stand in it once."""
    rows = _rows(name)
    _whole("species", rows, {row["species"]: row for row in rows})
    return rows


def _number(cell: str) -> float | None:
    return float(cell) if cell else None


def _whole(
    column: str, rows: list[dict[str, str]], found: dict[str, Row]
) -> Mapping[str, Row]:
    """Refuse a table in which one key stands twice and no one knows which is meant."""
    if len(found) != len(rows):
        raise ValueError(f"{column} must stand once in each table, got one twice")
    return MappingProxyType(found)
