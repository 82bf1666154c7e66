"""Is a density that its species does not have asked about, and by whom let be?

White ash has a specific gravity of 0.60 by volume at 12 % (FPL-GTR-190, 2010, table
5-3), and single pieces differ by 10 %: three deviations, from 6 to 20 % moisture, are
0.7 × 0.60 × 1.06 and 1.3 × 0.60 × 1.20.
"""

from decimal import Decimal
from typing import Any

import pytest

from tests import make
from tests.desk import client, page_of, text_of
from tests.lumber.test_views import NEW, head, planks_of, rows
from travelers.kit.refusals import Refused
from travelers.kit.words import remedy_of, sentence_of
from travelers.lumber import actions
from travelers.lumber.models import Delivery, Plank, Species
from travelers.lumber.rules import Sawn, expected_density, not_wood, unlikely

LEAST, MOST = 0.7 * 600 * 1.06, 1.3 * 600 * 1.20
ASH = expected_density("ash", "Ash, white", None)
# 2.4 m × 180 mm × 45 mm of 650 kg/m³.
PLANK = Sawn(Decimal(2400), Decimal(180), Decimal(45), 12_636)


def of(**other: Any) -> Sawn:
    sizes = {"length_mm": PLANK.length_mm, "width_mm": PLANK.width_mm}
    rest = {"thickness_mm": PLANK.thickness_mm, "mass_g": PLANK.mass_g}
    return Sawn(**(sizes | rest | other))


def test_what_is_expected_is_what_the_handbook_gives() -> None:
    assert ASH
    assert (ASH.least, ASH.most) == pytest.approx((LEAST, MOST))


def test_the_shop_may_know_better_than_the_handbook() -> None:
    own = expected_density("ash", "Ash, white", Decimal("0.50"))
    assert own
    assert own.least == pytest.approx(0.7 * 500 * 1.06)
    assert expected_density("ebony", "", None) is None
    assert expected_density("ebony", "", Decimal("0.95"))


def test_a_species_of_green_gravity_alone_is_expected_by_it() -> None:
    # 0.45 green: 0.45 / (1 - 0.265 × 0.6 × 0.45) by volume at 12 % (FPL-GTR-76).
    found = expected_density("mahogany", "Mahogany, true", None)
    assert found
    assert found.least == pytest.approx(0.7 * 1060 * 0.45 / (1 - 0.159 * 0.45))


@pytest.mark.parametrize(
    ("wrong", "slip"),
    [
        # The same plank, each time with one number in another unit (1 lb is 453.592 g).
        ({"mass_g": 13}, "mass_in_kg"),
        ({"mass_g": 28}, "mass_in_lb"),
        ({"thickness_mm": Decimal("4.5")}, "thickness_in_cm"),
        ({"thickness_mm": Decimal("1.77")}, "thickness_in_inches"),
        ({"width_mm": Decimal(18)}, "width_in_cm"),
        ({"length_mm": Decimal(240)}, "length_in_cm"),
        ({"length_mm": Decimal("2.4")}, "length_in_m"),
        (
            {
                "length_mm": Decimal(240),
                "width_mm": Decimal(18),
                "thickness_mm": Decimal("4.5"),
            },
            "all_in_cm",
        ),
        # One that no unit explains.
        ({"mass_g": 19_000}, "no_slip"),
    ],
)
def test_a_slip_of_a_unit_is_asked_about(wrong: dict[str, Any], slip: str) -> None:
    doubt = unlikely(of(**wrong), ASH)
    assert doubt
    assert doubt.words["slip_word"] == slip


def test_an_unlikely_density_says_what_its_species_has() -> None:
    heavy = of(mass_g=19_000)
    doubt = unlikely(heavy, ASH)
    assert not_wood(heavy) is None
    assert doubt
    assert sentence_of(doubt) == "977 kg/m³ is unlikely: ash has 445 to 936."
    assert remedy_of(doubt) == (
        "Look again. Are the sizes and the mass of the same plank? "
        "If it is so, say that you looked."
    )
    assert unlikely(heavy, None) is None
    assert unlikely(PLANK, ASH) is None


@pytest.fixture
def ash(shop: make.Shop) -> Species:
    species = Species.objects.get(code="ASH")
    species.handbook_name = "Ash, white"
    species.save()
    return species


@pytest.mark.django_db
@pytest.mark.usefixtures("ash")
def test_an_unlikely_plank_is_taken_only_once_somebody_looked(
    shop: make.Shop,
) -> None:
    lead = client(shop, "lead")
    typed = head() | rows("2400 180 45 19000", "2400 180 45 12636")
    asked = lead.post(NEW, typed)
    assert asked.status_code == 422
    assert not Delivery.objects.exists()
    (fault,) = page_of(asked).faults()
    assert "977 kg/m³ is unlikely" in fault.words
    assert text_of(asked).count("I looked: it is so") == 1
    tick = {"plank-1-looked": page_of(asked).rows[0].numbers}
    assert f'value="{tick["plank-1-looked"]}"' in text_of(asked)
    assert lead.post(NEW, typed | tick).status_code == 302
    first, second = Plank.objects.order_by("id")
    assert (first.looked_at_by, second.looked_at_by) == (shop.cast.lead, None)
    page = text_of(lead.get("/lumber/D26-01/"))
    assert f"unlikely; {shop.cast.lead} looked" in " ".join(page.split())
    assert "445 to 936 kg/m³" in page


@pytest.mark.django_db
@pytest.mark.usefixtures("ash")
def test_a_tick_holds_for_the_numbers_it_was_made_for(shop: make.Shop) -> None:
    lead = client(shop, "lead")
    typed = head() | rows("2400 180 45 19000")
    numbers = page_of(lead.post(NEW, typed)).rows[0].numbers
    other = head() | rows("2400 180 45 25000") | {"plank-1-looked": numbers}
    assert lead.post(NEW, other).status_code == 422
    likely = head() | rows("2400 180 45 12636") | {"plank-1-looked": numbers}
    assert lead.post(NEW, likely).status_code == 302
    assert Plank.objects.get().looked_at_by is None


@pytest.mark.django_db
@pytest.mark.usefixtures("ash")
def test_no_tick_takes_in_what_cannot_be_wood(shop: make.Shop) -> None:
    lead = client(shop, "lead")
    typed = head() | rows("2400 180 45 13")
    answer = lead.post(NEW, typed | {"plank-1-looked": "2400.00 180.00 45.00 13"})
    assert answer.status_code == 422
    assert "Is the mass in grams, or in kilograms?" in text_of(answer)
    assert "I looked" not in text_of(answer)
    assert planks_of("D26-01") == []


@pytest.mark.django_db
def test_the_verb_refuses_what_nobody_looked_at(shop: make.Shop, ash: Species) -> None:
    made = shop.plank_set().plank.delivery
    good = of()
    with pytest.raises(Refused) as refused:
        actions.add_planks(delivery_id=made.pk, planks=[good, of(mass_g=19_000)])
    assert refused.value.refusal.code == "lumber.density_unlikely"
    assert made.planks.count() == 1
    looked = of(mass_g=19_000, looked_at_by=shop.cast.lead.pk)
    actions.add_planks(delivery_id=made.pk, planks=[good, looked])
    assert made.planks.count() == 3


@pytest.mark.django_db
@pytest.mark.usefixtures("ash")
def test_a_planks_page_shows_its_density_beside_its_species(shop: make.Shop) -> None:
    plank = shop.plank_set().plank
    text = text_of(client(shop, "joiner").get(f"/lumber/plank/{plank.number}/"))
    assert "445 to 936 kg/m³" in text
    assert '<svg class="density"' in text
