"""Is the moisture of wood written down, doubted and judged as it was read?"""

from datetime import datetime, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests import make
from travelers.kit.refusals import Refused
from travelers.lumber import queries
from travelers.lumber.actions import read_moisture, weigh_sample
from travelers.lumber.models import (
    MoistureReading,
    PlankSet,
    SpeciesCorrection,
)
from travelers.lumber.rules import (
    LastRead,
    Metering,
    Method,
    Pin,
    Sample,
    doubts,
    dryness,
)
from travelers.shop.models import HouseRules
from travelers.shop.rules import OverdueGauges

pytestmark = pytest.mark.django_db


@pytest.fixture
def body(shop: make.Shop) -> PlankSet:
    return shop.plank_set()


def read(
    shop: make.Shop,
    plank_set: PlankSet,
    *shown: str,
    at: datetime | None = None,
    wood_c: str | None = None,
    sure: bool = False,
    gauge: str = "meter",
) -> list[MoistureReading]:
    """Read the pieces of a set in their order, one value for each."""
    pieces = plank_set.pieces.order_by("letter")
    return read_moisture(
        plank_set_id=plank_set.pk,
        how=Metering(
            at or shop.now,
            shop.cast.gauges[gauge].pk,
            None if wood_c is None else Decimal(wood_c),
        ),
        pins=[
            Pin(piece.pk, 1, Decimal(value))
            for piece, value in zip(pieces, shown, strict=False)
        ],
        by=shop.cast.joiner,
        at=shop.now,
        sure=sure,
    )


def refused(shop: make.Shop, plank_set: PlankSet, *shown: str, **how: object) -> str:
    """Read what is not taken; say by which code, and see that nothing was kept."""
    before = MoistureReading.objects.count()
    with pytest.raises(Refused) as caught:
        read(shop, plank_set, *shown, **how)  # type: ignore[arg-type]
    assert MoistureReading.objects.count() == before
    return caught.value.refusal.code


def test_the_worst_piece_and_the_oldest_reading_decide(
    shop: make.Shop, body: PlankSet
) -> None:
    one, two = body.pieces.order_by("letter")
    read(shop, body, "8.1", "7.4", at=shop.now - timedelta(days=3))
    read(shop, body, "7.2", at=shop.now)
    found = queries.drynesses(plank_set_ids=[body.pk])[body.pk]
    assert (found.worst_pct, found.worst_letter) == (Decimal("7.40"), two.letter)
    assert found.age(shop.now) == timedelta(days=3)
    assert found.unread == ()
    newer = queries.drynesses(
        plank_set_ids=[body.pk], since=shop.now - timedelta(days=1)
    )[body.pk]
    assert (newer.worst_letter, newer.unread) == (one.letter, (two.letter,))


def test_of_several_points_the_wettest_is_the_pieces(
    shop: make.Shop, body: PlankSet
) -> None:
    piece = body.pieces.order_by("letter")[0]
    read_moisture(
        plank_set_id=body.pk,
        how=Metering(shop.now, shop.cast.gauges["meter"].pk),
        pins=[
            Pin(piece.pk, n, Decimal(value))
            for n, value in enumerate(("7.0", "8.4", "7.7"), start=1)
        ],
        by=shop.cast.joiner,
        at=shop.now,
    )
    last = queries.last_read(plank_set_id=body.pk)
    assert last[piece.pk].moisture_pct == Decimal("8.40")
    sessions = queries.sessions(plank_set_ids=[body.pk])[body.pk]
    assert [(one.read_at, one.worst_pct) for one in sessions] == [(shop.now, 8.4)]


def test_a_meter_is_corrected_by_the_shops_own_table_and_the_warmth(
    shop: make.Shop, body: PlankSet
) -> None:
    species = body.plank.delivery.species
    for shown, add in (("7.0", "-0.5"), ("9.0", "0.3")):
        SpeciesCorrection.objects.create(
            species=species, shown_pct=Decimal(shown), add_pct=Decimal(add)
        )
    cold, warm = read(shop, body, "8.0", "8.0")
    assert (cold.shown_pct, cold.moisture_pct) == (Decimal("8.0"), Decimal("7.90"))
    shop.later(hours=1)
    warm, _ = read(shop, body, "8.0", "8.0", wood_c="35")
    assert warm.moisture_pct == Decimal("6.40")
    assert (warm.method, warm.in_calibration) == (Method.METER, True)


@pytest.mark.parametrize(
    ("shown", "how", "code"),
    [
        (("60", "8"), {}, "lumber.meter_cannot_tell"),
        (("8", "0.8"), {}, "lumber.meter_cannot_tell"),
        (("8", "8"), {"wood_c": "95"}, "lumber.wood_cannot_be_so_warm"),
        (("8", "8"), {"gauge": "caliper"}, "lumber.not_a_meter"),
        ((), {}, "lumber.nothing_read"),
    ],
)
def test_what_cannot_be_is_refused_whole(
    shop: make.Shop, body: PlankSet, shown: tuple[str, ...], how: dict, code: str
) -> None:
    assert refused(shop, body, *shown, **how) == code


def test_a_reading_of_tomorrow_is_refused(shop: make.Shop, body: PlankSet) -> None:
    tomorrow = shop.now + timedelta(days=1)
    assert refused(shop, body, "8", "8", at=tomorrow) == "lumber.air_in_the_future"


def test_an_overdue_meter_is_refused_or_marked_as_the_shop_wants(
    shop: make.Shop, body: PlankSet
) -> None:
    meter = shop.cast.gauges["meter"]
    meter.due_on = shop.now.date() - timedelta(days=1)
    meter.save()
    assert refused(shop, body, "8", "8") == "lumber.meter_overdue"
    HouseRules.objects.create(
        pk=1,
        overdue_gauges=OverdueGauges.MARK,
        changed_at=shop.now,
        changed_by=shop.cast.lead,
    )
    taken = read(shop, body, "8", "8")
    assert {row.in_calibration for row in taken} == {False}


def test_readings_that_rise_or_come_out_of_order_are_asked_about(
    shop: make.Shop, body: PlankSet
) -> None:
    read(shop, body, "8.0", "8.0")
    shop.later(days=7)
    assert refused(shop, body, "7.5", "9.0") == "lumber.read_rising"
    earlier = shop.now - timedelta(days=9)
    assert refused(shop, body, "9.5", at=earlier) == "lumber.read_out_of_order"
    # A little more than last time is the meter, not the wood.
    read(shop, body, "7.6", "8.5")
    shop.later(days=1)
    assert len(read(shop, body, "7.4", "9.6", sure=True)) == 2
    assert len(read(shop, body, "9.5", at=earlier, sure=True)) == 1


def test_a_double_press_is_one_reading_and_another_value_is_refused(
    shop: make.Shop, body: PlankSet
) -> None:
    first = read(shop, body, "8.0", "7.5")
    again = read(shop, body, "8.0", "7.5")
    assert [row.pk for row in again] == [row.pk for row in first]
    assert MoistureReading.objects.count() == 2
    assert refused(shop, body, "8.2", "7.5") == "lumber.moisture_known"


def test_a_piece_of_another_set_is_refused(shop: make.Shop, body: PlankSet) -> None:
    other = shop.plank_set()
    with pytest.raises(Refused) as caught:
        read_moisture(
            plank_set_id=body.pk,
            how=Metering(shop.now, shop.cast.gauges["meter"].pk),
            pins=[Pin(other.pieces.first().pk, 1, Decimal(8))],
            by=shop.cast.joiner,
            at=shop.now,
        )
    assert caught.value.refusal.code == "lumber.not_of_the_set"
    assert not MoistureReading.objects.exists()


# ASTM D4442 (the definition, from secondary sources): 256.31 g wet and 238.77 g dry are
# 7.35 % of the dry mass.
def test_an_oven_dried_sample_says_the_moisture_of_its_piece(
    shop: make.Shop, body: PlankSet
) -> None:
    piece = body.pieces.order_by("letter")[0]

    def weigh(wet: str, dry: str, *, sure: bool = False) -> MoistureReading:
        return weigh_sample(
            plank_set_id=body.pk,
            sample=Sample(piece.pk, shop.now, Decimal(wet), Decimal(dry)),
            by=shop.cast.joiner,
            at=shop.now,
            sure=sure,
        )

    row = weigh("256.31", "238.77")
    assert (row.method, row.moisture_pct) == (Method.OVEN, Decimal("7.35"))
    assert weigh("256.31", "238.77").pk == row.pk
    for wet, dry, code in (
        ("238.77", "256.31", "lumber.heavier_when_dry"),
        ("256.31", "23.88", "lumber.sample_too_wet"),
    ):
        with pytest.raises(Refused) as caught:
            weigh(wet, dry)
        assert caught.value.refusal.code == code
    shop.later(days=1)
    with pytest.raises(Refused) as caught:
        weigh("260.00", "238.77")
    assert caught.value.refusal.code == "lumber.read_rising"
    assert weigh("260.00", "238.77", sure=True).moisture_pct == Decimal("8.89")


def test_many_sets_are_judged_in_two_queries(shop: make.Shop, body: PlankSet) -> None:
    for count in (1, 3):
        sets = [shop.plank_set() for _ in range(count)]
        for one in sets:
            read(shop, one, "8", "7")
        with CaptureQueriesContext(connection) as caught:
            found = queries.drynesses(plank_set_ids=[one.pk for one in sets])
        assert len(found) == count
        assert len(caught) == 2


def test_a_set_that_nobody_read_has_no_dryness() -> None:
    assert dryness("AB", []) is None


def test_nothing_is_asked_of_wood_that_dries(at: datetime) -> None:
    last = {1: LastRead("A", Decimal("8.0"), at)}
    later = at + timedelta(days=7)
    assert doubts({1: Decimal("7.4"), 2: Decimal("12.0")}, last, later) == ()
    (doubt,) = doubts({1: Decimal("8.9")}, last, later)
    assert doubt.words["last"] == "8.0"
