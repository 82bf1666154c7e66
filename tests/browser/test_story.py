"""From plank to test play, by the people who do it, in a real browser.

The planner releases an order of two and prints its travelers; what two decoders read
from the paper is what the scanner then types.  One instrument goes through every gate
while the clock is moved, and after each press the board and the ledger must agree.
"""

from collections import Counter
from collections.abc import Callable, Iterator
from datetime import timedelta

import pytest
import time_machine
from bs4 import BeautifulSoup

from tests import make
from tests.browser.conftest import Tablet
from tests.browser.sheets import printed, read_by_both
from travelers.floor.queries import audit
from travelers.formulas import codes
from travelers.kit.words import label
from travelers.lumber.models import Piece
from travelers.orders.models import Instrument, Part, Step
from travelers.orders.rules import InstrumentState

TEN_YEARS = 10 * 365 * 86_400


class Story:
    """The people's screens, the printed codes, and the clock."""

    def __init__(
        self,
        shop: make.Shop,
        clock: time_machine.Traveller,
        joiner: Tablet,
        planner: Tablet,
        lead: Tablet,
    ) -> None:
        self.shop, self.clock = shop, clock
        self.joiner, self.planner, self.lead = joiner, planner, lead
        self.printed: dict[str, str] = {}
        self.presses = 0

    def later(self, **span: float) -> None:
        self.clock.move_to(self.shop.later(**span), tick=True)

    def scan(self, part: Part, station: str, *, by: Tablet | None = None) -> None:
        """Go to a station and scan what is printed for a part."""
        tablet = by or self.joiner
        tablet.go(f"/station/{station}/")
        tablet.scan(self.printed[part.code])

    def press(self, name: str, *, by: Tablet | None = None) -> None:
        (by or self.joiner).press(name)
        self.presses += 1
        self.agree()

    def agree(self) -> None:
        """Hold the board and the rows against the ledger."""
        for instrument_id in audit.instrument_ids():
            checked = audit.check_instrument(instrument_id=instrument_id)
            assert list(checked.differences) == []
        answer = self.planner.page.request.get(f"{self.planner.home}/board/")
        assert _board(answer.text()) == _recount()

    def value(self, typed: str, *, gauge: str = "") -> None:
        page = self.joiner.page
        if gauge:
            page.select_option("select[name=gauge]", label=gauge)
        page.fill("input[name=value]", typed)
        self.press("Enter")

    def mate(self, text: str) -> None:
        self.joiner.scan(text)
        self.agree()


def _board(html: str) -> Counter[tuple[str, str, str]]:
    """Read the board's table: branch, stage and look, with their counts."""
    table = BeautifulSoup(html, "html.parser").select_one(".board-table table")
    assert table
    heads = [cell.get_text(strip=True) for cell in table.select("thead th")]
    counts: Counter[tuple[str, str, str]] = Counter()
    for row in table.select("tbody tr"):
        cells = [cell.get_text(strip=True) for cell in row.find_all(["td", "th"])]
        for look, count in zip(heads[2:-2], cells[2:-2], strict=True):
            counts[cells[0], cells[1], look] += int(count)
    return +counts


def _recount() -> Counter[tuple[str, str, str]]:
    """Count the parts on the floor from their steps alone, by the board's own words."""
    words = {
        "READY": label("WAITING"),
        "WAITING": label("WAITING"),
        "RUNNING": label("IN_WORK"),
        "DWELLING": label("DWELLING"),
    }
    counts: Counter[tuple[str, str, str]] = Counter()
    for instrument in Instrument.objects.filter(state=InstrumentState.OPEN):
        for part in instrument.parts.all():
            step = _shown_step(instrument, part)
            if step:
                held = instrument.held_at or part.held_at
                look = label("HELD") if held else words[step.state]
                counts[part.branch.lower(), step.stage.name, look] += 1
    return counts


def _shown_step(instrument: Instrument, part: Part) -> Step | None:
    """Find where a part lies: at its own open step, or at the join it waits for."""
    open_steps = Step.objects.exclude(state__in=["DONE", "VOID"]).order_by("position")
    own = open_steps.filter(part=part).first()
    if part.branch == "ASSEMBLY":
        begun = Step.objects.filter(part=part, started_at__isnull=False).exists()
        return own if begun else None
    if own:
        return own
    return (
        open_steps.filter(
            instrument=instrument,
            operation__waits_for__before__branch=part.branch,
            state__in=["WAITING", "READY"],
        )
        .distinct()
        .first()
    )


@pytest.fixture
def story(
    shop: make.Shop, tablet: Callable[..., Tablet], settings: object
) -> Iterator[Story]:
    # The clock moves by months; nobody shall be signed out by that.
    settings.SESSION_COOKIE_AGE = TEN_YEARS  # type: ignore[attr-defined]
    settings.CSRF_COOKIE_AGE = TEN_YEARS  # type: ignore[attr-defined]
    with time_machine.travel(shop.now, tick=True) as clock:
        people = tablet(), tablet(), tablet()
        for one, name in zip(people, ("joiner", "planner", "lead"), strict=True):
            one.sign_in(name)
        yield Story(shop, clock, *people)


def test_from_plank_to_test_play(story: Story) -> None:
    instrument, other = _release_and_print(story)
    body, neck, electronics, assembly = (
        instrument.parts.get(branch=branch)
        for branch in ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY")
    )
    _saw_and_dry(story, body)
    _glue(story, body, other)
    _machine_out_of_tolerance(story, body)
    _coats(story, body)
    _cure_and_inspect(story, body)
    _neck(story, neck)
    _simple(story, electronics, "BENCH")
    _join(story, assembly, body, neck, other)
    _finish(story, assembly, electronics)
    instrument.refresh_from_db()
    assert instrument.state == InstrumentState.FINISHED
    assert story.presses > 40
    story.scan(body, "BENCH")
    story.joiner.shows("left the floor")


def _release_and_print(story: Story) -> tuple[Instrument, Instrument]:
    for purpose in ("BODY", "NECK") * 2:
        story.shop.plank_set(purpose)
    planner = story.planner
    planner.go("/orders/new/")
    page = planner.page
    page.fill("input[name=number]", "W777")
    page.select_option("select[name=what]", label="Tide Green")
    page.fill("input[name=quantity]", "2")
    page.fill("input[name=due_on]", "2026-12-01")
    planner.touch("main form button")
    for _ in ("BODY", "NECK"):
        planner.touch("button[name=first]")
    planner.press("Release")
    story.agree()
    planner.picture("order")
    order_url = f"{planner.home}/paper/order/W777/travelers.pdf"
    texts = read_by_both(printed(planner.page, order_url))
    story.printed = {codes.parse(text): text for text in texts}
    instruments = tuple(Instrument.objects.order_by("pk"))
    tags = set(Part.objects.values_list("code", flat=True))
    assert set(story.printed) == tags
    return instruments  # type: ignore[return-value]


def _simple(story: Story, part: Part, station: str) -> None:
    story.later(hours=1)
    story.scan(part, station)
    story.press("Start")
    story.press("Done")


def _saw_and_dry(story: Story, body: Part) -> None:
    joiner = story.joiner
    # To the dryer first: that comes later, and it is not done at the saw.
    story.scan(body, "ROOM")
    joiner.shows("Saw is not done at this station but at Saw.")
    story.later(hours=1)
    story.scan(body, "SAW")
    joiner.picture("station")
    story.press("Start")
    story.press("Done")
    story.scan(body, "ROOM")
    story.press("Load")
    story.later(days=9)
    story.scan(body, "ROOM")
    joiner.shows("Dry: the part has to lie until")
    joiner.picture("station-dwell")
    story.later(days=1, hours=1)
    story.scan(body, "ROOM")
    joiner.press("Check: Moisture")
    joiner.picture("station-check")
    story.value("6,4", gauge="meter")
    story.press("Take out")


def _glue(story: Story, body: Part, other: Instrument) -> None:
    joiner = story.joiner
    foreign = Piece.objects.filter(
        plank_set__part__instrument=other, plank_set__purpose="BODY"
    ).first()
    assert foreign
    # The longest time out of the dryer has passed: only the lead may let it pass.
    story.later(days=5)
    story.scan(body, "CLAMPS")
    joiner.shows("the time has run out", "floor.too_long_since")
    story.scan(body, "CLAMPS", by=story.lead)
    story.lead.page.fill("input[name=reason]", "read again, 6.6 %")
    story.press("Let pass", by=story.lead)
    story.scan(body, "CLAMPS")
    story.press("Start")
    story.mate(foreign.code)
    joiner.shows("wood of two planks never meets", "floor.other_set")
    joiner.picture("station-refused")
    for piece in Piece.objects.filter(plank_set=body.plank_set):
        story.mate(piece.code)
    story.press("Done")
    story.scan(body, "CLAMPS")
    joiner.shows("Glue: the part has to lie until")
    story.later(hours=4)
    story.scan(body, "CLAMPS")
    story.press("Take out")


def _machine_out_of_tolerance(story: Story, body: Part) -> None:
    joiner = story.joiner
    story.later(hours=2)
    story.scan(body, "CUTTER")
    story.press("Start")
    joiner.press("Check: Pocket width")
    # A slipped decimal point is asked about, not stored.
    story.value("561.1", gauge="caliper")
    joiner.shows("56.11")
    joiner.picture("station-doubt")
    story.value("56.31", gauge="caliper")
    joiner.picture("station-out-of-tolerance")
    story.scan(body, "CUTTER")
    joiner.shows("Out of tolerance: Pocket width 56.31 mm")
    _defect(story)
    _hold_and_lift(story, body)
    story.scan(body, "CUTTER", by=story.lead)
    story.lead.page.fill("input[name=reason]", "shim fits")
    story.press("Let pass", by=story.lead)
    story.scan(body, "CUTTER")
    story.press("Done")
    event = body.events.get(allowed_by__isnull=False, kind="FINISH")
    assert (str(event.allowed_by), event.allowed_reason) == ("Lead Cast", "shim fits")


def _defect(story: Story) -> None:
    joiner = story.joiner
    joiner.press("Defect")
    picture = joiner.page.locator("input[type=image]").first
    box = picture.bounding_box()
    assert box
    picture.click(position={"x": box["width"] * 0.7, "y": box["height"] * 0.5})
    joiner.settle()
    joiner.page.get_by_text("tear-out", exact=True).click()
    joiner.picture("station-defect")
    story.press("Record")


def _hold_and_lift(story: Story, body: Part) -> None:
    joiner, lead = story.joiner, story.lead
    story.scan(body, "CUTTER")
    joiner.page.locator("details.hold summary").click()
    joiner.page.fill("#hold-reason", "QA looks at the pocket")
    joiner.touch("details.hold button.press")
    story.agree()
    story.scan(body, "CUTTER")
    joiner.shows("has been held since", "QA looks at the pocket")
    lead.go(f"/instrument/{body.instrument.serial}/")
    lead.picture("instrument")
    lead.page.fill("form[action$='/lift/'] input[name=reason]", "a shim will do")
    lead.touch("form[action$='/lift/'] button")
    story.agree()


def _coats(story: Story, body: Part) -> None:
    for coat in range(1, 4):
        if coat > 1:
            story.later(hours=1)
            story.scan(body, "BOOTH")
            story.joiner.shows("may begin at", "floor.too_soon")
        story.later(hours=5)
        story.scan(body, "BOOTH")
        story.joiner.shows(f"Lacquer {coat}/3")
        story.press("Start")
        story.press("Done")


def _cure_and_inspect(story: Story, body: Part) -> None:
    story.later(hours=3)
    story.scan(body, "RACK")
    story.press("Load")
    story.later(days=21)
    story.scan(body, "RACK")
    story.press("Take out")
    story.scan(body, "BOOTH")
    story.press("Start")
    story.joiner.press("Check: Even shine")
    story.press("Good")
    story.press("Done")


def _neck(story: Story, neck: Part) -> None:
    _simple(story, neck, "SAW")
    story.scan(neck, "FRETS")
    story.press("Start")
    story.joiner.press("Check: Fret height")
    for _ in range(3):
        story.value("1.21")
    story.press("Done")


def _join(
    story: Story, assembly: Part, body: Part, neck: Part, other: Instrument
) -> None:
    joiner = story.joiner
    story.later(hours=1)
    story.scan(assembly, "BENCH")
    joiner.shows("Neck joint")
    story.press("Start")
    joiner.picture("station-join")
    story.mate(story.printed[other.parts.get(branch="NECK").code])
    joiner.shows(f"This tag belongs to {other.serial}", "floor.wrong_mate")
    story.mate(story.printed[body.code])
    story.mate(story.printed[neck.code])
    story.press("Done")


def _finish(story: Story, assembly: Part, electronics: Part) -> None:
    story.later(hours=1)
    story.scan(assembly, "BENCH")
    story.joiner.shows("Harness")
    story.press("Start")
    story.mate(story.printed[electronics.code])
    story.press("Done")
    story.later(hours=1)
    story.scan(assembly, "BENCH")
    story.press("Start")
    story.press("Done")
    story.planner.go("/board/")
    story.planner.picture("board")
    assert timedelta(days=36) < story.shop.now - make.MORNING < timedelta(days=60)
