"""From a signal to its cause, to all that the cause touched, and to its letting go.

A plank is bad: its pockets come out wide, and tear out. QA sees it on the chart,
answers the signal, asks what the defective have in common, traces the plank to its
sets, contains their fourteen bodies, prints the list, decides each and lets all go.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import pytest
import time_machine

from tests import make
from tests.browser import measures
from tests.browser.conftest import SIZES, Tablet
from tests.browser.sheets import printed
from tests.floor.story import report
from tests.paper.scanner import words
from travelers.floor.models import Event, Hold
from travelers.floor.queries import audit
from travelers.floor.rules import Wish
from travelers.lumber.models import PlankSet
from travelers.orders.models import Instrument, Part
from travelers.quality.models import Containment, Defect, SignalAnswer
from travelers.routes.models import Characteristic

TEN_YEARS = 10 * 365 * 86_400
GOOD, BAD = 16, 14


@dataclass
class Story:
    """The shop, its bad plank, and QA's screen."""

    shop: make.Shop
    qa: Tablet
    plank: str
    bad: list[Part]

    def show(self, name: str) -> None:
        """Keep a picture in each size; nothing may stick out, nor axe complain."""
        for size in SIZES:
            self.qa.picture(f"quality-{name}", size=size, full=True)
            assert measures.overflow(self.qa.page) == []
        self.qa.resize(SIZES[0])
        assert self.qa.axe() == []


@pytest.fixture
def story(
    transactional_db: None, tablet: Callable[..., Tablet], settings: object
) -> Iterator[Story]:
    settings.SESSION_COOKIE_AGE = TEN_YEARS  # type: ignore[attr-defined]
    settings.CSRF_COOKIE_AGE = TEN_YEARS  # type: ignore[attr-defined]
    shop = make.shop()
    shop.cast.stations["ROOM"].places = 60
    shop.cast.stations["ROOM"].save()
    bodies = [shop.part(one) for one in shop.instruments(GOOD + BAD)]
    good, bad = bodies[:GOOD], bodies[GOOD:]
    plank = bad[0].plank_set.plank
    PlankSet.objects.filter(part__in=bad).update(plank=plank)
    for n, body in enumerate(good):
        _machine(shop, body, f"{56.10 + 0.01 * (n % 3):.4f}")
    for n, body in enumerate(bad):
        _machine(shop, body, f"{56.18 + 0.005 * (n % 2):.4f}")
    for body in bad:
        step = body.steps.get(operation__name="Machine")
        report(shop, step, "TEAR_OUT")
    shop.later(hours=1)
    with time_machine.travel(shop.now, tick=True):
        qa = tablet()
        qa.enter(shop.cast.qa)
        yield Story(shop, qa, plank.number, bad)


def _machine(shop: make.Shop, body: Part, pocket: str) -> None:
    shop.work(body, until="Machine")
    step = shop.step_of(body)
    assert step
    shop.must(Wish.START, step)
    shop.check(step, POCKET=pocket)
    shop.must(Wish.FINISH, step)


def test_from_a_signal_to_all_that_its_plank_touched(story: Story) -> None:
    _answer_the_signal(story)
    _find_the_cause(story)
    number = _contain(story)
    _print(story, number)
    _decide_each(story)
    _let_all_go(story, number)
    for instrument_id in audit.instrument_ids():
        checked = audit.check_instrument(instrument_id=instrument_id)
        assert list(checked.differences) == []


def _answer_the_signal(story: Story) -> None:
    qa = story.qa
    qa.go("/quality/defects/")
    qa.press("Charts")
    qa.press("Pocket width")
    check = Characteristic.objects.get(code="POCKET")
    assert qa.page.url.endswith(f"/quality/charts/{check.pk}/")
    assert qa.page.locator("svg.control .control-signal").count() >= 1
    qa.shows("one side of the mean")
    story.show("chart")
    qa.touch(qa.page.locator("summary", has_text="Answer"))
    qa.page.locator("input[name=cause]").first.fill("soft wood of one plank")
    qa.page.locator("input[name=action]").first.fill("looking for the rest of it")
    qa.touch("td form button")
    qa.shows("The signal is answered", "soft wood of one plank")
    assert SignalAnswer.objects.get().by == story.shop.cast.qa


def _find_the_cause(story: Story) -> None:
    qa = story.qa
    qa.go("/quality/common/")
    qa.page.select_option("[name=kind]", "TEAR_OUT")
    qa.page.fill("[name=since]", "2026-01-01")
    qa.page.fill("[name=until]", f"{story.shop.now:%Y-%m-%d}")
    qa.press("Compare")
    said = " ".join(qa.page.inner_text("section.plate").split())
    assert f"plank {story.plank}" in said
    assert f"of the {BAD} instruments that met it {BAD} have the defect" in said
    assert f"of the {GOOD} others 0" in said
    assert "It is not said why." in said
    story.show("in-common")
    qa.touch(qa.page.locator("section.plate").get_by_role("link", name=story.plank))
    assert qa.page.url.endswith(f"/quality/trace/plank/{story.plank}/")


def _contain(story: Story) -> int:
    """Open the tree of the trace down to a part, and hold all of it."""
    qa = story.qa
    sets = qa.page.locator("section.twigs, .twigs").first.inner_text()
    numbers = PlankSet.objects.filter(part__in=story.bad).values_list("number")
    assert all(number in sets for (number,) in numbers)
    qa.touch(".twigs summary")
    qa.page.locator(".twigs .twigs").first.wait_for()
    story.show("trace")
    qa.page.fill("[name=reason]", "torn pockets, soft wood")
    qa.press("Hold all of it")
    made = Containment.objects.get()
    qa.shows(f"Containment {made.pk}", "torn pockets, soft wood")
    held = Hold.objects.filter(lifted=None)
    assert held.count() == BAD
    assert {hold.part for hold in held} == set(story.bad)
    story.show("contained")
    _is_stopped(story, story.bad[0])
    return int(made.pk)


def _is_stopped(story: Story, body: Part) -> None:
    """Let somebody try to go on with a contained body."""
    step = story.shop.step_of(body)
    assert step
    verdict = story.shop.scan(Wish.START, body, step=step, by="finisher")
    assert verdict.refusal
    assert verdict.refusal.code == "floor.held"


def _print(story: Story, number: int) -> None:
    qa = story.qa
    where = qa.page.get_by_role("link", name="Print the list").get_attribute("href")
    assert where == f"/paper/containment/{number}.pdf"
    said = words(printed(qa.page, f"{qa.home}{where}"))
    for body in story.bad:
        assert body.instrument.serial in said


def _decide_each(story: Story) -> None:
    qa = story.qa
    for defect in Defect.objects.order_by("pk"):
        qa.go(f"/quality/defects/{defect.pk}/")
        qa.page.check("[name=decision][value=USE_AS_IS]")
        qa.page.fill("[name=reason]", "filled, sound beneath")
        qa.touch(qa.page.locator("main form button").last)
    decided = Defect.objects.filter(disposition__decision="USE_AS_IS")
    assert {defect.part for defect in decided} == set(story.bad)
    # A defect's decision lets nothing go that a containment holds.
    assert Hold.objects.filter(lifted=None).count() == BAD


def _let_all_go(story: Story, number: int) -> None:
    qa = story.qa
    qa.go(f"/quality/contained/{number}/")
    qa.page.locator("[name=one]").first.check()
    qa.page.fill("[name=reason]", "cut up and looked at: sound")
    qa.press("Let go what is ticked")
    qa.shows("1 was let go")
    qa.page.fill("[name=reason]", "all sound")
    qa.press("Let all of it go")
    qa.shows(f"{BAD} were let go")
    assert not Hold.objects.filter(lifted=None).exists()
    assert Event.objects.filter(kind="LIFT", accepted=True).count() == BAD
    assert not Instrument.objects.filter(parts__held_at__isnull=False).exists()
    qa.go("/quality/contained/")
    qa.shows(f"0 of {BAD + 1}")
    story.show("let-go")
