"""Is a gauge studied blind, by those who use it, and judged by its tolerance?"""

from decimal import Decimal

import pytest

from tests import make
from tests.desk import client
from travelers.formulas.control import crossed_study
from travelers.kit.refusals import Refused
from travelers.quality import queries
from travelers.quality.actions import Planned, begin_study, note_study_value
from travelers.quality.models import GaugeStudy, StudyValue
from travelers.quality.rules import Fitness, fitness, order_of
from travelers.routes.models import Characteristic

pytestmark = pytest.mark.django_db

PEOPLE = ("joiner", "finisher")


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


@pytest.fixture
def study(shop: make.Shop) -> GaugeStudy:
    return begin(shop)


def begin(
    shop: make.Shop, *, by: str = "qa", code: str = "POCKET", parts: int = 3
) -> GaugeStudy:
    return begin_study(
        tag=shop.cast.gauges["caliper"].tag,
        characteristic_id=Characteristic.objects.get(code=code).pk,
        planned=Planned(parts, 2, 2),
        by=shop.cast.people[by],
        at=shop.now,
    )


def note(shop: make.Shop, study: GaugeStudy, who: str, part: int, value: str) -> None:
    note_study_value(
        number=study.pk,
        part=part,
        value=Decimal(value),
        by=shop.cast.people[who],
        at=shop.now,
    )


def measure_all(shop: make.Shop, study: GaugeStudy) -> list[list[list[float]]]:
    """Let two people measure it all, in the order that they are told."""
    values = [[[0.0] * study.trials for _ in PEOPLE] for _ in range(study.parts)]
    for place, who in enumerate(sorted(PEOPLE, key=lambda n: shop.cast.people[n].pk)):
        person = shop.cast.people[who]
        while True:
            page = queries.study_page(number=study.pk, by=person)
            if page.next is None:
                break
            part, trial = page.next.part, page.next.trial
            shown = 56 + 0.05 * part + 0.002 * place + 0.003 * (trial % 2)
            note(shop, study, who, part, f"{shown:.4f}")
            values[part - 1][place][trial - 1] = float(f"{shown:.4f}")
    return values


def test_the_result_is_that_of_the_analysis_of_variance(
    shop: make.Shop, study: GaugeStudy
) -> None:
    values = measure_all(shop, study)
    page = queries.study_page(number=study.pk, by=shop.cast.qa)
    check = study.characteristic
    told = crossed_study(values, tolerance=float(check.upper - check.lower))
    assert page.result.study == told
    assert page.result.fitness is fitness(told.tolerance_pct.gauge)
    said = client(shop, "joiner").get(f"/quality/studies/{study.pk}/").content.decode()
    assert "of the tolerance" in said


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


def test_the_order_is_drawn_by_lot_and_stays(study: GaugeStudy) -> None:
    orders = {
        (person, trial): order_of(study.pk, person, trial, 12)
        for person in (1, 2)
        for trial in (1, 2, 3)
    }
    assert all(sorted(one) == list(range(1, 13)) for one in orders.values())
    assert len(set(orders.values())) == 6
    assert order_of(study.pk, 1, 1, 12) == orders[1, 1]


def test_only_the_part_that_is_next_is_taken_and_once(
    shop: make.Shop, study: GaugeStudy
) -> None:
    joiner = shop.cast.joiner
    following = queries.study_page(number=study.pk, by=joiner).next
    other = next(n for n in (1, 2, 3) if n != following.part)
    for part in (other, 99):
        with pytest.raises(Refused) as fault:
            note(shop, study, "joiner", part, "56.1")
        assert fault.value.refusal.code == "quality.study_other_next"
    note(shop, study, "joiner", following.part, "56.1")
    with pytest.raises(Refused):
        note(shop, study, "joiner", following.part, "56.1")
    assert StudyValue.objects.count() == 1


def test_one_person_too_many_is_told_so(shop: make.Shop, study: GaugeStudy) -> None:
    for who in PEOPLE:
        following = queries.study_page(number=study.pk, by=shop.cast.people[who]).next
        note(shop, study, who, following.part, "56.1")
    with pytest.raises(Refused) as fault:
        note(shop, study, "lead", 1, "56.1")
    assert fault.value.refusal.code == "quality.study_full"
    said = client(shop, "lead").get(f"/quality/studies/{study.pk}/").content.decode()
    assert "All its people measure already" in said


def test_a_gauge_that_shows_no_difference_is_said_so(
    shop: make.Shop, study: GaugeStudy
) -> None:
    for who in PEOPLE:
        while following := queries.study_page(
            number=study.pk, by=shop.cast.people[who]
        ).next:
            note(shop, study, who, following.part, "56.1")
    said = client(shop, "joiner").get(f"/quality/studies/{study.pk}/").content.decode()
    assert "All values are alike" in said


def test_qa_begins_it_for_what_the_gauge_judges(shop: make.Shop) -> None:
    with pytest.raises(Refused, match="your_role"):
        begin(shop, by="lead")
    with pytest.raises(Refused) as fault:
        begin(shop, code="MOISTURE")
    assert fault.value.refusal.code == "quality.study_not_of_gauge"


def test_from_the_gauges_page_to_the_first_value(shop: make.Shop) -> None:
    qa, tag = client(shop, "qa"), shop.cast.gauges["caliper"].tag
    check = Characteristic.objects.get(code="POCKET")
    address = f"/quality/gauges/{tag}/"
    assert "Pocket width" in qa.get(address).content.decode()
    said = {"characteristic": check.pk, "parts": 1, "people": 2, "trials": 2}
    assert qa.post(address, said).status_code == 422
    made = qa.post(address, said | {"parts": 5}, follow=True)
    study = GaugeStudy.objects.get()
    where = f"/quality/studies/{study.pk}/"
    assert made.redirect_chain == [(where, 302)]
    joiner = client(shop, "joiner")
    page = queries.study_page(number=study.pk, by=shop.cast.joiner)
    part = page.next.part
    wrong = joiner.post(where, {"part": part, "value": "wide"})
    assert wrong.status_code == 422
    assert 'value="wide"' in wrong.content.decode()
    right = joiner.post(where, {"part": part, "value": "56,12"}, follow=True)
    assert "1 of your 10 are done" in right.content.decode()
    assert "56.12" not in right.content.decode()
    again = joiner.post(where, {"part": part, "value": "56,12"})
    assert again.status_code in (302, 409)
    assert qa.get("/quality/gauges/NONE/").status_code == 404
    assert qa.get("/quality/studies/999/").status_code == 404
