"""Who may do a kind of work, and who swaps parts: said at a desk, felt at a bench."""

from collections.abc import Callable
from typing import Any

import pytest

from tests.browser.conftest import SIZES, Tablet
from tests.browser.halfway import Halfway
from tests.cast import PASSWORD
from travelers.floor.models import Event
from travelers.floor.queries import audit
from travelers.shop.models import NeedsQualification, Qualification

NewTablet = Callable[..., Tablet]


def pictures(tablet: Tablet, name: str) -> None:
    for size in SIZES:
        tablet.picture(name, size=size, full=True)
    tablet.resize(SIZES[0])


@pytest.fixture
def _nothing_asked(floor: Halfway) -> Any:
    yield
    NeedsQualification.objects.all().delete()
    Qualification.objects.all().delete()


@pytest.mark.usefixtures("_nothing_asked")
def test_a_lead_says_who_may_and_the_bench_hears_it(
    floor: Halfway, tablet: NewTablet
) -> None:
    part = floor.come_to("Machine").part
    lead, bench = tablet(), tablet()
    lead.enter(floor.shop.cast.lead)
    bench.enter(floor.shop.cast.joiner)
    lead.go("/people/")
    lead.press("Qualifications")
    lead.shows("No work here asks for a qualification")
    lead.page.select_option("[name=stage]", label="Machining")
    lead.page.select_option("[name=kind]", label="work")
    lead.press("Ask for it")
    lead.shows("Who may do Machining, work")
    bench.go("/station/CUTTER/")
    bench.scan(part.code)
    bench.shows("Joiner Cast is not qualified for this: Machine, work.")
    assert bench.page.get_by_role("button", name="Start", exact=True).is_disabled()
    pictures(bench, "station-not-qualified")
    lead.page.check("[name=may-joiner]")
    lead.press("Save")
    lead.shows("It counts from the next scan on.", "Joiner Cast")
    pictures(lead, "skills-given")
    bench.go("/station/CUTTER/")
    bench.scan(part.code)
    bench.press("Start")
    begun = Event.objects.filter(
        part=part, kind="START", accepted=True, step__operation__name="Machine"
    )
    assert begun.count() == 1


def test_qa_looks_at_both_parts_signs_and_both_papers_are_named(
    floor: Halfway, tablet: NewTablet, settings: Any
) -> None:
    settings.SIGN_AGAIN_S = 600
    mine = floor.shop.part(floor.come_to("Saw").part.instrument, "NECK")
    theirs = floor.shop.part(floor.come_to("Saw").part.instrument, "NECK")
    one, other = mine.instrument, theirs.instrument
    qa: Tablet = tablet()
    qa.enter(floor.shop.cast.qa)
    qa.go(f"/instrument/{one.serial}/")
    qa.press("Swap a part")
    qa.page.select_option("[name=part]", mine.code)
    qa.page.fill("[name=with]", other.serial)
    qa.press("Look at both")
    qa.shows(other.serial, "goes to")
    pictures(qa, "swap-both")
    qa.page.fill("[name=reason]", "the darker neck was chosen")
    qa.press("Swap them")
    qa.shows("You sign as Qa Cast")
    assert not Event.objects.filter(kind="SWAP", instrument=one).exists()
    pictures(qa, "swap-signed")
    qa.page.fill("[name=password]", PASSWORD)
    qa.press("Sign")
    qa.shows("Both parts are swapped.", "Print anew:", "both travelers")
    pictures(qa, "swap-done")
    mine.refresh_from_db()
    assert mine.instrument == other
    for it in (one, other):
        found = audit.check_instrument(instrument_id=it.pk).differences
        assert [str(difference) for difference in found] == []
