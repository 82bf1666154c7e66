"""Does a tablet work on when the shop does not answer, and lose nothing of it?

The server is really stopped and the browser really closed or killed: what was pressed
comes in once, in its order, under the name of whoever pressed it; what is refused by
then is told.
"""

import re
from importlib import import_module

import pytest
from playwright.sync_api import Page, Route

from tests.browser.alone import apart
from tests.browser.alone.apart import Alone, World, sent, until, waiting
from tests.browser.alone.hands import (
    BANNER,
    agrees,
    away,
    go,
    measure,
    picture,
    press,
    said,
    scan,
)
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.orders.models import Part
from travelers.outbox.models import Latecomer

# --- A shift without the shop


def work_body(page: Page, part: Part, *, seen: bool) -> None:
    """Saw a body twice, with its check; the first time with a look at the screen."""
    scan(page, part.code)
    if seen:
        away(page)
        picture(page, "card")
    for turn in (1, 2):
        assert f"Saw {turn}/2" in page.inner_text("h1.operation")
        press(page, "Start")
        press(page, "Check: Thickness")
        if seen and turn == 1:
            picture(page, "check")
        measure(page, "45,1")
        press(page, "Done")


@pytest.mark.point(40)
def test_fifteen_steps_on_ten_parts_a_closed_browser_and_back_again(
    world: World, server: apart.Shop, lasting: Alone
) -> None:
    page = lasting.open()
    lasting.enter(world.shop.cast.joiner)
    go(page, lasting)
    server.stop()
    for part in world.bodies:
        work_body(page, part, seen=part is world.bodies[0])
    for part in world.necks:
        scan(page, part.code)
        for name in ("Start", "Check: Straight grain", "Good", "Done"):
            press(page, name)
    assert waiting(page) == 15 * 3
    # One that is refused by the time it comes in: somebody held it meanwhile.
    held = world.necks[0]
    verdict = world.shop.scan(
        Wish.HOLD, held, by="qa", at="SAW", reason="wet", only_part=True
    )
    assert verdict.accepted
    lasting.close()

    page = lasting.open()
    page.goto(f"{lasting.home}/station/SAW/")
    until(page, lambda: "45 waiting" in page.inner_text("#outbox-net"))
    until(page, lambda: page.locator(BANNER).count() == 1)
    assert "45 waiting" in page.inner_text(BANNER)
    picture(page, "opened-again")
    server.start()
    until(page, lambda: waiting(page) == 0, seconds=30)
    refused = page.locator("#outbox-refused li")
    until(page, lambda: refused.count() == 3)
    assert "has been held since" in refused.first.inner_text()
    picture(page, "refused")
    # Other tests of this file share the shop; each browser counts from one.
    parts = [*world.bodies, *world.necks]
    numbers = Event.objects.filter(part__in=parts).exclude(tablet_number=None)
    numbers = numbers.order_by("seq")
    assert list(numbers.values_list("tablet_number", flat=True)) == list(range(1, 46))
    times = list(numbers.values_list("happened_at", flat=True))
    assert times == sorted(times)
    for step in world.steps:
        whole = ["HOLD"] if step.part == held else ["START", "READ", "FINISH"]
        assert said(step.pk) == whole, step
    assert Latecomer.objects.count() == 3
    agrees()


@pytest.mark.proof("R2")
def test_fifty_waiting_presses_outlive_a_killed_browser(
    world: World, server: apart.Shop, lasting: Alone
) -> None:
    body = world.another()
    page = lasting.open_apart()
    lasting.enter(world.shop.cast.joiner)
    go(page, lasting)
    server.stop()
    scan(page, body.code)
    away(page)
    press(page, "Start")
    press(page, "Check: Thickness")
    for n in range(49):
        measure(page, f"44.{n % 4 + 6}")
        # Read once more: what is kept is every reading, not the last alone.
        page.locator(".check-list a").locator("visible=true").first.click()
        page.wait_for_timeout(60)
    assert waiting(page) == 50
    lasting.kill()

    page = lasting.open_apart()
    page.goto(f"{lasting.home}/station/SAW/")
    until(page, lambda: "50 waiting" in page.inner_text("#outbox-net"))
    server.start()
    sent(page)
    events = Event.objects.filter(part=body).order_by("seq")
    assert [event.kind for event in events] == ["START"] + ["READ"] * 49
    assert len({event.event_id for event in events}) == 50
    numbers = [event.tablet_number or 0 for event in events]
    assert numbers == sorted(numbers)
    assert all(numbers)
    values = [str(event.readings.get().value)[:4] for event in events[1:]]
    assert values == [f"44.{n % 4 + 6}" for n in range(49)]
    agrees()


@pytest.mark.proof("D1")
@pytest.mark.parametrize("how", ["emulated", "stopped"])
def test_ten_minutes_without_network_and_nobody_signs_in_again(
    world: World, server: apart.Shop, tablet: Alone, how: str
) -> None:
    body = world.another()
    page = tablet.open()
    tablet.enter(world.shop.cast.joiner)
    go(page, tablet)
    assert tablet.context
    if how == "emulated":
        tablet.context.set_offline(True)
    else:
        server.stop()
    scan(page, body.code)
    until(page, lambda: page.locator(BANNER).count() == 1, seconds=3)
    press(page, "Start")
    assert "1 waiting" in page.inner_text(BANNER)
    if how == "emulated":
        tablet.context.set_offline(False)
    else:
        server.start()
    until(page, lambda: waiting(page) == 0, seconds=30)
    until(page, lambda: "In touch" in page.inner_text("#outbox-net"))
    until(page, lambda: page.locator(BANNER).count() == 0)
    # The server's own scene stands there again, and goes on by htmx.
    until(page, lambda: page.locator("#scene[data-away-scene]").count() == 0)
    assert "Joiner Cast" in page.inner_text("#person")
    press(page, "Check: Thickness")
    until(page, lambda: page.locator("#value").count() == 1)
    assert [event.kind for event in Event.objects.filter(part=body)] == ["START"]


# --- One press, whatever becomes of it


def test_a_press_is_kept_before_it_is_sent_and_gone_with_its_answer(
    world: World, tablet: Alone
) -> None:
    body = world.another()
    page = tablet.open()
    tablet.enter(world.shop.cast.joiner)
    go(page, tablet)
    scan(page, body.code)
    held: list[Route] = []
    page.route("**/wish/**", lambda route: held.append(route))
    press(page, "Start")
    until(page, lambda: len(held) == 1)
    (kept,) = page.evaluate("shopStore.all()")
    assert kept["id"] in (held[0].request.post_data or "")
    assert (kept["wish"], kept["data"]) == ("START", {})
    held[0].continue_()
    until(page, lambda: waiting(page) == 0)
    until(page, lambda: "Check: Thickness" in page.inner_text("#scene"))
    assert page.locator(BANNER).count() == 0
    event = Event.objects.get(part=body)
    assert (str(event.event_id), event.tablet_number) == (kept["id"], kept["number"])
    # Its clock goes with the shop's here; what it said is kept all the same.
    assert event.tablet_at
    assert abs((event.happened_at - event.tablet_at).total_seconds()) < 60


def test_a_lost_answer_is_asked_for_again_and_counts_once(
    world: World, tablet: Alone
) -> None:
    body = world.another()
    page = tablet.open()
    tablet.enter(world.shop.cast.joiner)
    go(page, tablet)
    scan(page, body.code)

    def lose(route: Route) -> None:
        assert route.fetch().status == 200
        route.abort("connectionreset")

    page.route("**/wish/**", lose, times=1)
    press(page, "Start")
    until(page, lambda: waiting(page) == 0, seconds=20)
    until(page, lambda: page.locator(BANNER).count() == 0)
    assert page.locator("#outbox-refused").count() == 0
    assert Event.objects.filter(part=body).count() == 1


def test_an_answer_that_does_not_come_in_time_is_not_waited_for(
    world: World, tablet: Alone
) -> None:
    body = world.another()
    page = tablet.open()
    tablet.enter(world.shop.cast.joiner)
    go(page, tablet)
    scan(page, body.code)
    held: list[Route] = []
    page.route("**/wish/**", lambda route: held.append(route))
    page.route("**/outbox/**", lambda route: held.append(route))
    press(page, "Start")
    until(page, lambda: page.locator(BANNER).count() == 1, seconds=7)
    until(page, lambda: "Check: Thickness" in page.inner_text("#scene"))
    page.unroute("**/wish/**")
    page.unroute("**/outbox/**")
    until(page, lambda: waiting(page) == 0, seconds=40)
    assert Event.objects.filter(part=body).count() == 1


@pytest.mark.parametrize(
    "status",
    ["502 Bad Gateway", "503 Service Unavailable", "504 Gateway Timeout"],
)
def test_a_gateway_without_a_shop_behind_it_is_no_answer(
    world: World, server: apart.Shop, tablet: Alone, status: str
) -> None:
    body = world.another()
    page = tablet.open()
    tablet.enter(world.shop.cast.joiner)
    go(page, tablet)
    server.hide(status)
    scan(page, body.code)
    away(page)
    press(page, "Start")
    assert waiting(page) == 1
    server.show()
    until(page, lambda: waiting(page) == 0, seconds=30)
    assert Event.objects.filter(part=body).count() == 1


# --- What cannot be known alone


def test_a_part_that_is_not_known_here_is_written_down(
    world: World, server: apart.Shop, tablet: Alone
) -> None:
    page = tablet.open()
    tablet.enter(world.shop.cast.joiner)
    go(page, tablet)
    neck = world.another("NECK")
    server.stop()
    scan(page, neck.code)
    away(page)
    assert "Not known here" in page.inner_text("#scene h1")
    picture(page, "unknown")
    press(page, "Start")
    assert waiting(page) == 1
    scan(page, "P00000")
    assert "no whole code" in page.inner_text("#scene")
    server.start()
    sent(page)
    assert [event.kind for event in Event.objects.filter(part=neck)] == ["START"]


def test_a_wrong_value_is_asked_again_and_an_outside_one_is_shown(
    world: World, server: apart.Shop, tablet: Alone
) -> None:
    body = world.another()
    page = tablet.open()
    tablet.enter(world.shop.cast.joiner)
    go(page, tablet)
    server.stop()
    scan(page, body.code)
    away(page)
    press(page, "Start")
    assert page.locator("button.press:disabled").inner_text() == "Done"
    press(page, "Check: Thickness")
    for typed, says in (
        ("45x", "cannot be read as a number"),
        ("451", "451 mm is far off"),
    ):
        measure(page, typed)
        assert says in page.inner_text("#scene")
        assert page.input_value("#scene [data-shop-keypad]") == typed
        assert waiting(page) == 1
    measure(page, "44.2")
    assert "Measure again" in page.inner_text("#scene")
    picture(page, "outside")
    press(page, "Go on")
    assert "Out of tolerance: Thickness." in page.inner_text("#scene")
    server.start()
    sent(page)
    reading = Event.objects.get(part=body, kind="READ").readings.get()
    assert (str(reading.value), reading.verdict) == ("44.2000", "LOW")


def test_what_was_typed_stays_when_a_gauge_is_scanned_alone(
    world: World, server: apart.Shop, tablet: Alone
) -> None:
    body = world.another()
    page = tablet.open()
    tablet.enter(world.shop.cast.joiner)
    go(page, tablet)
    scan(page, body.code)
    press(page, "Start")
    press(page, "Check: Thickness")
    until(page, lambda: page.locator("#gauge").count() == 1)
    until(page, lambda: waiting(page) == 0)
    page.fill("[data-shop-keypad]", "44.9")
    server.stop()
    choice = "#scene select[name=gauge]"
    # First on the page that the server drew, which goes; then on this tablet's own.
    for _ in range(2):
        page.select_option(choice, "")
        scan(page, world.shop.cast.gauges["caliper"].tag)
        away(page)
        until(page, lambda: page.input_value(choice) != "")
        assert page.input_value("[data-shop-keypad]") == "44.9"
        page.wait_for_timeout(2100)
    press(page, "Enter")
    server.start()
    sent(page)
    reading = Event.objects.get(part=body, kind="READ").readings.get()
    assert (str(reading.value), reading.verdict) == ("44.9000", "INSIDE")
    kept = page.evaluate("Object.keys(sessionStorage)")
    assert [name for name in kept if name.startswith("shop-draft:")] == []


def test_a_defect_found_alone_holds_the_part_and_comes_in(
    world: World, server: apart.Shop, tablet: Alone
) -> None:
    body = world.another()
    page = tablet.open()
    tablet.enter(world.shop.cast.joiner)
    go(page, tablet)
    scan(page, body.code)
    press(page, "Start")
    until(page, lambda: "Check: Thickness" in page.inner_text("#scene"))
    until(page, lambda: waiting(page) == 0)
    server.stop()
    press(page, "Defect")
    until(page, lambda: "What is it?" in page.inner_text("#main"), seconds=7)
    # A quarter across the drawing and six tenths down, wherever that is on the screen.
    spot = page.eval_on_selector(
        "[data-away=outline] svg",
        """(svg) => { const {x, y, width, height} = svg.viewBox.baseVal;
        const at = new DOMPoint(x + width * 0.25, y + height * 0.6)
          .matrixTransform(svg.getScreenCTM()); return [at.x, at.y]; }""",
    )
    page.mouse.click(*spot)
    page.get_by_text("knot").click()
    page.get_by_text("stop", exact=True).click()
    picture(page, "defect")
    press(page, "Record")
    assert "This part is held." in page.inner_text("#scene")
    server.start()
    sent(page)
    defect = Event.objects.get(part=body, kind="DEFECT").defect
    assert (defect.kind.code, defect.severity) == ("KNOT_BODY", "STOP")
    assert abs(float(defect.x) - 0.25) < 0.02
    assert abs(float(defect.y) - 0.6) < 0.02
    body.refresh_from_db()
    assert body.held_at


def test_a_defect_whose_page_was_open_when_the_network_went(
    world: World, server: apart.Shop, tablet: Alone
) -> None:
    body = world.another()
    step = world.shop.step_of(body)
    assert step
    page = tablet.open()
    tablet.enter(world.shop.cast.joiner)
    go(page, tablet)
    url = f"{tablet.home}/quality/report/?step={step.pk}&station=SAW&x=0.3&y=0.4"
    page.goto(url)
    page.get_by_text("knot").click()
    server.stop()
    press(page, "Record")
    until(page, lambda: "Kept in this tablet" in page.inner_text("#main"), seconds=7)
    server.start()
    sent(page)
    # There it is left for the station's own page.
    until(page, lambda: "/station/SAW/" in page.url)
    page.wait_for_load_state()
    assert Event.objects.filter(part=body, kind="DEFECT").count() == 1
    # And with the shop there it goes its usual way, once.
    page.goto(url)
    page.get_by_text("knot").click()
    press(page, "Record")
    until(page, lambda: "/station/SAW/" in page.url)
    until(page, lambda: waiting(page) == 0, seconds=20)
    assert Event.objects.filter(part=body, kind="DEFECT").count() == 2


@pytest.mark.proof("R16")
def test_a_clock_that_is_off_is_told_and_mended(
    world: World, server: apart.Shop, tablet: Alone
) -> None:
    tablet.behind_ms = 7 * 60_000
    body = world.another()
    page = tablet.open()
    tablet.enter(world.shop.cast.joiner)
    go(page, tablet)
    until(page, lambda: "7 min behind" in page.inner_text(".station-foot"))
    server.stop()
    scan(page, body.code)
    away(page)
    press(page, "Start")
    server.start()
    sent(page)
    event = Event.objects.get(part=body)
    assert event.tablet_at
    assert 415 < (event.happened_at - event.tablet_at).total_seconds() < 425
    assert (event.recorded_at - event.happened_at).total_seconds() < 60


# --- What keeps it safe


@pytest.mark.proof("D2")
def test_a_full_tablet_says_so_loudly_before_a_press_is_taken(
    world: World, server: apart.Shop, lasting: Alone
) -> None:
    body = world.another()
    page = lasting.open()
    lasting.enter(world.shop.cast.joiner)
    go(page, lasting)
    lasting.close()
    # A browser that has the store open asks only now and then how full the disk is.
    page = lasting.open()
    assert lasting.context
    asked = lasting.context.new_cdp_session(page)
    full = {"origin": f"{lasting.home}/", "quotaSize": 1}
    asked.send("Storage.overrideQuotaForOrigin", full)
    page.goto(f"{lasting.home}/station/SAW/")
    # With the shop there a press goes its way, and the tablet warns.
    scan(page, body.code)
    press(page, "Start")
    until(page, lambda: "Check: Thickness" in page.inner_text("#scene"))
    until(page, lambda: "storage is full" in page.inner_text("#main"))
    server.stop()
    press(page, "Check: Thickness")
    away(page)
    measure(page, "45")
    assert "This was NOT recorded" in page.inner_text("#scene")
    assert "write each step on the traveler" in page.inner_text(BANNER)
    picture(page, "full")
    assert waiting(page) == 0
    server.start()
    asked.send("Storage.overrideQuotaForOrigin", {"origin": f"{lasting.home}/"})
    assert [event.kind for event in Event.objects.filter(part=body)] == ["START"]


@pytest.mark.proof("D3")
def test_an_old_page_begins_anew_with_a_new_build(
    world: World, tablet: Alone, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = tablet.open()
    tablet.enter(world.shop.cast.joiner)
    go(page, tablet)
    old = page.evaluate("document.getElementById('outbox').dataset.build")
    for name in ("views.due", "views.worker", "templatetags.outbox"):
        module = import_module(f"travelers.outbox.{name}")
        monkeypatch.setattr(module, "build", lambda: "another")
    page.evaluate("window.dispatchEvent(new Event('online'))")
    now = "document.getElementById('outbox')?.dataset.build"
    until(page, lambda: page.evaluate(now) == "another", seconds=20)
    names = "caches.keys().then((names) => names.join(' '))"
    both = {"shop-files-another", "shop-pages-another"}
    until(page, lambda: set(page.evaluate(names).split()) == both, seconds=20)
    assert old not in page.evaluate(names)


def test_two_pages_of_one_tablet_send_each_press_once(
    world: World, server: apart.Shop, tablet: Alone
) -> None:
    first_body, second_body = world.another(), world.another()
    one = tablet.open()
    tablet.enter(world.shop.cast.joiner)
    go(one, tablet)
    assert tablet.context
    two = tablet.context.new_page()
    go(two, tablet)
    sent: list[str] = []
    for page in (one, two):
        page.on(
            "request",
            lambda asked: (
                sent.append(asked.post_data or "") if "/outbox/" in asked.url else None
            ),
        )
    server.stop()
    for page, body in ((one, first_body), (two, second_body)):
        page.bring_to_front()
        scan(page, body.code)
        away(page)
        press(page, "Start")
    before = len(sent)
    server.start()
    for page in (one, two):
        page.evaluate("window.dispatchEvent(new Event('online'))")
    until(one, lambda: waiting(one) == 0, seconds=30)
    until(two, lambda: "In touch" in two.inner_text("#outbox-net"), seconds=30)
    taken = [text for text in sent[before:] if text]
    ids = [one_id for text in taken for one_id in re.findall(r'"id":"([^"]+)"', text)]
    assert len(set(ids)) == 2
    for body in (first_body, second_body):
        assert Event.objects.filter(part=body).count() == 1


@pytest.mark.point(40)
def test_nobody_leaves_for_good_unwarned_while_something_waits(
    world: World, server: apart.Shop, tablet: Alone
) -> None:
    body = world.another()
    page = tablet.open()
    tablet.enter(world.shop.cast.joiner)
    go(page, tablet)
    server.stop()
    scan(page, body.code)
    away(page)
    press(page, "Start")
    # The shop answers, but takes nothing: what waits goes on waiting.
    page.context.route("**/outbox/", lambda route: route.abort())
    server.start()
    page.goto(f"{tablet.home}/")
    asked: list[str] = []

    def stay(dialog: object) -> None:
        asked.append(dialog.message)  # type: ignore[attr-defined]
        dialog.dismiss()  # type: ignore[attr-defined]

    page.once("dialog", stay)
    press(page, "Sign out")
    until(page, lambda: bool(asked))
    assert asked[0].startswith("1 presses wait in this tablet")
    page.once("dialog", lambda dialog: dialog.accept())
    press(page, "Sign out")
    until(page, lambda: "/sign-in/" in page.url)
    kept = "caches.keys().then((names) => names.some((one) => one.includes('pages')))"
    until(page, lambda: not page.evaluate(kept))
    page.context.unroute("**/outbox/")
    # The next person's page sends it, under the name of whoever pressed it.
    tablet.enter(world.shop.cast.finisher)
    page.goto(f"{tablet.home}/station/SAW/")
    until(page, lambda: waiting(page) == 0, seconds=30)
    assert Event.objects.get(part=body).person == world.shop.cast.joiner


@pytest.mark.proof("D4")
@pytest.mark.point(41)
def test_without_https_the_page_works_while_it_is_open(
    world: World, server: apart.Shop, lasting: Alone
) -> None:
    lasting.more = ("--host-resolver-rules=MAP shop.lan 127.0.0.1",)
    lasting.home = f"http://shop.lan:{server.port}"
    body = world.another()
    page = lasting.open()
    lasting.enter(world.shop.cast.joiner)
    page.goto(f"{lasting.home}/station/SAW/")
    assert not page.evaluate("isSecureContext")
    until(page, lambda: "In touch" in page.inner_text("#outbox-net"))
    took = "shopStore.due(document.getElementById('outbox').dataset.due)"
    until(page, lambda: page.evaluate(f"{took}.then((due) => Boolean(due))"))
    server.stop()
    scan(page, body.code)
    away(page)
    assert "over https" in page.inner_text(BANNER)
    press(page, "Start")
    assert waiting(page) == 1
    server.start()
    until(page, lambda: waiting(page) == 0, seconds=30)
    assert Event.objects.filter(part=body).count() == 1
