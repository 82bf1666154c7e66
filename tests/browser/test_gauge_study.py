"""A small gauge study, from the gauge's tag to its result.

One measures by touch alone, with a network that fails once; the other with a scanner
and a gauge that types.
"""

from collections.abc import Callable

from playwright.sync_api import Route

from tests import make
from tests.browser import measures
from tests.browser.conftest import SIZES, Tablet
from travelers.quality import queries
from travelers.quality.actions import Planned, begin_study
from travelers.quality.models import GaugeStudy, StudyValue
from travelers.quality.rules import card_of
from travelers.routes.models import Characteristic


def begin(shop: make.Shop) -> GaugeStudy:
    return begin_study(
        tag=shop.cast.gauges["caliper"].tag,
        characteristic_id=Characteristic.objects.get(code="POCKET").pk,
        planned=Planned(2, 2, 2),
        by=shop.cast.qa,
        at=shop.now,
    )


def show(one: Tablet, name: str) -> None:
    """Keep a picture in each size; nothing may stick out."""
    for size in SIZES:
        one.picture(f"study-{name}", size=size)
        assert measures.overflow(one.page) == []
    one.resize(SIZES[0])


def next_of(shop: make.Shop, study: GaugeStudy, who: str) -> int:
    by = shop.cast.people[who]
    turn = queries.sitting_of(study=study, by=by, at=shop.now).next
    return turn.part if turn else 0


def touch_number(one: Tablet, part: int) -> None:
    one.touch(f"[data-shop-part='{part}']")


def touch_keys(one: Tablet, keys: str) -> None:
    for key in keys:
        one.touch(f"[data-shop-key='{key}']")


def test_a_study_is_measured_by_touch_and_by_scanner_to_its_result(
    shop: make.Shop, tablet: Callable[..., Tablet]
) -> None:
    study = begin(shop)
    joiner, finisher = tablet(fingers=True), tablet()
    joiner.enter(shop.cast.joiner)
    finisher.enter(shop.cast.finisher)
    _by_touch(shop, study, joiner)
    desk = tablet()
    desk.enter(shop.cast.qa)
    desk.go(f"/quality/studies/{study.pk}/")
    desk.shows("Joiner Cast: 4 of 4")
    show(desk, "desk")
    _by_scanner(shop, study, finisher)
    assert StudyValue.objects.filter(taken_back_at=None).count() == 8
    finisher.shows("The gauge is good for this tolerance", "of the tolerance")
    show(finisher, "result")
    desk.go(f"/quality/studies/{study.pk}/")
    desk.shows("The gauge is good for this tolerance", "from hand to hand")


def _by_touch(shop: make.Shop, study: GaugeStudy, one: Tablet) -> None:
    one.go("/station/CUTTER/study/")
    show(one, "list")
    one.touch(".study-list a")
    first = next_of(shop, study, "joiner")
    one.shows(f"Take part {first}")
    show(one, "take")
    assert one.axe() == []
    touch_number(one, 3 - first)
    one.shows(f"That is part {3 - first}, and part {first} is next.")
    show(one, "other-part")
    touch_number(one, first)
    touch_keys(one, "561")
    one.press("Enter")
    one.shows("56.1 mm may have been meant")
    show(one, "doubted")
    one.touch("[data-shop-command='NO']")
    touch_keys(one, "56.1")
    show(one, "keys")
    assert not one.page.is_visible(".study-gone")
    _without_network(one)
    one.press("Enter")
    one.shows(f"Part {first} is taken.", "1 of your 4 are in")
    assert "56.1" not in one.page.inner_text("main")
    assert not one.page.is_visible(".study-gone")
    show(one, "taken")
    one.touch(".study-back button")
    one.shows("Taken back.")
    while part := next_of(shop, study, "joiner"):
        touch_number(one, part)
        one.page.fill("#value", f"56,1{part}")
        one.press("Enter")
        one.shows(f"Part {part} is taken.")
    one.shows("All your values are in this study.")
    show(one, "done")


def _without_network(one: Tablet) -> None:
    """Press while nobody answers: it is said, kept in the field, and not taken."""
    gone: list[Route] = []

    def fail(route: Route) -> None:
        gone.append(route)
        route.abort()

    one.page.route("**/study/**", fail, times=1)
    one.press("Enter")
    one.shows("The shop does not answer: the value is not taken.")
    show(one, "gone")
    assert one.axe() == []
    assert len(gone) == 1
    assert one.page.input_value("#value") == "56.1"
    assert not StudyValue.objects.exists()


def _by_scanner(shop: make.Shop, study: GaugeStudy, one: Tablet) -> None:
    one.go("/station/CUTTER/")
    one.scan(study.gauge.tag)
    one.press("Study this gauge")
    while part := next_of(shop, study, "finisher"):
        one.scan(card_of(study.pk, part))
        one.shows(f"Measure part {part}")
        one.scan(f"56.1{part} mm")
        one.shows("All values are in" if _is_whole(study) else f"Part {part} is taken.")


def _is_whole(study: GaugeStudy) -> bool:
    return StudyValue.objects.filter(study=study, taken_back_at=None).count() == 8
