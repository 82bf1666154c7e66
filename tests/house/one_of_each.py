"""One of each thing, so that every address has something to show."""

from dataclasses import dataclass
from datetime import date
from uuid import uuid4

from tests import make
from tests.desk import allotted, released
from travelers.floor.actions import Target, hold_batches, pin
from travelers.floor.models import (
    Event,
    Load,
    MaterialUse,
)
from travelers.floor.rules import Wish
from travelers.lumber.actions import let_logger_in
from travelers.lumber.models import (
    Delivery,
    DeliveryPaper,
    Plank,
    PlankSet,
    Room,
    RoomReading,
    Species,
    SpeciesCorrection,
)
from travelers.orders.models import Instrument, Part, Step, WorkOrder
from travelers.paper.models import Sheet
from travelers.planning.actions import keep_what_if
from travelers.planning.models import (
    Forecast,
    OrderPromise,
    ReleasePlan,
    ReleaseRules,
)
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
    Verification,
)
from travelers.routes.actions import draft_revision
from travelers.routes.models import (
    Characteristic,
    DefectKind,
    MaterialNeed,
)
from travelers.shop.actions import change_cutter
from travelers.shop.models import (
    Badge,
    ClosedDay,
    GaugeFault,
    HouseRules,
    NeedsQualification,
    Qualification,
    Tablet,
)


@dataclass(frozen=True)
class World:
    """One of each thing that an address can name."""

    waiting: WorkOrder
    wooded: WorkOrder
    order: WorkOrder
    instrument: Instrument
    body: Part
    delivery: Delivery
    plank: Plank
    set: PlankSet
    defect: Defect
    tablet: Tablet
    load: Load
    containment: Containment
    skill: NeedsQualification


def furnish(shop: make.Shop) -> World:
    """Put one of each thing into the shop, by its verbs where there are some."""
    made = released(shop, 1)[0]
    body = shop.part(made)
    shop.work(body, until="Machine")
    step = shop.step_of(body)
    assert step
    shop.must(Wish.START, step)
    shop.check(step)
    load = Load.objects.create(
        pk=uuid4(), station=shop.cast.stations["ROOM"], person=shop.cast.joiner,
        begun_at=shop.now,
    )  # fmt: skip
    held = shop.scan(Wish.HOLD, body, by="qa", at="CUTTER", reason="x", only_part=True)
    found = shop.scan(
        Wish.DEFECT, body, step=step, kind="TEAR_OUT", x="0.4", y="0.3",
        severity="MINOR", note="",
    )  # fmt: skip
    assert held.accepted
    assert found.accepted
    defect = decided_defect(shop, step)
    Sheet.objects.create(
        paper="TRAVELER", of=made.serial, instrument=made, copy=1,
        printed_at=shop.now, printed_by=shop.cast.planner,
    )  # fmt: skip
    furnish_house(shop)
    DeliveryPaper.objects.create(
        delivery=Delivery.objects.earliest("pk"), number=1, title="note", kind="PDF",
        name="gone.pdf", sha256="0" * 64, size=9, added_at=shop.now,
        added_by=shop.cast.lead,
    )  # fmt: skip
    furnish_materials(shop)
    pin(
        uuid=uuid4(), target=Target(made.serial), reason="x", by=shop.cast.planner,
        until_on=shop.now.date(), at=shop.now,
    )  # fmt: skip
    chosen = body.plank_set
    assert chosen
    return World(
        shop.order(), allotted(shop, 1), made.order, made, body,
        chosen.plank.delivery, chosen.plank, chosen, defect, shop.cast.tablet, load,
        contain_wood(shop, body), NeedsQualification.objects.get(),
    )  # fmt: skip


def decided_defect(shop: make.Shop, step: Step) -> Defect:
    """Give what the last event found; it is decided of, looked at and has a photo."""
    defect = Defect.objects.create(
        event=Event.objects.get(kind="DEFECT"), part=step.part, step=step,
        kind=DefectKind.objects.get(code="TEAR_OUT"), severity="MINOR", x="0.4",
        y="0.3",
    )  # fmt: skip
    decided = Disposition.objects.create(
        defect=defect, decision="USE_AS_IS", by=shop.cast.qa, decided_at=shop.now,
        reason="small",
    )  # fmt: skip
    Verification.objects.create(
        disposition=decided, by=shop.cast.qa, verified_at=shop.now
    )
    DefectPhoto.objects.create(
        defect=defect, number=1, sha256="0" * 64, size=9, width=3, height=3
    )
    return defect


def furnish_materials(shop: make.Shop) -> None:
    """Take a batch in that is used, held and let go, and mount a cutter."""
    draft_revision(revision_id=shop.revision.pk)
    make.use_materials(make.draft(shop.model, shop.cast, "Z"))
    glue = shop.batch()
    shop.bring(glue, "CLAMPS")
    MaterialUse.objects.create(
        event=Event.objects.latest("seq"),
        need=MaterialNeed.objects.get(material=glue.material),
        batch=glue,
    )
    hold_batches(holds=[(uuid4(), glue.pk)], reason="x", by=shop.cast.qa, at=shop.now)
    change_cutter(
        station_id=shop.cast.stations["SAW"].pk, head="left", number="C-1",
        life_parts=9, by=shop.cast.joiner, at=shop.now,
    )  # fmt: skip


def contain_wood(shop: make.Shop, body: Part) -> Containment:
    """Contain the plank of a body."""
    plank = body.plank_set.plank
    made = Containment.objects.create(
        uuid=uuid4(), kind="PLANK", thing=str(plank.pk), key=plank.number,
        name=plank.number, reason="pitch", by=shop.cast.qa, made_at=shop.now,
    )  # fmt: skip
    Contained.objects.create(containment=made, part=body, hold_id=uuid4())
    check = Characteristic.objects.earliest("pk")
    told = {"characteristic": check, "by": shop.cast.qa}
    study = GaugeStudy.objects.create(
        gauge=shop.cast.gauges["caliper"], parts=2, people=2, trials=2,
        begun_at=shop.now, **told,
    )  # fmt: skip
    StudyPart.objects.create(study=study, number=1, part=body)
    StudyValue.objects.create(
        study=study, person=shop.cast.qa, part=1, trial=1, value=1,
        measured_at=shop.now,
    )  # fmt: skip
    day = shop.now.date()
    ChartBase.objects.create(since=day, until=day, made_at=shop.now, **told)
    SignalAnswer.objects.create(
        event_id=uuid4(), rules="nelson_1", cause="a", action="b",
        answered_at=shop.now, **told,
    )  # fmt: skip
    return made


def plan_releases(shop: make.Shop) -> None:
    """Add what the planner keeps of releases and promises."""
    made = {"seed": 1, "futures": 1, "digest": "0" * 64}
    by = {"made_at": shop.now, "made_by": shop.cast.planner}
    day = shop.now.date()
    ReleaseRules.objects.create(pk=1, set_at=shop.now, set_by=shop.cast.planner)
    ReleasePlan.objects.create(
        made_at=shop.now, day=day, **made,
        results={"mark": [80, None, []], "orders": [], "weeks": [], "rooms": {},
                 "parts": 0},
    )  # fmt: skip
    OrderPromise.objects.create(
        order=WorkOrder.objects.earliest("id"), promised_on=day, wished_on=day,
        certainty_pct=80, half_on=day, usual_on=day, sure_on=day, asked_at=shop.now,
        **made, **by,
    )  # fmt: skip


def furnish_house(shop: make.Shop) -> None:
    """Add what a shop keeps of its days, people and rules."""
    room = Room.objects.create(station=shop.cast.stations["ROOM"], limit_pct=7)
    RoomReading.objects.create(
        room=room, read_at=shop.now, temperature_c=40, humidity_pct=33, told="BY_HAND"
    )
    let_logger_in(room_id=room.pk, name="L1", by=shop.cast.lead, at=shop.now)
    wood = PlankSet.objects.earliest("id")
    shop.read_wood(wood, *["8"] * wood.pieces.count())
    SpeciesCorrection.objects.create(
        species=Species.objects.earliest("id"), shown_pct=8, add_pct=1
    )
    keep_what_if(
        name="Saw", changes={"more_places": {"SAW": 1}}, by=shop.cast.planner,
        at=shop.now,
    )  # fmt: skip
    Forecast.objects.create(
        made_at=shop.now, day=shop.now.date(), seed=1, futures=1, digest="0" * 64,
        results={
            "stations": [], "orders": [], "instruments": [], "gains": None, "parts": 0,
        },
    )  # fmt: skip
    plan_releases(shop)
    GaugeFault.objects.create(
        gauge=shop.cast.gauges["caliper"], good_until_on=shop.now.date(), reason="x",
        found_at=shop.now, found_by=shop.cast.qa, ended_at=shop.now,
        ended_by=shop.cast.qa,
    )  # fmt: skip
    HouseRules.objects.create(pk=1, changed_at=shop.now, changed_by=shop.cast.qa)
    ClosedDay.objects.create(day=date(2026, 12, 25), reason="winter")
    Badge.objects.create(
        person=shop.cast.qa, digest="x", issued_at=shop.now, issued_by=shop.cast.admin
    )
    skill = {"stage": shop.cast.stations["SAW"].stage, "kind": "JOIN"}
    NeedsQualification.objects.create(**skill)
    Qualification.objects.create(person=shop.cast.joiner, **skill)
