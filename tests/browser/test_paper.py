"""Does a traveler come out of the browser's own printer, where no PDF can be made?"""

import sys
from collections.abc import Callable

import pytest

from tests.browser.conftest import Tablet
from tests.browser.halfway import Halfway
from tests.paper.scanner import image, seen, sheets, words
from travelers.formulas import codes


@pytest.mark.proof("D5")
def test_a_traveler_is_printed_by_the_browser_with_the_same_symbols(
    floor: Halfway,
    tablet: Callable[..., Tablet],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    step = floor.come_to("Machine")
    instrument = step.part.instrument
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    one: Tablet = tablet()
    one.enter(floor.shop.cast.planner)
    one.go(f"/paper/traveler/{instrument.serial}.pdf")
    one.shows("The shop's computer lacks what makes papers.", "by the browser")
    one.go(f"/instrument/{instrument.serial}/")
    one.press("by the browser")
    one.picture("traveler-by-browser", full=True)
    printed = one.page.pdf(prefer_css_page_size=True)
    found = {
        codes.parse(symbol.text)
        for number in range(1, len(sheets(printed).pages) + 1)
        for symbol in seen(image(printed, number, 150), 150)
    }
    parts = set(
        instrument.parts.exclude(branch="ASSEMBLY").values_list("code", flat=True)
    )
    assert parts < found
    assert len(found) == len(parts) + 1
    said = words(printed)
    for expected in (instrument.serial, "Pocket width", "Neck joint", "done"):
        assert expected in said
