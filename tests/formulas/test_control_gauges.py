"""Does a gauge study part the variation as others part it?"""

import json
import math
from dataclasses import fields
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.stats import f as f_distribution

from travelers.formulas.control import GaugeStudy, Parted, crossed_study

DATA = Path(__file__).parent / "data"
STUDIES = {
    row["name"]: row
    for row in json.loads((DATA / "gauge_studies.json").read_text(encoding="utf-8"))
}
AIAG = STUDIES["ten parts, three persons"]
NAMES = {"operator": "person", "grr": "gauge"}


def with_squares(squares: dict[str, float], parts: int, persons: int, trials: int):
    """Make readings whose analysis has these sums of squares, from chance ones."""
    noise = np.random.default_rng(4).normal(size=(parts, persons, trials))
    noise -= noise.mean()
    cells = noise.mean(axis=2, keepdims=True)
    effects = {
        "part": cells.mean(axis=1, keepdims=True),
        "operator": cells.mean(axis=0, keepdims=True),
        "repeatability": noise - cells,
    }
    effects["interaction"] = cells - effects["part"] - effects["operator"]
    readings = np.full(noise.shape, 100.0)
    for name, effect in effects.items():
        whole = np.broadcast_to(effect, noise.shape)
        readings = readings + whole * math.sqrt(squares[name] / (whole**2).sum())
    return readings.tolist()


def readings_of(row: dict):
    if row["values"] is not None:
        return row["values"]
    return with_squares(row["expected"]["full"]["ss"], 10, 3, 2)


def close(value: float):
    return pytest.approx(value, rel=1e-9, abs=1e-14)


def agrees(found: Parted, expected: dict[str, float]) -> None:
    assert expected
    for name, value in expected.items():
        assert getattr(found, NAMES.get(name, name)) == close(value), name


# The data and printed results of the first study are those of AIAG, Measurement Systems
# Analysis, as quoted in public; those of the second were made. All digits of both were
# computed apart from this project by statsmodels. Of the third (kitchen scales in the
# Python package qualistics) only the sums of squares are used, on readings made to have
# them.
@pytest.mark.parametrize("row", STUDIES.values(), ids=lambda row: row["name"])
def test_variances_are_as_others_computed_them(row: dict) -> None:
    exact = row["expected"]
    found = crossed_study(readings_of(row), tolerance=row["tolerance"])
    assert found.pooled is not exact["interaction_kept"]
    agrees(found.variances, exact["var"])
    agrees(found.deviations, exact["sd"])
    agrees(found.contribution_pct, exact["pct_contribution"])
    agrees(found.study_pct, exact["pct_study_var"])
    if row["tolerance"] is not None:
        assert found.tolerance_pct
        agrees(found.tolerance_pct, exact["pct_tolerance"])
    else:
        assert found.tolerance_pct is None
    assert found.categories == close(exact["ndc_unrounded"])
    assert found.distinct_categories == exact["ndc"]


@pytest.mark.parametrize("row", STUDIES.values(), ids=lambda row: row["name"])
def test_the_full_analysis_is_as_others_computed_it(row: dict) -> None:
    exact = row["expected"]["full"]
    found = crossed_study(readings_of(row), pool_above=1.0)
    assert not found.pooled
    assert found.error == found.repeatability
    for name in ("part", "operator", "interaction", "repeatability"):
        source = getattr(found, NAMES.get(name, name))
        # The made study's small sums of squares hold ten digits in their source.
        assert source.squares == pytest.approx(exact["ss"][name], rel=2e-9), name
        assert source.degrees == exact["df"][name]
        assert source.mean_square == pytest.approx(exact["ms"][name], rel=2e-9)
        if name == "repeatability":
            assert source.f is source.p is None
        else:
            assert source.f == pytest.approx(exact["F"][name], rel=2e-9)
            assert source.p == pytest.approx(exact["p"][name], rel=1e-8)


@pytest.mark.parametrize("row", STUDIES.values(), ids=lambda row: row["name"])
def test_the_pooled_analysis_is_as_others_computed_it(row: dict) -> None:
    exact = row["expected"]["reduced"]
    found = crossed_study(readings_of(row))
    assert found.error.mean_square == close(exact["ms_repeatability"])
    assert found.error.squares == close(exact["ss_repeatability"])
    assert found.error.degrees == exact["df_repeatability"]
    for source, name in ((found.part, "part"), (found.person, "operator")):
        assert source.f == pytest.approx(exact[f"F_{name}"], rel=2e-9)
        assert source.p == pytest.approx(exact[f"p_{name}"], rel=1e-8)


# AIAG, Measurement Systems Analysis, as printed: half a unit of the last digit.
def test_the_published_study_is_as_printed() -> None:
    printed = AIAG["printed"]
    found = crossed_study(AIAG["values"], tolerance=AIAG["tolerance"])
    assert found.tolerance_pct
    for quantity, name, half in [
        (found.variances, "var", 5e-6),
        (found.deviations, "sd", 5e-5),
        (found.contribution_pct, "pct_contribution", 5e-3),
        (found.study_pct, "pct_study_var", 5e-3),
        (found.tolerance_pct, "pct_tolerance", 5e-3),
    ]:
        for part, value in printed[name].items():
            ours = getattr(quantity, NAMES.get(part, part))
            assert ours == pytest.approx(value, abs=half), (name, part)
    assert found.interaction.f == pytest.approx(printed["interaction_F"], abs=5e-4)
    assert found.interaction.p == pytest.approx(printed["interaction_p"], abs=5e-4)
    assert found.error.mean_square == pytest.approx(0.03997, abs=5e-6)
    assert found.distinct_categories == printed["ndc"]


# --- an independent count where the interaction is kept -------------------------------


def by_totals(values) -> dict[str, float]:
    """Reckon the mean squares by totals, as by hand, and solve for the variances."""
    parts, persons, trials = len(values), len(values[0]), len(values[0][0])
    flat = [y for part in values for cell in part for y in cell]
    correction = math.fsum(flat) ** 2 / len(flat)
    of_parts = math.fsum(math.fsum(map(math.fsum, part)) ** 2 for part in values)
    of_persons = math.fsum(
        math.fsum(math.fsum(part[who]) for part in values) ** 2
        for who in range(persons)
    )
    of_cells = math.fsum(math.fsum(cell) ** 2 for part in values for cell in part)
    part = of_parts / (persons * trials) - correction
    person = of_persons / (parts * trials) - correction
    cells = of_cells / trials - correction
    whole = math.fsum(y * y for y in flat) - correction
    ms_part, ms_person = part / (parts - 1), person / (persons - 1)
    ms_both = (cells - part - person) / ((parts - 1) * (persons - 1))
    ms_within = (whole - cells) / (parts * persons * (trials - 1))
    return {
        "repeatability": ms_within,
        "interaction": max(0, ms_both - ms_within) / trials,
        "person": max(0, ms_person - ms_both) / (parts * trials),
        "part": max(0, ms_part - ms_both) / (persons * trials),
        "p": f_distribution.sf(
            ms_both / ms_within,
            (parts - 1) * (persons - 1),
            parts * persons * (trials - 1),
        ),
    }


def made(chance, shape, part, person, both, within):
    """Make a study with these standard deviations."""
    parts, persons = shape[:2]
    return (
        chance.normal(0, part, size=(parts, 1, 1))
        + chance.normal(0, person, size=(1, persons, 1))
        + chance.normal(0, both, size=(parts, persons, 1))
        + chance.normal(0, within, size=shape)
    )


@pytest.mark.parametrize("shape", [(10, 3, 2), (5, 2, 3), (2, 2, 2), (7, 4, 5)])
def test_a_kept_interaction_is_reckoned_as_by_hand(shape) -> None:
    chance = np.random.default_rng(sum(shape))
    for both in (0.0, 0.5, 2.0):
        values = made(chance, shape, 3.0, 1.0, both, 0.4).tolist()
        exact = by_totals(values)
        found = crossed_study(values, pool_above=1.0)
        for name in ("repeatability", "interaction", "person", "part"):
            value = getattr(found.variances, name)
            assert value == pytest.approx(exact[name], rel=1e-7, abs=1e-9), name
        assert found.interaction.p == pytest.approx(exact["p"], rel=1e-6)


def test_variances_come_out_right_in_the_mean() -> None:
    chance = np.random.default_rng(31)
    exact = {"part": 9.0, "person": 4.0, "interaction": 1.0, "repeatability": 0.25}
    found = []
    for _ in range(1500):
        values = made(chance, (8, 6, 2), 3.0, 2.0, 1.0, 0.5)
        variances = crossed_study(values, pool_above=1.0).variances
        found.append([getattr(variances, name) for name in exact])
    means, spreads = np.mean(found, axis=0), np.std(found, axis=0)
    # Four standard errors; so seldom cut at nought that the mean does not feel it.
    for name, mean, spread in zip(exact, means, spreads, strict=True):
        assert mean == pytest.approx(exact[name], abs=4 * spread / math.sqrt(1500)), (
            name
        )
    assert (np.array(found) == 0).mean() < 0.001


def test_the_interaction_is_pooled_where_its_chance_lies_above() -> None:
    values = AIAG["values"]
    p = crossed_study(values).interaction.p
    assert p
    pooled = crossed_study(values, pool_above=p - 1e-9)
    kept = crossed_study(values, pool_above=p + 1e-9)
    assert (pooled.pooled, kept.pooled) == (True, False)
    assert pooled.part.f == pooled.part.mean_square / pooled.error.mean_square
    assert kept.part.f == kept.part.mean_square / kept.interaction.mean_square


# --- properties -----------------------------------------------------------------------


def adds_up(study: GaugeStudy) -> None:
    v = study.variances
    assert v.reproducibility == pytest.approx(v.person + v.interaction)
    assert v.gauge == pytest.approx(v.repeatability + v.reproducibility)
    assert v.total == pytest.approx(v.gauge + v.part)
    share = study.contribution_pct
    assert share.gauge + share.part == pytest.approx(100)
    assert study.study_pct.total == pytest.approx(100)


@st.composite
def studies(draw):
    parts, persons, trials = (draw(st.integers(2, 4)) for _ in range(3))
    whole = st.integers(-50, 50)
    values = np.empty((parts, persons, trials))
    for place in product(range(parts), range(persons), range(trials)):
        values[place] = draw(whole) / 10
    return values


@given(values=studies(), offset=st.floats(-1e3, 1e3), scale=st.floats(0.1, 50))
def test_variances_follow_the_unit_and_not_the_zero(values, offset, scale) -> None:
    assume(np.ptp(values) > 0)
    one = crossed_study(values, pool_above=1.0)
    other = crossed_study(offset + scale * values, pool_above=1.0)
    adds_up(one)
    for field in fields(Parted):
        exact = scale**2 * getattr(one.variances, field.name)
        assert getattr(other.variances, field.name) == pytest.approx(
            exact, rel=1e-6, abs=1e-7
        )


@given(values=studies())
def test_the_order_of_parts_and_persons_does_not_matter(values) -> None:
    assume(np.ptp(values) > 0)
    one = crossed_study(values, pool_above=0.5)
    other = crossed_study(values[::-1, ::-1], pool_above=0.5)
    if one.pooled == other.pooled:
        for field in fields(Parted):
            exact = getattr(one.variances, field.name)
            assert getattr(other.variances, field.name) == pytest.approx(
                exact, abs=1e-9
            )


def test_a_gauge_that_never_differs_has_no_count_of_categories() -> None:
    values = [[[place / 10] * 3] * 2 for place in (100, 103, 107)]
    found = crossed_study(values, tolerance=2.0)
    assert found.variances.gauge == 0
    assert found.distinct_categories is None
    assert found.categories == math.inf
    assert found.part.f == math.inf
    assert found.part.p == 0
    assert found.tolerance_pct
    assert found.tolerance_pct.gauge == 0


def test_parts_that_are_alike_make_no_category() -> None:
    chance = np.random.default_rng(3)
    found = crossed_study(made(chance, (5, 3, 3), 0.0, 0.0, 0.0, 1.0))
    assert found.distinct_categories == 0
    assert found.study_pct.gauge > 90


# --- what is refused ------------------------------------------------------------------

GOOD = [[[1.0, 1.1], [1.2, 1.0]], [[2.0, 2.1], [2.2, 2.1]]]


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: crossed_study([]), r"values must hold at least 2 parts, got 0"),
        (lambda: crossed_study(GOOD[:1]), r"values must hold at least 2 parts, got 1"),
        (lambda: crossed_study([[], []]), r"same persons .* at least 2, got 0"),
        (
            lambda: crossed_study([[[1, 2]], [[2, 3]]]),
            r"same persons for each part, and at least 2, got 1",
        ),
        (
            lambda: crossed_study([GOOD[0], [*GOOD[1], [2, 2]]]),
            r"same persons for each part, and at least 2, got 2 or 3",
        ),
        (
            lambda: crossed_study([[[1], [2]], [[3], [4]]]),
            r"values\[0\]\[0\] must hold at least 2, got 1",
        ),
        (
            lambda: crossed_study([GOOD[0], [[1, 2, 3], [2, 2]]]),
            r"as many trials for each part and person, got 2 or 3",
        ),
        (
            lambda: crossed_study([GOOD[0], [[1, math.nan], [2, 2]]]),
            r"values\[1\]\[0\] must be finite, got nan",
        ),
        (
            lambda: crossed_study([[[3.3, 3.3]] * 2] * 2),
            r"values must not all be equal, got 3\.3",
        ),
        (lambda: crossed_study(GOOD, tolerance=0), r"tolerance must be above 0 .* 0"),
        (lambda: crossed_study(GOOD, tolerance=math.inf), r"tolerance .*, got inf"),
        (lambda: crossed_study(GOOD, pool_above=1.5), r"pool_above must lie .* 1\.5"),
        (lambda: crossed_study(GOOD, pool_above=math.nan), r"pool_above .*, got nan"),
    ],
)
def test_what_is_no_crossed_study_is_refused(call, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        call()
