"""Are the shared tables whole, sourced, with units, and as published?"""

import csv
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from travelers.formulas import tables
from travelers.formulas.tables import SignKind

SHARED = Path(__file__).resolve().parents[2] / "shared"
TABLES = sorted(SHARED.glob("*.csv"))
WORDS = {"code", "referent", "kind", "species", "source", "how", "how_green"}
UNIT = re.compile(r".+_(ratio|pct|mm|g|kg|kg_m3|c|hz|n|days|h|min)")


@pytest.fixture
def elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setenv("PLANK_SHARED", str(tmp_path))
    tables.signs.cache_clear()
    tables.species_gravity.cache_clear()
    tables.species_movement.cache_clear()
    yield tmp_path
    tables.signs.cache_clear()
    tables.species_gravity.cache_clear()
    tables.species_movement.cache_clear()


def rows_of(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


# Published: ISO 7010, code and referent, by the public list named in shared/README.md.
# Codes on cheat sheets are often wrong; these are the ones that most often are.
@pytest.mark.parametrize(
    ("code", "referent", "kind"),
    [
        ("M003", "Wear ear protection", SignKind.MANDATORY),
        ("M004", "Wear eye protection", SignKind.MANDATORY),
        ("M017", "Wear respiratory protection", SignKind.MANDATORY),
        ("P028", "Do not wear gloves", SignKind.PROHIBITION),
        ("W011", "Slippery surface", SignKind.WARNING),
        ("W021", "Flammable material", SignKind.WARNING),
        ("W024", "Crushing of hands", SignKind.WARNING),
        ("E011", "Eyewash station", SignKind.SAFE_CONDITION),
        ("F001", "Fire extinguisher", SignKind.FIRE_EQUIPMENT),
    ],
)
def test_a_sign_has_its_registered_meaning(
    code: str, referent: str, kind: SignKind
) -> None:
    assert tables.signs()[code] == tables.Sign(code, referent, kind)


# Wood Handbook FPL-GTR-190 by two public pages that quote it (SG-page in the readme).
@pytest.mark.parametrize(
    ("species", "at_12_pct"),
    [
        ("Alder, red", 0.41),
        ("Ash, white", 0.60),
        ("Basswood, American", 0.37),
        ("Cherry, black", 0.50),
        ("Maple, sugar", 0.63),
    ],
)
def test_a_species_has_its_published_gravity(species: str, at_12_pct: float) -> None:
    assert tables.species_gravity()[species].at_12_pct == at_12_pct


def test_a_gravity_that_is_not_known_is_none() -> None:
    assert tables.species_gravity()["Ash, black"].green is None
    assert tables.species_gravity()["Mahogany, true"].at_12_pct is None


def test_wood_is_denser_by_dry_volume_than_by_green() -> None:
    both = [
        wood
        for wood in tables.species_gravity().values()
        if wood.at_12_pct and wood.green
    ]
    assert len(both) >= 10
    for wood in both:
        assert wood.at_12_pct is not None
        assert wood.green is not None
        assert 0.1 < wood.green < wood.at_12_pct < 1.4


# Wood Handbook FPL-GTR-190 (2010), table 13-5 (WH190-13 in the readme).
@pytest.mark.parametrize(
    ("species", "radial", "tangential"),
    [
        ("Alder, red", 0.00151, 0.00256),
        ("Ash, white", 0.00169, 0.00274),
        ("Basswood, American", 0.00230, 0.00330),
        ("Maple, sugar", 0.00165, 0.00353),
        ("Walnut, black", 0.00190, 0.00274),
    ],
)
def test_a_species_has_its_published_coefficients(
    species: str, radial: float, tangential: float
) -> None:
    moves = tables.species_movement()[species]
    assert (moves.radial_per_point, moves.tangential_per_point) == (radial, tangential)


# Tables 4-3 and 4-4 of the same handbook (WH190-4 in the readme).
def test_a_species_has_its_published_shrinkage() -> None:
    ash = tables.species_movement()["Ash, white"]
    assert (ash.radial_shrinkage_pct, ash.tangential_shrinkage_pct) == (4.9, 7.8)
    mahogany = tables.species_movement()["Mahogany, true"]
    assert mahogany.radial_shrinkage_pct == 3.0
    assert mahogany.tangential_shrinkage_pct == 4.1


# The handbook says that its coefficients come of the shrinkage, as if it were even from
# 30 % down: C = S / (3000 - 20 S), at 10 %. For single species it agrees to 2e-5.
def test_coefficients_agree_with_the_shrinkage_of_their_species() -> None:
    both = [
        (moves.tangential_per_point, moves.tangential_shrinkage_pct)
        for moves in tables.species_movement().values()
        if moves.tangential_per_point
        and moves.tangential_shrinkage_pct
        # The handbook's black maple stands with sugar maple; mahoganies are groups.
        and moves.species not in {"Maple, black", "Ash, green"}
        and "ahogany" not in moves.species
    ]
    assert len(both) >= 12
    for coefficient, shrinkage in both:
        assert coefficient == pytest.approx(
            shrinkage / (3000 - 20 * shrinkage), abs=2e-5
        )


def test_what_is_not_known_of_a_movement_is_none() -> None:
    rosewood = tables.species_movement()["Rosewood, Indian"]
    assert rosewood.radial_per_point is None
    assert rosewood.tangential_shrinkage_pct == 5.8


def test_a_species_twice_in_a_table_is_refused(elsewhere: Path) -> None:
    head = "species,radial_per_point_ratio,tangential_per_point_ratio\n"
    table = head + "Driftwood,0.001,0.002\nDriftwood,0.002,0.003\n"
    (elsewhere / "dimensional_change.csv").write_text(table, encoding="utf-8")
    with pytest.raises(ValueError, match="species must stand once"):
        tables.species_movement()


def test_the_letter_of_a_code_is_its_family() -> None:
    family = {
        "M": SignKind.MANDATORY,
        "P": SignKind.PROHIBITION,
        "W": SignKind.WARNING,
        "E": SignKind.SAFE_CONDITION,
        "F": SignKind.FIRE_EQUIPMENT,
    }
    assert len(tables.signs()) == 53
    for code, sign in tables.signs().items():
        assert re.fullmatch(r"[MPWEF][0-9]{3}", code)
        assert sign.kind is family[code[0]]


def test_a_table_cannot_be_written_to_and_is_read_once() -> None:
    assert tables.signs() is tables.signs()
    with pytest.raises(TypeError):
        tables.signs()["X000"] = tables.signs()["M004"]  # type: ignore[index]


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.name)
def test_every_column_of_numbers_has_its_unit_in_its_name(path: Path) -> None:
    for column in rows_of(path)[0]:
        assert column in WORDS or UNIT.fullmatch(column), column


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.name)
def test_every_table_and_source_stands_in_the_readme(path: Path) -> None:
    readme = (SHARED / "README.md").read_text(encoding="utf-8")
    rows = rows_of(path)
    assert f"| `{path.name}` | {len(rows)} |" in readme
    for column in rows[0]:
        assert f"`{column}`" in readme
    for key in {row["source"] for row in rows}:
        assert f"\n| {key} |" in readme
    assert all(row["how"] for row in rows)


def test_there_are_tables_to_test() -> None:
    names = {path.name for path in TABLES}
    assert {"iso7010_signs.csv", "specific_gravity.csv"} <= names


def test_a_shop_may_keep_its_tables_elsewhere(elsewhere: Path) -> None:
    table = "species,gravity_at_12pct_ratio,gravity_green_ratio\nDriftwood,,0.5\n"
    (elsewhere / "specific_gravity.csv").write_text(table, encoding="utf-8")
    assert tables.species_gravity() == {
        "Driftwood": tables.SpeciesGravity("Driftwood", None, 0.5)
    }


def test_one_code_twice_is_refused(elsewhere: Path) -> None:
    table = "code,referent,kind\nM004,Goggles,warning\nM004,Apron,warning\n"
    (elsewhere / "iso7010_signs.csv").write_text(table, encoding="utf-8")
    with pytest.raises(ValueError, match="code must stand once"):
        tables.signs()


def test_a_sign_of_an_unknown_family_is_refused(elsewhere: Path) -> None:
    table = "code,referent,kind\nX001,Goggles,hearsay\n"
    (elsewhere / "iso7010_signs.csv").write_text(table, encoding="utf-8")
    with pytest.raises(ValueError, match="hearsay"):
        tables.signs()


def test_a_missing_table_is_named(elsewhere: Path) -> None:
    with pytest.raises(FileNotFoundError, match="specific_gravity"):
        tables.species_gravity()
