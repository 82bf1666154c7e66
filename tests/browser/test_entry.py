"""Does what comes in by paper, gauge and camera arrive, with and without script?"""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone

from tests.browser.conftest import Tablet
from tests.browser.halfway import Halfway
from tests.kit.test_photos import exif, picture
from travelers.floor.models import Event, Reading
from travelers.floor.rules.origin import Source
from travelers.orders.models import Part, Step
from travelers.quality.models import Defect, DefectPhoto

# Keys as fast as a gauge's. By the page itself: on a busy machine keys from outside
# come with pauses that no gauge makes.
BURST = """async ([texts, end]) => {
  for (const text of texts) {
    for (const key of [...text, ...(end ? [end] : [])])
      document.activeElement.dispatchEvent(
        new KeyboardEvent("keydown", {key, bubbles: true, cancelable: true}));
    await new Promise((done) => setTimeout(done, 10));
  }
}"""


@pytest.fixture(params=[True, False], ids=["script", "plain"])
def desk(request: Any, floor: Halfway, tablet: Callable[..., Tablet]) -> Tablet:
    one: Tablet = tablet(scripts=request.param)
    one.enter(floor.shop.cast.lead)
    return one


def gauge_types(tablet: Tablet, *texts: str, end: str = "Enter") -> None:
    """Type as a gauge does: fast keys, wherever the focus is."""
    tablet.page.evaluate(BURST, [list(texts), end])
    tablet.page.wait_for_timeout(150 if end else 900)
    tablet.settle()


def told(part: Part) -> list[str]:
    """List the kinds of a part's events, oldest first."""
    return list(
        Event.objects.filter(part=part).order_by("seq").values_list("kind", flat=True)
    )


def pocket(floor: Halfway, joiner: Tablet) -> Step:
    floor.steps["pocket"] = step = floor.begin("Machine")
    joiner.go(floor.address("pocket", check=floor.check_of("pocket"), place=1))
    return step


# --- Paper


@pytest.mark.point(39)
def test_a_traveler_is_typed_in_and_what_is_wrong_is_mended_in_place(
    floor: Halfway, desk: Tablet
) -> None:
    step = floor.come_to("Saw")
    page = desk.page
    desk.go(f"/instrument/{step.instrument.serial}/paper/")
    ready = timezone.localtime(step.ready_at)
    page.fill(f"[name=at-{step.pk}-START]", ready.strftime("%d.%m.%Y %H:%M"))
    page.fill(f"[name=by-{step.pk}-START]", "JOX")
    desk.press("Put it on record")
    desk.shows("Nobody here has the initials JOX;", "JOI (Joiner Cast)")
    desk.picture(f"from-paper-wrong-{'script' if desk.scripts else 'plain'}")
    assert page.input_value(f"[name=at-{step.pk}-START]").startswith(f"{ready:%d.%m.}")
    page.fill(f"[name=by-{step.pk}-START]", "joi")
    desk.press("Put it on record")
    desk.shows("1 entry is on record.", "from paper, typed in by Lead Cast")
    event = Event.objects.filter(step=step).latest("seq")
    assert (event.kind, event.source) == ("START", Source.PAPER)
    assert event.person == floor.shop.cast.joiner


# --- Gauges that type


@pytest.mark.parametrize(
    ("focus", "typed", "said"),
    [
        ("#scan", "56.12", "Pocket width: 56.12 mm, inside."),
        ("#scan", "+56,13", "Pocket width: 56.13 mm, inside."),
        ("#scan", "56.14 mm", "Pocket width: 56.14 mm, inside."),
        ("#value", "56.14 mm", "Pocket width: 56.14 mm, inside."),
        ("#gauge", "56.14 mm", "Pocket width: 56.14 mm, inside."),
        ("a.button", "56.14 mm", "Pocket width: 56.14 mm, inside."),
        ("", "56.14 mm", "Pocket width: 56.14 mm, inside."),
        ("", '2.2100"', "Pocket width: 56.134 mm (2.2100 in), inside."),
        ("", "56150um", "Pocket width: 56.15 mm (56150 um), inside."),
    ],
)
def test_what_a_gauge_types_goes_to_the_check_that_is_open(
    floor: Halfway, joiner: Tablet, focus: str, typed: str, said: str
) -> None:
    step = pocket(floor, joiner)
    joiner.page.fill("#value", "5")
    if focus:
        joiner.page.locator(focus).first.focus()
    else:
        joiner.page.evaluate("document.activeElement.blur()")
    gauge_types(joiner, typed)
    joiner.shows(said)
    assert told(step.part)[-1] == "READ"
    assert Reading.objects.filter(event__step=step).count() == 1


def test_keys_that_come_slower_mean_the_same_where_the_focus_is_in_the_field(
    floor: Halfway, joiner: Tablet
) -> None:
    step = pocket(floor, joiner)
    joiner.page.focus("#value")
    joiner.wedge("56.12", gap_ms=60)
    joiner.settle()
    joiner.shows("Pocket width: 56.12 mm, inside.")
    assert Reading.objects.filter(event__step=step).count() == 1


def test_a_gauge_that_sends_no_enter_is_heard_after_a_silence(
    floor: Halfway, joiner: Tablet
) -> None:
    step = pocket(floor, joiner)
    gauge_types(joiner, "56.12 mm", end="")
    joiner.shows("Pocket width: 56.12 mm, inside.")
    assert told(step.part)[-1] == "READ"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("1.2E-1", "cannot be read as a number"),
        ("12.34 lbf", "is no unit that is known here"),
        ("12.34 g", "is measured in mm, not in g"),
        ("561.2", "56.12 mm may have been meant"),
    ],
)
def test_what_is_no_value_of_the_check_is_said_in_place(
    floor: Halfway, joiner: Tablet, typed: str, says: str
) -> None:
    step = pocket(floor, joiner)
    gauge_types(joiner, typed)
    joiner.shows(says)
    assert joiner.page.input_value("#value") == typed
    assert told(step.part)[-1] == "START"


def test_where_no_check_is_open_a_value_does_nothing_and_says_so(
    floor: Halfway, joiner: Tablet
) -> None:
    floor.steps["saw"] = step = floor.begin("Saw")
    joiner.go(floor.address("saw"))
    before = Event.objects.count()
    url = joiner.page.url
    gauge_types(joiner, "56.12 mm")
    joiner.shows("“56.12 mm” was not taken: no check is open.")
    joiner.picture("no-check-open")
    assert joiner.page.input_value("#scan") == ""
    assert (joiner.page.url, Event.objects.count()) == (url, before)
    # A code that is scanned next is a scan as ever.
    joiner.scan(step.part.code)
    assert "was not taken" not in joiner.page.inner_text("body")


def test_values_on_end_fill_the_places_one_by_one(
    floor: Halfway, joiner: Tablet
) -> None:
    floor.steps["frets"] = step = floor.begin("Fret", "NECK")
    joiner.go(floor.address("frets", check=floor.check_of("frets"), place=1))
    gauge_types(joiner, "1.20", "1.21", "1.22")
    joiner.page.wait_for_timeout(900)
    joiner.settle()
    rows = Reading.objects.filter(event__step=step).order_by("place")
    assert [str(row.value) for row in rows] == ["1.2000", "1.2100", "1.2200"]


def test_a_value_behind_one_that_is_asked_about_is_not_taken(
    floor: Halfway, joiner: Tablet
) -> None:
    floor.steps["frets"] = step = floor.begin("Fret", "NECK")
    joiner.go(floor.address("frets", check=floor.check_of("frets"), place=1))
    gauge_types(joiner, "12.00", "1.21")
    joiner.page.wait_for_timeout(400)
    joiner.settle()
    joiner.shows("1.2 mm may have been meant", "the value before it is not settled")
    assert not Reading.objects.filter(event__step=step).exists()


# --- Photos


@pytest.mark.parametrize("scripts", [True, False], ids=["script", "plain"])
def test_a_photo_is_taken_and_seen(
    floor: Halfway,
    tablet: Callable[..., Tablet],
    settings: Any,
    tmp_path: Path,
    scripts: bool,
) -> None:
    settings.MEDIA_ROOT = str(tmp_path / "media")
    one: Tablet = tablet(scripts=scripts)
    one.enter(floor.shop.cast.qa)
    step = floor.begin("Machine")
    one.go(f"/quality/report/?step={step.pk}&station=CUTTER&x=0.6&y=0.4")
    page = one.page
    page.check("[name=kind][value=TEAR_OUT]", force=True)
    for fold in page.locator(".bench-do summary").all():
        fold.click()
    page.fill("[name=note]", "beside the pocket")
    good = {"mimeType": "image/jpeg", "buffer": picture((900, 600), exif=exif(6))}
    page.set_input_files("#photo-1", {"name": "good.jpg", **good})
    bad = {"name": "bad.jpg", "mimeType": "image/jpeg", "buffer": b"<script>"}
    page.set_input_files("#photo-2", bad)
    one.picture(f"defect-photos-{'script' if scripts else 'plain'}")
    one.press("Record")
    one.shows("“bad.jpg” is no photo that can be read")
    assert page.input_value("[name=note]") == "beside the pocket"
    assert page.is_checked("[name=kind][value=TEAR_OUT]")
    if scripts:
        # The good one is still chosen; a page that was loaded anew forgets it.
        assert page.input_value("#photo-1").endswith("good.jpg")
        page.set_input_files("#photo-2", [])
    else:
        page.set_input_files("#photo-1", {"name": "good.jpg", **good})
    one.press("Record")
    one.shows("The defect is on record.")
    defect = Defect.objects.filter(step=step).get()
    photo = DefectPhoto.objects.get(defect=defect)
    assert (photo.width, photo.height) == (600, 900)
    for address in (
        f"/quality/defects/{defect.pk}/",
        f"/instrument/{step.instrument.serial}/",
    ):
        one.go(address)
        shown = page.locator("img[src*='/photo/']")
        shown.scroll_into_view_if_needed()
        page.wait_for_timeout(300)
        if scripts:
            assert shown.evaluate("(one) => one.naturalWidth") == 600
        one.picture(f"photo-{address.split('/')[1]}-{'script' if scripts else 'plain'}")
