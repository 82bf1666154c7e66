"""Do the lumber's tables refuse what cannot be?"""

import pytest

from tests import make
from tests.constraints import change, copy, names_of, refuses
from travelers.lumber.actions import let_logger_in
from travelers.lumber.models import (
    Delivery,
    DeliveryPaper,
    Logger,
    MoistureReading,
    Piece,
    Plank,
    PlankSet,
    Room,
    RoomReading,
    Species,
    SpeciesCorrection,
)
from travelers.lumber.rules import Method, Told

pytestmark = pytest.mark.django_db

# A sample of 6 g dry wood that was 5 % heavier before the oven.
WEIGHED = {"wet_mass_g": "6.3", "dry_mass_g": 6, "wood_c": None}

BREAKS = {
    "delivery_has_number": lambda: [change(Delivery.objects.get(), number="")],
    "plank_has_size_and_mass": lambda: [
        change(Plank.objects.get(), **{column: 0})
        for column in ("length_mm", "width_mm", "thickness_mm", "mass_g")
    ],
    "species_gravity_is_of_wood": lambda: [
        change(Species.objects.get(code="ASH"), gravity_at_12_ratio=wrong)
        for wrong in ("0.09", "1.41")
    ],
    "delivery_paper_once_a_number": lambda: [
        copy(DeliveryPaper.objects.get(), name="b.pdf", sha256="1" * 64)
    ],
    "delivery_paper_once_a_content": lambda: [
        copy(DeliveryPaper.objects.get(), name="b.pdf", number=2)
    ],
    "delivery_paper_kind_known": lambda: [
        change(DeliveryPaper.objects.get(), kind="HTML")
    ],
    "delivery_paper_is_there": lambda: [
        change(DeliveryPaper.objects.get(), **wrong)
        for wrong in ({"number": 0}, {"number": 31}, {"size": 0}, {"name": ""})
    ],
    "plank_set_purpose_known": lambda: [change(PlankSet.objects.get(), purpose="LEG")],
    "piece_letter_once_a_set": lambda: [
        copy(Piece.objects.get(letter="A"), code="W9999999")
    ],
    "piece_letter_is_a_letter": lambda: [
        change(Piece.objects.get(letter="A"), letter=letter) for letter in ("a", "1")
    ],
    "piece_has_size": lambda: [
        change(Piece.objects.get(letter="A"), **{column: 0})
        for column in ("length_mm", "width_mm", "thickness_mm", "mass_g")
    ],
    "room_limit_is_of_dry_wood": lambda: [
        change(Room.objects.get(), limit_pct=limit) for limit in (0, 2.9, 20.1)
    ],
    "room_reading_once_a_moment": lambda: [copy(RoomReading.objects.get())],
    "room_reading_temperature_can_be": lambda: [
        change(RoomReading.objects.get(), temperature_c=wrong) for wrong in (-21, 104)
    ],
    "room_reading_humidity_can_be": lambda: [
        change(RoomReading.objects.get(), humidity_pct=wrong) for wrong in (-1, 105)
    ],
    "room_reading_told_known": lambda: [
        change(RoomReading.objects.get(), told="BY_HEART")
    ],
    "correction_once_a_value": lambda: [copy(SpeciesCorrection.objects.get())],
    "correction_is_small": lambda: [
        change(SpeciesCorrection.objects.get(), **wrong)
        for wrong in ({"shown_pct": 61}, {"add_pct": "9.1"}, {"add_pct": "-9.1"})
    ],
    "logger_name_once_a_room": lambda: [
        copy(Logger.objects.get(), token_digest="1" * 64)
    ],
    "logger_is_put_out_by_somebody": lambda: [
        change(Logger.objects.get(), put_out_at="2026-03-10T08:30:00Z"),
        change(Logger.objects.get(), put_out_by=Logger.objects.get().let_in_by),
    ],
    "moisture_once_a_moment": lambda: [copy(MoistureReading.objects.get())],
    "moisture_method_known": lambda: [
        change(MoistureReading.objects.get(), method="THUMB")
    ],
    "moisture_has_what_a_meter_gives": lambda: [
        change(MoistureReading.objects.get(), **wrong)
        for wrong in (
            {"shown_pct": None},
            {"gauge": None},
            {"in_calibration": None},
            {"dry_mass_g": 5},
        )
    ],
    "moisture_has_what_the_oven_gives": lambda: [
        change(
            MoistureReading.objects.get(),
            **{"method": Method.OVEN, "shown_pct": None} | WEIGHED | wrong,
        )
        for wrong in (
            {"shown_pct": 7},
            {"dry_mass_g": None},
            {"wet_mass_g": None},
            {"dry_mass_g": 7},
            {"wood_c": 20},
        )
    ],
    "moisture_can_be": lambda: [
        change(MoistureReading.objects.get(), **wrong)
        for wrong in ({"moisture_pct": 201}, {"point": 0}, {"point": 10})
    ],
}


def test_every_constraint_is_tried() -> None:
    assert set(BREAKS) == names_of("lumber")


@pytest.mark.each
@pytest.mark.parametrize("name", BREAKS)
def test_a_row_that_cannot_be_is_refused(shop: make.Shop, name: str) -> None:
    shop.plank_set()
    room = Room.objects.create(station=shop.cast.stations["ROOM"], limit_pct=7)
    RoomReading.objects.create(
        room=room,
        read_at=shop.now,
        temperature_c=40,
        humidity_pct=33,
        told=Told.BY_HAND,
    )
    let_logger_in(room_id=room.pk, name="L1", by=shop.cast.lead, at=shop.now)
    piece = Piece.objects.get(letter="A")
    DeliveryPaper.objects.create(
        delivery=piece.plank_set.plank.delivery,
        number=1,
        kind="PDF",
        name="a.pdf",
        sha256="0" * 64,
        size=9,
        added_at=shop.now,
        added_by=shop.cast.lead,
    )
    SpeciesCorrection.objects.create(
        species=piece.plank_set.plank.delivery.species, shown_pct=8, add_pct=1
    )
    MoistureReading.objects.create(
        piece=piece,
        read_at=shop.now,
        method=Method.METER,
        gauge=shop.cast.gauges["meter"],
        in_calibration=True,
        shown_pct=8,
        moisture_pct=8,
        person=shop.cast.joiner,
    )
    for write in BREAKS[name]():
        refuses(name, write)


def test_a_piece_that_was_not_weighed_is_taken(shop: make.Shop) -> None:
    shop.plank_set()
    change(Piece.objects.get(letter="A"), mass_g=None)()
    assert Piece.objects.get(letter="A").mass_g is None


def test_a_piece_has_no_plank_but_its_sets() -> None:
    """Wood of two planks in one set cannot be written down."""
    assert not [
        field
        for field in Piece._meta.get_fields()
        if field.is_relation and field.related_model is Plank
    ]
