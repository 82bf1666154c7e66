"""Can forty planks come in from one page, by keys alone or by a supplier's list?"""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.browser import measures
from tests.browser.conftest import SIZES, Tablet
from tests.browser.halfway import Halfway
from tests.kit.test_papers import pdf
from travelers.lumber.models import Plank, Room, Species, Supplier

NEW = "/lumber/new/"
LIST = (
    "Length (mm);Width (mm);Thickness (mm);Mass (kg);Grade\n"
    "2400;180;45;12,6;A\n"
    "2410,5;wide;45;12,8;A\n"
    "2400;180;45;19;B\n"
    "2395;182;45;=D2;B\n"
)


@pytest.fixture(scope="module", autouse=True)
def ash(floor: Halfway) -> None:
    Species.objects.filter(code="ASH").update(handbook_name="Ash, white")


@pytest.fixture(params=[True, False], ids=["script", "plain"])
def desk(request: Any, floor: Halfway, tablet: Callable[..., Tablet]) -> Tablet:
    one: Tablet = tablet(scripts=request.param)
    one.enter(floor.shop.cast.lead)
    return one


def fill_head(desk: Tablet, number: str) -> None:
    desk.go(NEW)
    page = desk.page
    page.fill("[name=number]", number)
    page.select_option("[name=supplier]", str(Supplier.objects.get().pk))
    page.select_option("[name=species]", str(Species.objects.get(code="ASH").pk))


def send_list(desk: Tablet, content: str) -> None:
    desk.page.get_by_text("From a list instead").click()
    desk.page.set_input_files(
        "[name=list]",
        {"name": "quillfoss.csv", "mimeType": "text/csv", "buffer": content.encode()},
    )
    desk.press("Show what it says")


def test_a_list_is_looked_through_mended_and_taken_in(desk: Tablet) -> None:
    number = "D26-81" if desk.scripts else "D26-82"
    how = "script" if desk.scripts else "plain"
    fill_head(desk, number)
    send_list(desk, LIST)
    desk.shows(
        "4 planks were read from “quillfoss.csv”.",
        "Nothing here asks for: Grade.",
        "Row 2, Width: Type a number alone, for example 43.5. (row 3 of the list)",
        "Row 4, Mass: This cell holds a formula",
        "977 kg/m³ is unlikely",
    )
    page = desk.page
    for size in SIZES:
        desk.picture(f"goods-in-preview-{how}", size=size, full=True)
        assert measures.overflow(page) == []
    desk.resize(SIZES[0])
    if desk.scripts:
        assert desk.axe() == []
    assert page.input_value("[name=number]") == number
    page.fill("[name=plank-2-width_mm]", "181")
    page.fill("[name=plank-4-mass_g]", "12700")
    page.get_by_label("I looked: it is so").check()
    desk.press("Take it in")
    desk.shows("The delivery is taken in.", "unlikely; Lead Cast looked")
    desk.picture(f"goods-in-taken-{how}", full=True)
    taken = Plank.objects.filter(delivery__number=number).order_by("id")
    assert [(str(one.width_mm), one.mass_g) for one in taken] == [
        ("180.00", 12600),
        ("181.00", 12800),
        ("180.00", 19000),
        ("182.00", 12700),
    ]


def test_a_list_that_will_not_do_says_why(desk: Tablet) -> None:
    fill_head(desk, "D26-83")
    desk.page.fill("[name=plank-1-length_mm]", "2400")
    send_list(desk, "Length;Width;Mass\n1;2;3\n")
    desk.shows("cannot be used yet; nothing of it was taken", "This column is missing")
    desk.picture(f"goods-in-no-list-{'script' if desk.scripts else 'plain'}", full=True)
    assert desk.page.input_value("[name=plank-1-length_mm]") == "2400"


def test_planks_are_typed_by_keys_alone(
    floor: Halfway, tablet: Callable[..., Tablet]
) -> None:
    desk: Tablet = tablet()
    desk.enter(floor.shop.cast.lead)
    fill_head(desk, "D26-84")
    keys = desk.page.keyboard
    desk.page.focus("[name=plank-1-length_mm]")
    for cell in ("2400", "180", "45", "12600", "2410", '"', '"', "12700"):
        keys.type(cell, delay=60)
        keys.press("Enter")
    # From the third row back up to the width of the second, and to its end.
    for key in ("ArrowUp", "ArrowRight"):
        keys.press(key)
    assert desk.page.evaluate("document.activeElement.name") == "plank-2-width_mm"
    keys.type("185", delay=60)
    keys.press("ArrowDown")
    assert desk.page.evaluate("document.activeElement.name") == "plank-3-width_mm"
    desk.press("Take it in")
    desk.shows("The delivery is taken in.")
    taken = Plank.objects.filter(delivery__number="D26-84").order_by("id")
    assert [(str(one.width_mm), one.mass_g) for one in taken] == [
        ("180.00", 12600),
        ("185.00", 12700),
    ]


def test_papers_are_kept_with_the_delivery(
    floor: Halfway, desk: Tablet, tmp_path: Path, settings: Any
) -> None:
    settings.MEDIA_ROOT = str(tmp_path)
    number = floor.shop.plank_set().plank.delivery.number
    desk.go(f"/lumber/{number}/")
    desk.page.get_by_text("Add papers").click()
    note = {"name": "note 7.pdf", "mimeType": "application/pdf", "buffer": pdf()}
    desk.page.set_input_files("[name=papers]", [note])  # type: ignore[list-item]
    desk.press("Keep them")
    desk.shows("1 paper is kept.", "note 7.pdf", "by Lead Cast", "Print labels")
    for size in SIZES:
        desk.picture(f"goods-in-papers-{desk.scripts}", size=size, full=True)
        assert measures.overflow(desk.page) == []
    if desk.scripts:
        assert desk.axe() == []
    with desk.page.expect_download() as handed:
        desk.page.get_by_role("link", name="note 7.pdf").click()
    assert handed.value.suggested_filename == f"{number}-paper-1.pdf"


def test_a_loggers_list_is_looked_at_and_written_down(
    floor: Halfway, desk: Tablet
) -> None:
    Room.objects.get_or_create(
        station=floor.shop.cast.stations["ROOM"], defaults={"limit_pct": 6}
    )
    how = "script" if desk.scripts else "plain"
    day = "2026-03-01" if desk.scripts else "2026-03-02"
    rows = "".join(f"{day} {hour:02}:00;40,{hour % 10};31,5;9\n" for hour in range(24))
    desk.go("/rooms/ROOM/")
    desk.press("Readings from a logger’s list (CSV or XLSX)")
    for content, name in (("wrong;x\n", "bad"), ("", "good")):
        desk.page.set_input_files(
            "[name=list]",
            {
                "name": "log.csv",
                "mimeType": "text/csv",
                "buffer": f"Time;Temp (°C);RH (%);Battery\n{rows}{content}".encode(),
            },
        )
        desk.press("Show what it says")
        for size in SIZES:
            desk.picture(f"air-list-{name}-{how}", size=size, full=True)
            assert measures.overflow(desk.page) == []
        desk.resize(SIZES[0])
        if desk.scripts:
            assert desk.axe() == []
    desk.shows("24 readings were read from “log.csv”", "… and 16 more between …")
    desk.press("Write them down")
    desk.shows("24 readings are written down.")


def test_enter_without_script_takes_nothing_in(
    floor: Halfway, tablet: Callable[..., Tablet]
) -> None:
    desk: Tablet = tablet(scripts=False)
    desk.enter(floor.shop.cast.lead)
    fill_head(desk, "D26-85")
    desk.page.fill("[name=plank-1-length_mm]", "2400")
    desk.page.press("[name=plank-1-length_mm]", "Enter")
    desk.settle()
    assert desk.page.locator("[name$=-length_mm]").count() == 16
    assert desk.page.input_value("[name=plank-1-length_mm]") == "2400"
