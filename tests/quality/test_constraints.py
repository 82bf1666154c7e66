"""Do quality's tables refuse what cannot be?"""

from collections.abc import Callable
from datetime import UTC, date, datetime
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from tests import make
from tests.constraints import change, copy, names_of, refuses
from tests.floor import story
from tests.standing import kept
from travelers.floor.models import Batch, Event
from travelers.lumber.models import Plank, PlankSet
from travelers.quality.actions import decide
from travelers.quality.models import (
    ChartBase,
    Contained,
    Containment,
    Defect,
    DefectPhoto,
    Disposition,
    GaugeStudy,
    SignalAnswer,
    StudyPart,
    StudyValue,
)
from travelers.quality.rules import Decision
from travelers.routes.models import Characteristic, Material
from travelers.shop.models import Gauge

pytestmark = pytest.mark.django_db

Writes = Callable[[Disposition, Disposition], list[Callable[[], object]]]


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


@kept
def kept_and_scrapped(shop: make.Shop) -> tuple[Disposition, Disposition]:
    """Decide two defects of two bodies: one may stay, the other is scrapped."""
    made = []
    for decision, instrument in zip(
        (Decision.USE_AS_IS, Decision.SCRAP), shop.instruments(2), strict=True
    ):
        step = story.at(shop, shop.part(instrument), "Machine")
        defect = story.report(shop, step, "TEAR_OUT")
        told = {"by": shop.cast.qa, "at": shop.now, "reason": "looked at it"}
        made.append(decide(defect_id=defect.pk, decision=decision, **told))
    return made[0], made[1]


def photo(kept: Disposition) -> DefectPhoto:
    """Give the defect a first photo, once."""
    told = {"name": "a.jpg", "sha256": "0" * 64, "size": 9, "width": 3, "height": 3}
    made, _ = DefectPhoto.objects.get_or_create(
        defect=kept.defect, number=1, defaults=told
    )
    return made


def held(kept: Disposition) -> Containment:
    """Give a containment of the defect's part, once."""
    made, _ = Containment.objects.get_or_create(
        kind="PART",
        thing=str(kept.defect.part_id),
        defaults={
            "uuid": uuid4(),
            "key": kept.defect.part.code,
            "name": "BODY",
            "reason": "cracks",
            "by": kept.by,
            "made_at": kept.decided_at,
        },
    )
    return made


def part_of(kept: Disposition) -> Contained:
    made, _ = Contained.objects.get_or_create(
        containment=held(kept), part=kept.defect.part, defaults={"hold_id": uuid4()}
    )
    return made


def also(kept: Disposition, **wood: object) -> Contained:
    return Contained.objects.get_or_create(containment=held(kept), **wood)[0]


def batch_of(kept: Disposition) -> Batch:
    glue, _ = Material.objects.get_or_create(
        code="GLUE", defaults={"name": "Hide glue", "traced": "BATCH"}
    )
    return Batch.objects.get_or_create(
        material=glue,
        number="1",
        defaults={
            "code": "B000010N",
            "received_on": date(2026, 1, 1),
            "taken_in_at": kept.decided_at,
            "taken_in_by": kept.by,
        },
    )[0]


def base_of(kept: Disposition) -> ChartBase:
    return ChartBase.objects.get_or_create(
        characteristic=Characteristic.objects.earliest("pk"),
        defaults={
            "since": date(2026, 1, 1),
            "until": date(2026, 2, 1),
            "by": kept.by,
            "made_at": kept.decided_at,
        },
    )[0]


def answer_of(kept: Disposition) -> SignalAnswer:
    return SignalAnswer.objects.get_or_create(
        characteristic=Characteristic.objects.earliest("pk"),
        defaults={
            "event_id": uuid4(),
            "rules": "nelson_1",
            "cause": "worn",
            "action": "changed",
            "by": kept.by,
            "answered_at": kept.decided_at,
        },
    )[0]


def value_of(kept: Disposition) -> StudyValue:
    study, _ = GaugeStudy.objects.get_or_create(
        gauge=Gauge.objects.earliest("pk"),
        defaults={
            "characteristic": Characteristic.objects.earliest("pk"),
            "parts": 2,
            "people": 2,
            "trials": 2,
            "by": kept.by,
            "begun_at": kept.decided_at,
        },
    )
    return StudyValue.objects.get_or_create(
        study=study,
        person=kept.by,
        part=1,
        trial=1,
        defaults={"value": 1, "measured_at": kept.decided_at},
    )[0]


def study_part_of(kept: Disposition) -> StudyPart:
    return StudyPart.objects.get_or_create(
        study=value_of(kept).study, number=1, part=kept.defect.part
    )[0]


def closed(kept: Disposition, **columns: object) -> dict[str, object]:
    told = {"closed_at": kept.decided_at, "closed_by": kept.by, "closed_because": "a"}
    return told | columns


EARLY = datetime(2001, 1, 1, tzinfo=UTC)
BREAKS: dict[str, Writes] = {
    "defect_lies_on_the_outline": lambda kept, _: [
        change(kept.defect, **{axis: Decimal(value)})
        for axis in ("x", "y")
        for value in ("-0.001", "1.001")
    ],
    "defect_severity_known": lambda kept, _: [
        change(kept.defect, severity=severity) for severity in ("BAD", "", "minor")
    ],
    "defect_photo_once_a_number": lambda kept, _: [copy(photo(kept), name="b.jpg")],
    "defect_photo_has_its_own_file": lambda kept, _: [copy(photo(kept), number=2)],
    "defect_photo_one_of_three": lambda kept, _: [
        copy(photo(kept), number=number, name="b.jpg") for number in (0, 4)
    ],
    "containment_kind_known": lambda kept, _: [change(held(kept), kind="WOOD")],
    "containment_has_a_reason": lambda kept, _: [change(held(kept), reason="")],
    "contained_is_one_thing": lambda kept, _: [
        change(part_of(kept), hold_id=None),
        change(part_of(kept), part=None),
        change(part_of(kept), plank_set=PlankSet.objects.first()),
        change(part_of(kept), part=None, hold_id=None),
        change(part_of(kept), plank=Plank.objects.first()),
        change(part_of(kept), batch=batch_of(kept)),
    ],
    "contained_let_go_says_who": lambda kept, _: [
        change(part_of(kept), let_go_at=kept.decided_at),
        change(part_of(kept), let_go_by=kept.by),
    ],
    "contained_part_once": lambda kept, _: [copy(part_of(kept), hold_id=uuid4())],
    "contained_set_once": lambda kept, _: [
        copy(also(kept, plank_set=PlankSet.objects.first()))
    ],
    "contained_plank_once": lambda kept, _: [
        copy(also(kept, plank=Plank.objects.first()))
    ],
    "contained_batch_once": lambda kept, _: [
        copy(
            also(kept, batch=batch_of(kept), hold_id=uuid4()),
            hold_id=uuid4(),
        )
    ],
    "chart_base_in_order": lambda kept, _: [
        change(base_of(kept), until=date(2025, 12, 31))
    ],
    "signal_answered_once": lambda kept, _: [copy(answer_of(kept))],
    "signal_answer_says_cause_and_action": lambda kept, _: [
        change(answer_of(kept), **{name: ""}) for name in ("cause", "action", "rules")
    ],
    "gauge_study_is_crossed": lambda kept, _: [
        change(value_of(kept).study, **{name: value})
        for name in ("parts", "people", "trials")
        for value in (1, 31)
    ],
    "gauge_study_closed_says_who_and_why": lambda kept, _: [
        change(value_of(kept).study, closed_at=kept.decided_at),
        change(value_of(kept).study, closed_because="begun wrong"),
        change(value_of(kept).study, **closed(kept, closed_because="")),
        change(value_of(kept).study, **closed(kept, closed_by=None)),
        change(value_of(kept).study, **closed(kept, closed_at=EARLY)),
    ],
    "study_part_number_once": lambda kept, scrapped: [
        copy(study_part_of(kept), part_id=scrapped.defect.part_id)
    ],
    "study_part_once": lambda kept, _: [copy(study_part_of(kept), number=2)],
    "study_part_counts_from_one": lambda kept, _: [
        change(study_part_of(kept), number=number) for number in (0, 31)
    ],
    "study_value_once": lambda kept, _: [copy(value_of(kept))],
    "study_value_taken_back_later": lambda kept, _: [
        change(value_of(kept), taken_back_at=EARLY)
    ],
    "study_value_counts_from_one": lambda kept, _: [
        change(value_of(kept), **{name: 0}) for name in ("part", "trial")
    ],
    "disposition_has_a_reason": lambda kept, _: [
        change(kept, reason=""),
    ],
    "disposition_that_moves_names_its_event": lambda kept, scrapped: [
        change(scrapped, event=None),
        change(scrapped, decision="DOWNGRADE"),
        change(kept, event=Event.objects.order_by("seq")[0]),
        change(kept, decision="REWORK"),
    ],
}


def test_every_constraint_is_tried() -> None:
    assert set(BREAKS) == names_of("quality")


@pytest.mark.each
@pytest.mark.parametrize("name", BREAKS)
def test_a_row_that_cannot_be_is_refused(
    kept_and_scrapped: tuple[Disposition, Disposition], name: str
) -> None:
    for write in BREAKS[name](*kept_and_scrapped):
        refuses(name, write)


def test_a_decision_that_nobody_knows_is_refused(
    kept_and_scrapped: tuple[Disposition, Disposition],
) -> None:
    """Two constraints know the list; either may be the one that is asked first."""
    with pytest.raises(IntegrityError, match="disposition_"), transaction.atomic():
        change(kept_and_scrapped[0], decision="BURN")()


def test_a_defect_is_decided_once_and_an_event_found_one(
    kept_and_scrapped: tuple[Disposition, Disposition],
) -> None:
    kept, scrapped = kept_and_scrapped
    for write in (copy(kept), copy(kept.defect), copy(scrapped, defect_id=0)):
        with pytest.raises(IntegrityError), transaction.atomic():
            write()
    assert Disposition.objects.count() == Defect.objects.count() == 2
