"""Does a list without network stand as it stood, with the reason beside each part?"""

from uuid import uuid4

from playwright.sync_api import Page

from tests.browser.alone import apart
from tests.browser.alone.apart import Alone, World, until
from tests.browser.alone.hands import BANNER, go, picture
from travelers.floor.actions import Target, pin


def rows(page: Page) -> list[tuple[str, ...]]:
    """Read serial, reason and day of each part that is ready."""
    found = []
    for row in page.locator(".lists-ready .queue li").all():
        said = [row.locator("strong").inner_text()]
        said += row.locator(".row-why > *").all_inner_texts()[:2]
        found.append(tuple(said))
    return found


def test_the_order_and_its_reasons_stay(
    world: World, server: apart.Shop, tablet: Alone
) -> None:
    shop = world.shop
    last = world.necks[-1]
    pin(
        uuid=uuid4(),
        target=Target(last.instrument.serial, last.code, "SAW"),
        reason="stage guitar",
        until_on=shop.now.date(),
        by=shop.cast.planner,
        at=shop.now,
    )
    page = tablet.open()
    tablet.enter(shop.cast.joiner)
    go(page, tablet)
    online = rows(page)
    assert online[0][1] == "put first: stage guitar"
    assert len(online) > 4
    server.stop()
    page.goto(f"{tablet.home}/station/SAW/")
    until(page, lambda: page.locator(BANNER).count() == 1)
    assert rows(page) == online
    picture(page, "order")
