"""Is a gauge studied blind, by those who use it, and judged by its tolerance?"""

import json
from decimal import Decimal
from itertools import pairwise, product
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pytest

from tests import make
from tests.desk import client
from travelers.formulas.control import crossed_study
from travelers.kit.refusals import Refused
from travelers.orders.models import Part
from travelers.quality import queries
from travelers.quality.actions import (
    Planned,
    begin_study,
    call_study_off,
    note_study_value,
    number_study_part,
    take_study_value_back,
)
from travelers.quality.models import GaugeStudy, StudyPart, StudyValue
from travelers.quality.rules import (
    Fitness,
    Turn,
    card_of,
    fitness,
    order_of,
    read_card,
)
from travelers.routes.models import Characteristic
from travelers.shop.actions import find_gauge_bad

pytestmark = pytest.mark.django_db

PEOPLE = ("joiner", "finisher")
DATA = Path(__file__).parents[1] / "formulas" / "data"


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


@pytest.fixture
def study(shop: make.Shop) -> GaugeStudy:
    return begin(shop)


def begin(
    shop: make.Shop,
    *,
    by: str = "qa",
    code: str = "POCKET",
    size: tuple[int, int, int] = (3, 2, 2),
) -> GaugeStudy:
    return begin_study(
        tag=shop.cast.gauges["caliper"].tag,
        characteristic_id=Characteristic.objects.get(code=code).pk,
        planned=Planned(*size),
        by=shop.cast.people[by],
        at=shop.now,
    )


def note(
    shop: make.Shop,
    study: GaugeStudy,
    who: str,
    part: int,
    value: str,
    event_id: UUID | None = None,
) -> StudyValue:
    return note_study_value(
        number=study.pk,
        part=part,
        value=Decimal(value),
        by=shop.cast.people[who],
        at=shop.now,
        event_id=event_id or uuid4(),
    )


def turn_of(shop: make.Shop, study: GaugeStudy, who: str) -> Turn | None:
    by = shop.cast.people[who]
    return queries.sitting_of(study=study, by=by, at=shop.now).next


def measure_all(shop: make.Shop, study: GaugeStudy) -> list[list[list[float]]]:
    """Let two people measure it all, in the order that they are told."""
    values = [[[0.0] * study.trials for _ in PEOPLE] for _ in range(study.parts)]
    for place, who in enumerate(PEOPLE):
        while turn := turn_of(shop, study, who):
            shown = 56 + 0.05 * turn.part + 0.002 * place + 0.003 * (turn.trial % 2)
            note(shop, study, who, turn.part, f"{shown:.4f}")
            values[turn.part - 1][place][turn.trial - 1] = float(f"{shown:.4f}")
    return values


def refused(code: str) -> Any:
    return pytest.raises(Refused, match=f"quality.{code}")


def test_the_result_is_that_of_the_analysis_of_variance(
    shop: make.Shop, study: GaugeStudy
) -> None:
    values = measure_all(shop, study)
    page = queries.study_page(number=study.pk)
    check = study.characteristic
    told = crossed_study(values, tolerance=float(check.upper - check.lower))
    assert page.result.study.variances == told.variances
    assert page.result.fitness is fitness(told.tolerance_pct.gauge)
    said = client(shop, "joiner").get(f"/quality/studies/{study.pk}/").content.decode()
    assert "of the tolerance" in said


# Data and printed results are those of AIAG, Measurement Systems Analysis, as quoted in
# public (tests/formulas/data/README.md); half a unit of the last printed digit.
def test_the_published_study_measured_so_gives_the_published_result(
    shop: make.Shop,
) -> None:
    rows = json.loads((DATA / "gauge_studies.json").read_text(encoding="utf-8"))
    row = next(one for one in rows if one["name"] == "ten parts, three persons")
    values, width = row["values"], Decimal(str(row["tolerance"]))
    check = Characteristic.objects.get(code="POCKET")
    draft = make.draft(shop.model, shop.cast, "B")
    operation = draft.operations.get(name="Machine")
    made = Characteristic.objects.create(
        operation=operation, code="ROUND", name="Roundness",
        kind="MEASURED", unit=check.unit, gauge_kind=check.gauge_kind,
        nominal=0, lower=-width / 2, upper=width / 2, decimals=2,
    )  # fmt: skip
    study = begin(shop, code=made.code, size=(10, 3, 3))
    for place, who in enumerate(("joiner", "finisher", "lead")):
        while turn := turn_of(shop, study, who):
            shown = str(values[turn.part - 1][place][turn.trial - 1])
            note(shop, study, who, turn.part, shown)
    result, printed = queries.study_page(number=study.pk).result, row["printed"]
    for quantity, name, half in [
        (result.study.variances, "var", 5e-6),
        (result.study.tolerance_pct, "pct_tolerance", 5e-3),
    ]:
        for part, value in printed[name].items():
            own = {"operator": "person", "grr": "gauge"}.get(part, part)
            assert getattr(quantity, own) == pytest.approx(value, abs=half), part
    assert result.study.distinct_categories == printed["ndc"]


@pytest.mark.parametrize(
    ("pct", "word"),
    [
        (0, Fitness.GOOD),
        (10, Fitness.GOOD),
        (10.1, Fitness.MAY_DO),
        (30, Fitness.MAY_DO),
        (30.1, Fitness.UNFIT),
    ],
)
def test_a_gauge_is_judged_by_its_share_of_the_tolerance(
    pct: float, word: Fitness
) -> None:
    assert fitness(pct) is word


def test_the_order_is_drawn_by_lot_and_stays() -> None:
    orders = {
        (person, trial): order_of(7, person, trial, 12)
        for person in (1, 2)
        for trial in (1, 2, 3)
    }
    assert all(sorted(one) == list(range(1, 13)) for one in orders.values())
    assert len(set(orders.values())) == 6
    assert order_of(7, 1, 1, 12) == orders[1, 1]


def test_nobody_measures_a_part_twice_in_a_row() -> None:
    for study, person, parts in product(range(20), range(4), (2, 3, 10)):
        whole = [p for t in (1, 2, 3, 4, 5) for p in order_of(study, person, t, parts)]
        assert all(one != other for one, other in pairwise(whole))


def test_cards_of_studies_are_told_apart() -> None:
    cards = {card_of(study, part): (study, part) for study, part in product(
        (1, 2, 40_000), range(31)
    )}  # fmt: skip
    assert len(cards) == 93
    assert all(read_card(code) == whose for code, whose in cards.items())
    assert read_card("P000010F") is None
    assert read_card("YARD") is None


def test_only_the_part_that_is_next_is_taken_and_once(
    shop: make.Shop, study: GaugeStudy
) -> None:
    turn = turn_of(shop, study, "joiner")
    other = next(n for n in (1, 2, 3) if n != turn.part)
    with refused("study_other_part"):
        note(shop, study, "joiner", other, "56.1")
    with refused("study_no_such_part"):
        note(shop, study, "joiner", 99, "56.1")
    note(shop, study, "joiner", turn.part, "56.1")
    with refused("study_part_again"):
        note(shop, study, "joiner", turn.part, "56.1")
    assert StudyValue.objects.count() == 1


def test_a_press_that_comes_again_counts_once(
    shop: make.Shop, study: GaugeStudy
) -> None:
    press, part = uuid4(), turn_of(shop, study, "joiner").part
    kept = note(shop, study, "joiner", part, "56.1", press)
    assert note(shop, study, "joiner", part, "56.10", press) == kept
    with refused("study_press_used"):
        note(shop, study, "joiner", part, "56.2", press)
    with refused("study_press_used"):
        note(shop, study, "finisher", part, "56.1", press)
    assert StudyValue.objects.get() == kept


def test_ones_own_last_value_goes_back_and_is_measured_again(
    shop: make.Shop, study: GaugeStudy
) -> None:
    first, second = (
        note(shop, study, "joiner", turn_of(shop, study, "joiner").part, shown)
        for shown in ("56.1", "61.1")
    )
    for value, who in ((first, "joiner"), (second, "finisher")):
        with refused("study_gone_on"):
            back(shop, study, value, who)
    taken = back(shop, study, second, "joiner")
    assert taken.taken_back_at == shop.now
    assert back(shop, study, second, "joiner") == taken
    assert turn_of(shop, study, "joiner") == Turn(second.part, second.trial)
    note(shop, study, "joiner", second.part, "56.11")
    assert queries.study_page(number=study.pk).row.measured == 2
    assert StudyValue.objects.count() == 3


def back(shop: make.Shop, study: GaugeStudy, value: StudyValue, who: str) -> StudyValue:
    return take_study_value_back(
        number=study.pk, value_id=value.pk, by=shop.cast.people[who], at=shop.now
    )


def test_one_person_too_many_is_told_so(shop: make.Shop, study: GaugeStudy) -> None:
    for who in PEOPLE:
        note(shop, study, who, turn_of(shop, study, who).part, "56.1")
    with refused("study_full"):
        note(shop, study, "lead", 1, "56.1")


def test_who_is_done_hands_it_on(shop: make.Shop, study: GaugeStudy) -> None:
    while turn := turn_of(shop, study, "joiner"):
        note(shop, study, "joiner", turn.part, "56.1")
    with refused("study_yours_are_in"):
        note(shop, study, "joiner", 1, "56.1")


def test_a_gauge_that_is_out_is_studied_no_more(
    shop: make.Shop, study: GaugeStudy
) -> None:
    part = turn_of(shop, study, "joiner").part
    gauge = study.gauge
    find_gauge_bad(
        tag=gauge.tag, good_until_on=gauge.calibrated_on, reason="dropped",
        by=shop.cast.qa, at=shop.now,
    )  # fmt: skip
    with refused("study_gauge_out"):
        note(shop, study, "joiner", part, "56.1")


def test_a_whole_study_and_one_called_off_are_closed(
    shop: make.Shop, study: GaugeStudy
) -> None:
    measure_all(shop, study)
    last = study.values.latest("pk")
    with refused("study_closed"):
        back(shop, study, last, "finisher")
    with refused("study_closed"):
        off(shop, study)
    other = begin(shop)
    with pytest.raises(Refused, match="your_role"):
        off(shop, other, "lead")
    off(shop, other)
    with refused("study_closed"):
        note(shop, other, "joiner", 1, "56.1")
    assert queries.study_page(number=other.pk).called_off.reason == "parts mixed up"


def off(shop: make.Shop, study: GaugeStudy, who: str = "qa") -> None:
    by = shop.cast.people[who]
    call_study_off(number=study.pk, reason="parts mixed up", by=by, at=shop.now)


def test_parts_get_their_numbers_by_their_tags_until_one_is_measured(
    shop: make.Shop, study: GaugeStudy
) -> None:
    bodies = [shop.part(one) for one in shop.instruments(4)]

    def number(body: Part, study: GaugeStudy = study, who: str = "qa") -> StudyPart:
        return number_study_part(
            number=study.pk, code=body.code, by=shop.cast.people[who], at=shop.now
        )

    assert [number(body).number for body in bodies[:2]] == [1, 2]
    with refused("study_part_in"):
        number(bodies[0])
    with pytest.raises(Refused, match="your_role"):
        number(bodies[2], who="lead")
    assert number(bodies[2]).number == 3
    with refused("study_all_numbered"):
        number(bodies[3])
    other = begin(shop)
    note(shop, other, "joiner", turn_of(shop, other, "joiner").part, "56.1")
    with refused("study_begun"):
        number(bodies[0], other)
    off(shop, other)
    with refused("study_closed"):
        number(bodies[0], other)


def test_a_gauge_that_shows_no_difference_is_said_so(
    shop: make.Shop, study: GaugeStudy
) -> None:
    for who in PEOPLE:
        while turn := turn_of(shop, study, who):
            note(shop, study, who, turn.part, "56.1")
    said = client(shop, "joiner").get(f"/quality/studies/{study.pk}/").content.decode()
    assert "All values are alike" in said


def test_qa_begins_it_for_what_the_gauge_judges(shop: make.Shop) -> None:
    with pytest.raises(Refused, match="your_role"):
        begin(shop, by="lead")
    with refused("study_not_of_gauge"):
        begin(shop, code="MOISTURE")


def test_from_the_gauges_page_to_a_study_with_its_parts(shop: make.Shop) -> None:
    qa, tag = client(shop, "qa"), shop.cast.gauges["caliper"].tag
    check = Characteristic.objects.get(code="POCKET")
    address = f"/quality/gauges/{tag}/"
    assert "Pocket width" in qa.get(address).content.decode()
    said = {"characteristic": check.pk, "parts": 1, "people": 2, "trials": 2}
    assert qa.post(address, said).status_code == 422
    made = qa.post(address, said | {"parts": 2}, follow=True)
    where = f"/quality/studies/{GaugeStudy.objects.get().pk}/"
    assert made.redirect_chain == [(where, 302)]
    body = shop.part(shop.instrument())
    page = qa.post(f"{where}part/", {"code": body.code}, follow=True).content.decode()
    assert body.instrument.serial in page
    assert "Scan the tag of part 2 of 2" in page
    again = qa.post(f"{where}part/", {"code": body.code})
    assert again.status_code == 409
    assert "is part 1 of this study already" in again.content.decode()
    assert qa.post(f"{where}part/", {"code": "P0ZZZ123"}).status_code == 404
    assert qa.post(f"{where}off/", {}).status_code == 422
    closed = qa.post(f"{where}off/", {"reason": "too few"}, follow=True)
    assert "too few. It gives no result." in closed.content.decode()
    assert qa.post(f"{where}off/", {"reason": "again"}).status_code == 409
    assert qa.get("/quality/gauges/NONE/").status_code == 404
    assert qa.get("/quality/studies/999/").status_code == 404
