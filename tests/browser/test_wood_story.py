"""From the delivery to a glued and dried blank, by the people who do it, in a browser.

In the demo's workshop, before anything is built there: a lead takes a delivery in and
cuts it by plan, labels are printed and read back by two decoders, a planner gives a set
to an order, and an operator saws, loads, reads over the weeks, takes out, glues and
dries again, while a logger sends the air of the room.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from random import Random
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.core.management import call_command

from tests.browser import measures
from tests.browser.conftest import SIZES, Tablet
from tests.browser.sheets import printed, read_by_both
from travelers.demo.actions import furnish
from travelers.floor.actions import take_batch_in
from travelers.floor.queries import audit
from travelers.formulas import codes
from travelers.lumber.actions import Cut, accept_delivery, cut_set
from travelers.lumber.models import PlankSet, RoomReading, Species, Supplier
from travelers.lumber.rules import Purpose, Sawn
from travelers.orders.models import Part, Step
from travelers.planning import queries as planning
from travelers.planning.queries import Outlook
from travelers.routes.models import Characteristic, MaterialNeed, WoodNeed
from travelers.shop.models import Gauge, Person, Station

BEGAN = datetime(2026, 3, 9, 9, 0, tzinfo=UTC)
TEN_YEARS = 10 * 365 * 86_400
# The air of the room, to whose equilibrium the wood of this story truly comes.
WARM, DAMP, EQUILIBRIUM_PCT = 41.0, 33.0, 6.05
RATE_PER_DAY = 0.0376


@dataclass
class Story:
    """The people's screens, the clock, the wood, and the logger's token."""

    clock: time_machine.Traveller
    lead: Tablet
    planner: Tablet
    operator: Tablet
    now: datetime = BEGAN
    token: str = ""
    printed: dict[str, str] = field(default_factory=dict)

    def later(self, **span: float) -> None:
        self.now += timedelta(**span)
        self.clock.move_to(self.now, tick=True)

    def scan(self, part: Part, station: str) -> None:
        self.operator.go(f"/station/{station}/")
        self.operator.scan(self.printed[part.code])

    def breathe(self, days: int) -> None:
        """Let days pass, and the logger send the air of every four hours of them."""
        began = self.now
        self.later(days=days)
        rows = [
            {
                "read_at": (began + timedelta(hours=4 * n)).isoformat(),
                "temperature_c": WARM,
                "humidity_pct": DAMP,
            }
            for n in range(1, 6 * days + 1)
        ]
        answer = self.operator.page.request.post(
            f"{self.operator.home}/rooms/DRY-A/log/",
            data={"readings": rows},
            headers={"Authorization": f"Bearer {self.token}"},
        )
        assert answer.json() == {"new": len(rows), "known": 0}

    def show(self, tablet: Tablet, name: str) -> None:
        """Keep a picture in each size; nothing may stick out, nor axe complain."""
        for size in SIZES:
            tablet.picture(f"wood-{name}", size=size, full=True)
            assert measures.overflow(tablet.page) == []
        tablet.resize(SIZES[0])
        assert tablet.axe() == []


@pytest.fixture
def story(db: None, tablet: Callable[..., Tablet], settings: object) -> Iterator[Story]:
    # The clock moves by months; nobody shall be signed out by that.
    settings.SESSION_COOKIE_AGE = TEN_YEARS  # type: ignore[attr-defined]
    settings.CSRF_COOKIE_AGE = TEN_YEARS  # type: ignore[attr-defined]
    # What fails is tried once more, in an empty shop.
    call_command("flush", interactive=False, verbosity=0)
    with time_machine.travel(BEGAN, tick=True) as clock:
        furnish(at=BEGAN, zone=ZoneInfo("Europe/Berlin"))
        Gauge.objects.update(due_on=date(2027, 12, 31))
        people = []
        for name in ("lev", "pia", "marta"):
            people.append(tablet())
            people[-1].enter(Person.objects.get(username=name))
        yield Story(clock, *people)


def test_from_the_delivery_to_a_dry_blank(story: Story) -> None:
    plank = _take_in(story)
    chosen = _cut_by_plan(story, plank)
    _label(story, chosen)
    body = _order(story, chosen)
    _saw_and_weigh(story, body)
    _let_logger_in(story)
    _load(story, body, "Dry the pieces")
    _dry(story, body, chosen)
    _glue(story, body, chosen)
    _dry_again(story, body, chosen)
    for instrument_id in audit.instrument_ids():
        checked = audit.check_instrument(instrument_id=instrument_id)
        assert list(checked.differences) == []


# --- Lumber


def _take_in(story: Story) -> str:
    """Type a delivery of two planks, one of them with its mass in kilograms first."""
    lead = story.lead
    lead.go("/lumber/new/")
    page = lead.page
    page.fill("[name=number]", "D26-40")
    page.select_option("[name=supplier]", str(Supplier.objects.get(code="QF").pk))
    page.select_option("[name=species]", str(Species.objects.get(code="ASH").pk))
    planks = (("3930", "396", "55", "57"), ("4105", "185", "55", "28930"))
    for number, cells in enumerate(planks, start=1):
        names = ("length_mm", "width_mm", "thickness_mm", "mass_g")
        for name, cell in zip(names, cells, strict=True):
            page.fill(f"[name=plank-{number}-{name}]", cell)
    lead.press("Take it in")
    lead.shows("Is the mass in grams, or in kilograms?")
    story.show(lead, "delivery-asked")
    page.fill("[name=plank-1-mass_g]", "57000")
    lead.press("Take it in")
    lead.shows("The delivery is taken in.")
    story.show(lead, "delivery")
    return "D26-40-01"


def _cut_by_plan(story: Story, plank: str) -> PlankSet:
    lead = story.lead
    lead.go(f"/lumber/plank/{plank}/")
    lead.press("Cut by plan")
    lead.page.select_option("select[name=fill]", label="Tern, body")
    lead.press("Plan the cuts")
    # Two rows of eight in 3,930 × 396 mm, two pieces of 480 × 172 mm a set.
    lead.shows("8 whole sets", "Saw it so")
    story.show(lead, "plan")
    asked = lead.page.get_by_role("link", name="Print for the saw")
    assert printed(lead.page, f"{lead.home}{asked.get_attribute('href')}")
    lead.press("Saw it so")
    made = PlankSet.objects.filter(plank__number=plank, purpose=Purpose.BODY)
    assert made.count() == 8
    story.show(lead, "plank-cut")
    return made.earliest("pk")


def _label(story: Story, chosen: PlankSet) -> None:
    """Print the labels of the set; what two decoders read is what is scanned."""
    address = f"{story.lead.home}/paper/set/{chosen.number}/labels.pdf"
    texts = read_by_both(printed(story.lead.page, address))
    story.printed |= {codes.parse(text): text for text in texts}
    pieces = chosen.pieces.values_list("code", flat=True)
    assert set(story.printed) >= set(pieces)


def _order(story: Story, chosen: PlankSet) -> Part:
    """Make an order of one, give it this set, release it and print its traveler."""
    _cut_a_neck()
    planner = story.planner
    planner.go("/orders/new/")
    page = planner.page
    page.fill("input[name=number]", "W777")
    page.select_option("select[name=what]", label="Tide Green")
    page.fill("input[name=quantity]", "1")
    page.fill("input[name=due_on]", "2026-12-01")
    planner.touch("main form button")
    planner.shows(chosen.number)
    story.show(planner, "order-suits")
    page.check(f"input[name=set][value='{chosen.pk}']")
    planner.press("Allot those ticked")
    planner.touch("button[name=first]")
    planner.press("Release")
    address = f"{planner.home}/paper/order/W777/travelers.pdf"
    texts = read_by_both(printed(page, address))
    story.printed |= {codes.parse(text): text for text in texts}
    return Part.objects.get(plank_set=chosen)


def _cut_a_neck() -> None:
    """Have a neck set lie ready; how sets are cut is tried with the body's."""
    need = WoodNeed.objects.get(model__code="TERN", branch="NECK")
    delivery = accept_delivery(
        number="D26-41",
        supplier_id=Supplier.objects.get(code="BL").pk,
        species_id=Species.objects.get(code="MAPLE").pk,
        received_on=date(2026, 3, 2),
        planks=[Sawn(Decimal(3145), Decimal(231), Decimal(49), 25_930)],
    )
    cut_set(
        plank_id=delivery.planks.get().pk,
        purpose=Purpose.NECK,
        cut=Cut(need.pieces, need.length_mm, need.width_mm, need.thickness_mm),
        cut_on=date(2026, 3, 9),
    )


# --- The stations


def _do(story: Story, body: Part, station: str, *mates: str) -> None:
    """Do what is due at a station: begin, join, measure, end."""
    operator = story.operator
    story.later(hours=1)
    story.scan(body, station)
    operator.press("Start")
    for mate in mates:
        operator.scan(story.printed[mate])
    _measure(story, body)
    operator.press("Done")


def _measure(story: Story, body: Part) -> None:
    """Read every check that is due, place by place, in the middle of its limits."""
    page = story.operator.page
    due = Step.objects.get(part=body, state="RUNNING").operation.characteristics
    for check in due.order_by("pk"):
        # The next check opens by itself.
        if not page.locator("form.check").count():
            story.operator.press(f"Check: {check.name}")
        for place in range(1, check.places + 1):
            page.wait_for_selector(
                f"form.check:has([name=check][value='{check.pk}'])"
                f":has([name=place][value='{place}'])"
            )
            if check.kind == "JUDGED":
                story.operator.press("Good")
                continue
            gauges = page.locator("select[name=gauge]")
            if gauges.count() and not gauges.input_value():
                gauges.select_option(index=1)
            page.fill("input[name=value]", _middle(check))
            story.operator.press("Enter")


def _middle(check: Characteristic) -> str:
    low, high = check.lower, check.upper
    if check.nominal is not None:
        value = check.nominal
    elif low is None:
        value = (high or Decimal(0)) / 2
    else:
        value = (low + (high or low)) / 2
    return f"{value:.{check.decimals}f}"


def _saw_and_weigh(story: Story, body: Part) -> None:
    # To the dryer first: that comes later.
    story.scan(body, "DRY-A")
    story.operator.shows("is not done at this station")
    _do(story, body, "RIP-1")
    _do(story, body, "WEIGH-1")


def _load(story: Story, body: Part, operation: str) -> None:
    story.later(hours=1)
    story.scan(body, "DRY-A")
    story.operator.shows(operation)
    story.operator.press("Load")
    assert Step.objects.get(part=body, state="DWELLING").operation.name == operation


# --- The room


def _let_logger_in(story: Story) -> None:
    lead = story.lead
    lead.go("/rooms/DRY-A/")
    lead.press("Loggers that send by themselves")
    lead.page.fill("[name=name]", "Grey box 3")
    lead.press("Let in")
    story.token = lead.page.locator(".token").inner_text().strip()
    story.show(lead, "loggers")


def _read(story: Story, chosen: PlankSet, moisture_pct: float) -> None:
    """Walk to the set with the meter: scan a piece, type what it shows."""
    operator = story.operator
    first = chosen.pieces.earliest("letter")
    operator.go("/moisture/")
    operator.page.fill("input[name=code]", story.printed[first.code])
    operator.press("Open")
    page = operator.page
    if page.locator("[name=meter-gauge]").input_value() == "":
        page.select_option("[name=meter-gauge]", index=1)
    for piece, drier in zip(chosen.pieces.order_by("letter"), (0.0, 0.2), strict=True):
        page.fill(f"[name=meter-piece-{piece.pk}-1]", f"{moisture_pct - drier:.1f}")
    _write_down(operator)
    operator.shows("The reading is written down.")


def _write_down(operator: Tablet) -> None:
    meter = operator.page.locator(".plate").filter(has_text="Read with the meter")
    operator.touch(meter.get_by_role("button", name="Write it down"))


def _truth(days: float, began_pct: float) -> float:
    gone = math.exp(-RATE_PER_DAY * days)
    return EQUILIBRIUM_PCT + (began_pct - EQUILIBRIUM_PCT) * gone


def _dry(story: Story, body: Part, chosen: PlankSet) -> None:
    """Read week by week; the day that was said has to hold what comes true."""
    operator, noise = story.operator, Random(4)
    loaded_at = story.now
    dry_at = loaded_at + timedelta(
        days=math.log((12 - EQUILIBRIUM_PCT) / (7.2 - EQUILIBRIUM_PCT)) / RATE_PER_DAY
    )
    for week in range(1, 8):
        story.breathe(7)
        _read(story, chosen, _truth(7 * week, 12.0) + noise.gauss(0, 0.05))
        if week == 2:
            story.scan(body, "DRY-A")
            operator.shows("has to lie until")
            operator.go("/rooms/DRY-A/")
            operator.shows(chosen.number)
        if week == 4:
            _forecast_holds(story, chosen, dry_at)
    assert story.now > loaded_at + timedelta(days=46)
    story.breathe(8)
    story.scan(body, "DRY-A")
    operator.shows("This wood was not read in the last 7 days.")
    story.show(operator, "take-out-unread")
    _read(story, chosen, _truth(57, 12.0))
    story.scan(body, "DRY-A")
    operator.press("Take out")
    assert not Step.objects.filter(part=body, state="DWELLING").exists()


def _forecast_holds(story: Story, chosen: PlankSet, dry_at: datetime) -> None:
    operator = story.operator
    operator.go(f"/moisture/{chosen.number}/")
    page = planning.set_page(
        number=chosen.number, by=Person.objects.get(username="pia"), at=story.now
    )
    told = page.forecast
    assert told
    assert told.outlook is Outlook.WILL_BE
    assert told.earliest_at
    assert told.latest_at
    assert told.earliest_at < dry_at < told.latest_at
    assert told.latest_at - told.earliest_at < timedelta(days=30)
    operator.shows("Of 100 such forecasts 80 come true between the two days.")
    story.show(operator, "forecast")
    operator.go("/rooms/DRY-A/")
    story.show(operator, "room")


# --- Glue, and the room again


def _glue(story: Story, body: Part, chosen: PlankSet) -> None:
    operator = story.operator
    _do(story, body, "MOIST-1")
    operator.go(f"/moisture/{chosen.number}/")
    operator.shows("dry enough for the glue until")
    story.show(operator, "keeps")
    _do(story, body, "PLANE-1")
    _bring_glue(story, body)
    pieces = chosen.pieces.order_by("letter").values_list("code", flat=True)
    _do(story, body, "GLUE-1", *pieces)
    story.later(hours=5)
    story.scan(body, "GLUE-1")
    story.show(operator, "glued")
    operator.press("Take out")


def _bring_glue(story: Story, body: Part) -> None:
    """Take a batch of glue in, and scan its label at the bench once."""
    need = MaterialNeed.objects.get(
        operation__revision=body.instrument.revision, operation__station__code="GLUE-1"
    )
    glue = take_batch_in(
        material_id=need.material_id,
        number="26-118",
        received_on=story.now.date(),
        expires_on=None,
        by=Person.objects.get(username="lev"),
        at=story.now,
    )
    story.operator.go("/station/GLUE-1/")
    story.operator.scan(glue.code)
    story.operator.shows("26-118")


def _dry_again(story: Story, body: Part, chosen: PlankSet) -> None:
    operator = story.operator
    _load(story, body, "Dry the blank again")
    story.breathe(20)
    # The glue has wetted it: above what was read before it, so that is asked about.
    _read_rising(story, chosen, "8.6")
    story.breathe(20)
    story.scan(body, "DRY-A")
    operator.shows("This wood was not read in the last 7 days.")
    _read(story, chosen, 7.4)
    story.scan(body, "DRY-A")
    operator.shows("Piece A reads 7.4 %; it must be below 7.2 %.")
    story.show(operator, "take-out-wet")
    story.breathe(7)
    _read(story, chosen, 6.8)
    story.scan(body, "DRY-A")
    operator.press("Take out")
    _do(story, body, "MOIST-1")
    operator.go(f"/instrument/{body.instrument.serial}/")
    story.show(operator, "instrument")
    assert RoomReading.objects.filter(told="BY_LOGGER").count() > 600
    assert Station.objects.get(code="DRY-A").room.limit_pct == Decimal("7.2")


def _read_rising(story: Story, chosen: PlankSet, value: str) -> None:
    operator = story.operator
    operator.go(f"/moisture/{chosen.number}/")
    page = operator.page
    if page.locator("[name=meter-gauge]").input_value() == "":
        page.select_option("[name=meter-gauge]", index=1)
    for piece in chosen.pieces.all():
        page.fill(f"[name=meter-piece-{piece.pk}-1]", value)
    _write_down(operator)
    operator.shows("Is it the right piece")
    story.show(operator, "rising")
    page.get_by_label("I looked: it is so").check()
    _write_down(operator)
    operator.shows("The reading is written down.")
