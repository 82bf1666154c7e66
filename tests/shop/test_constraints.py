"""Do the shop's tables refuse what cannot be?"""

from datetime import date, time, timedelta
from decimal import Decimal

import pytest

from tests import make
from tests.constraints import change, copy, names_of, refuses
from travelers.shop.actions import (
    change_cutter,
    decide_overdue_gauges,
    find_gauge_bad,
)
from travelers.shop.models import (
    Badge,
    Cutter,
    GaugeFault,
    HouseRules,
    Invitation,
    NeedsQualification,
    PinTry,
    Qualification,
    Shift,
)
from travelers.shop.rules import OverdueGauges

pytestmark = pytest.mark.django_db


def badge(shop: make.Shop) -> Badge:
    lead = shop.cast.lead
    return Badge.objects.create(
        person=lead, digest="one", issued_at=shop.now, issued_by=lead
    )


def invitation(shop: make.Shop) -> Invitation:
    return Invitation.objects.create(
        station=shop.cast.stations["SAW"], digest="one", made_at=shop.now,
        made_by=shop.cast.lead, ends_at=shop.now + timedelta(minutes=15),
    )  # fmt: skip


def pin_try(shop: make.Shop) -> PinTry:
    return PinTry.objects.create(
        tablet=shop.cast.tablet, number="0417", failures=1, last_at=shop.now
    )


def need(shop: make.Shop) -> NeedsQualification:
    stage = shop.cast.stations["SAW"].stage
    return NeedsQualification.objects.create(stage=stage, kind="WORK")


def skill(shop: make.Shop) -> Qualification:
    stage = shop.cast.stations["SAW"].stage
    return Qualification.objects.create(
        person=shop.cast.joiner, stage=stage, kind="WORK"
    )


def cutter(shop: make.Shop) -> Cutter:
    return change_cutter(
        station_id=shop.cast.stations["SAW"].pk,
        head="left",
        number="C-1",
        life_parts=3,
        by=shop.cast.joiner,
        at=shop.now,
    )


def rules(shop: make.Shop) -> HouseRules:
    return decide_overdue_gauges(
        decision=OverdueGauges.MARK, by=shop.cast.qa, at=shop.now
    )


def fault(shop: make.Shop) -> GaugeFault:
    return find_gauge_bad(
        tag=shop.cast.gauges["caliper"].tag, good_until_on=date(2026, 1, 1),
        reason="dropped", by=shop.cast.qa, at=shop.now,
    )  # fmt: skip


BREAKS = {
    "person_initials_not_empty": lambda shop: change(shop.cast.joiner, initials=""),
    "shift_starts_before_it_ends": lambda shop: change(
        Shift.objects.get(), starts=time(15), ends=time(6)
    ),
    "shift_has_weekdays": lambda shop: change(Shift.objects.get(), weekdays="128"),
    "person_number_has_four_digits": lambda shop: change(
        shop.cast.joiner, number="417"
    ),
    "person_pin_goes_with_a_number": lambda shop: change(shop.cast.joiner, pin="x"),
    "badge_revoked_says_by_whom": lambda shop: change(badge(shop), revoked_at=shop.now),
    "badge_one_in_force": lambda shop: copy(badge(shop), digest="another"),
    "invitation_made_before_it_ends": lambda shop: change(
        invitation(shop), ends_at=shop.now
    ),
    "pin_try_counted_once": lambda shop: copy(pin_try(shop)),
    "needs_qualification_kind_known": lambda shop: change(need(shop), kind="SING"),
    "needs_qualification_said_once": lambda shop: copy(need(shop)),
    "qualification_kind_known": lambda shop: change(skill(shop), kind="SING"),
    "qualification_given_says_by_whom": lambda shop: change(
        skill(shop), given_at=shop.now
    ),
    "qualification_said_once": lambda shop: copy(skill(shop)),
    "tablet_revoked_says_by_whom": lambda shop: change(
        shop.cast.tablet, revoked_by=shop.cast.lead
    ),
    "station_has_a_place": lambda shop: change(shop.cast.stations["SAW"], places=0),
    "station_attended_has_a_shift": lambda shop: change(
        shop.cast.stations["SAW"], shift=None
    ),
    "gauge_calibrated_before_due": lambda shop: change(
        shop.cast.gauges["meter"], due_on=date(2025, 7, 1)
    ),
    "house_rules_are_one_row": lambda shop: copy(rules(shop), id=2),
    "house_rules_overdue_gauges_known": lambda shop: change(
        rules(shop), overdue_gauges="LEND"
    ),
    "house_rules_workshop_air_can_be": lambda shop: change(rules(shop), workshop_c=41),
    "cutter_one_at_a_head": lambda shop: copy(cutter(shop), number="C-2"),
    "cutter_has_head_number_and_life": lambda shop: change(cutter(shop), life_parts=0),
    "cutter_taken_off_says_who_and_later": lambda shop: change(
        cutter(shop), taken_off_at=shop.now, taken_off_by=shop.cast.lead
    ),
    "gauge_fault_one_stands": lambda shop: copy(fault(shop)),
    "gauge_fault_has_a_reason": lambda shop: change(fault(shop), reason=""),
    "gauge_fault_ended_says_who_and_later": lambda shop: change(
        fault(shop), ended_at=shop.now
    ),
    "gauge_resolution_positive": lambda shop: change(
        shop.cast.gauges["meter"], resolution=Decimal(0)
    ),
}


def test_every_constraint_is_tried() -> None:
    assert set(BREAKS) == names_of("shop")


@pytest.mark.each
@pytest.mark.parametrize("name", BREAKS)
def test_a_row_that_cannot_be_is_refused(shop: make.Shop, name: str) -> None:
    refuses(name, BREAKS[name](shop))


def test_what_just_holds_is_taken(shop: make.Shop) -> None:
    change(shop.cast.joiner, initials=None)()
    change(shop.cast.stations["RACK"], shift=None, places=1)()
    change(Shift.objects.get(), weekdays="7", starts=time(6), ends=time(6, 1))()
    assert Shift.objects.get().weekdays == "7"
