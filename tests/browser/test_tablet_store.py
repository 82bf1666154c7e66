"""Does the tablet's store hold what it promises, asked directly?"""

from collections.abc import Callable
from typing import Any

import pytest

from tests.browser.conftest import Tablet
from tests.browser.halfway import Halfway

RECORD = """(more) => ({id: "a", made_at: "2026-03-10T08:30:00Z", offset_ms: null,
  pass: "p", wish: "START", code: "P0000001", step: 1, data: {}, title: "t",
  url: "/station/SAW/outbox/", ...more})"""


@pytest.fixture
def run(floor: Halfway, tablet: Callable[..., Tablet]) -> Callable[..., Any]:
    """Run a piece of script on a station's page that sends nothing by itself."""
    one: Tablet = tablet()
    one.enter(floor.shop.cast.joiner)
    one.page.route("**/outbox/", lambda route: route.abort())
    one.page.route("**/due.json", lambda route: route.abort())
    one.go("/station/SAW/")

    def told(script: str, *given: Any) -> Any:
        made = f"const record = {RECORD}; const store = shopStore;"
        return one.page.evaluate(f"async (given) => {{ {made} {script} }}", list(given))

    told("for (const row of await store.all()) await store.remove([row]);")
    return told


def test_what_is_kept_together_is_in_order_and_whole_or_not_at_all(
    run: Callable[..., Any],
) -> None:
    rows, kept = run(
        """const three = ["a", "b", "c"].map((id) => record({id}));
        const numbers = await store.add(three);
        const again = await store.add([record({id: "b"}), record({id: "d"})]);
        const steps = numbers.map((one) => one - numbers[0]);
        // Two of one id at once cannot be: then nothing of what came with them is.
        const twice = ["e", "f", "f"].map((id) => record({id}));
        await store.add(twice).catch(() => {});
        const left = (await store.all()).map((row) => row.id);
        return [[...steps, again[0] - numbers[1]], left];"""
    )
    assert rows == [0, 1, 2, 0]
    assert kept == ["a", "b", "c", "d"]


def test_numbers_run_on_and_are_never_given_out_twice(run: Callable[..., Any]) -> None:
    numbers = run(
        """const [first] = await store.add([record({id: "a"})]);
        const [again] = await store.add([record({id: "a", wish: "FINISH"})]);
        const [second] = await store.add([record({id: "b"})]);
        await store.remove([{id: "a"}, {id: "b"}]);
        const [third] = await store.add([record({id: "c"})]);
        const kept = (await store.all()).map((row) => row.id);
        return [again - first, second - first, third - second, kept];"""
    )
    assert numbers == [0, 1, 1, ["c"]]


def test_a_batch_is_of_one_station_and_in_order(run: Callable[..., Any]) -> None:
    told = run(
        """for (const [id, url] of [["1", "x"], ["2", "x"], ["3", "y"], ["4", "x"]])
          await store.add([record({id, url})]);
        const ids = (rows) => rows.map((row) => row.id);
        const all = ids(await store.batch(50)), two = ids(await store.batch(1));
        await store.remove([{id: "1"}, {id: "2"}]);
        return [all, two, ids(await store.batch(50)), await store.waiting()];"""
    )
    since = told[3].pop("since")
    assert told == [["1", "2"], ["1"], ["3"], {"count": 2}]
    assert since == 1773131400000


def test_what_is_refused_stays_until_it_is_seen(run: Callable[..., Any]) -> None:
    told = run(
        """for (const id of ["a", "b"]) await store.add([record({id})]);
        const rows = await store.batch(50);
        const said = {accepted: false, sentence: "No.", remedy: "Ask.", refused: "x"};
        await store.settle([{record: rows[0], answer: {accepted: true}},
                            {record: rows[1], answer: said}]);
        const seen = (await store.refused()).map((row) => [row.id, row.sentence]);
        await store.forget("b");
        return [(await store.all()).length, seen, (await store.refused()).length];"""
    )
    assert told == [0, [["b", "No."]], 0]


def test_one_sender_at_a_time_and_none_for_ever(run: Callable[..., Any]) -> None:
    told = run(
        """const got = [];
        for (const name of ["one", "two", "one"])
          got.push(await store.lease(name, 20000));
        await store.release("two");
        got.push(await store.lease("two", 20000));
        await store.release("one");
        got.push(await store.lease("two", 30));
        await new Promise((done) => setTimeout(done, 60));
        got.push(await store.lease("three", 30));
        // The clock was set back by days while somebody had it.
        const now = Date.now; Date.now = () => now() - 2 * 86400000;
        got.push(await store.lease("four", 20000)); Date.now = now;
        await store.release("four");
        return got;"""
    )
    assert told == [True, False, True, False, True, True, True]


def test_an_offset_that_was_not_known_is_given_later(run: Callable[..., Any]) -> None:
    told = run(
        """await store.add([record({id: "a"})]);
        await store.add([record({id: "b", offset_ms: 5})]);
        await store.giveOffset(-70);
        return (await store.all()).map((row) => row.offset_ms);"""
    )
    assert told == [-70, 5]


def test_the_best_measure_of_the_clock_counts(run: Callable[..., Any]) -> None:
    told = run(
        """const now = Date.now();
        const said = (ms) => new Headers({"Shop-Time": String(ms)});
        // Slow and askew, then quick: half of the way there and back is taken off.
        shopClock.measure(now - 4000, now, said(now + 60000));
        const slow = shopClock.offset();
        shopClock.measure(now - 20, now, said(now + 300000 - 10));
        return [slow, shopClock.offset(), shopClock.ahead()];"""
    )
    assert told == [62000, 300000, -5]


@pytest.mark.parametrize(
    ("limits", "value", "far"),
    [
        ((44.5, 45.5), 450, True),
        ((44.5, 45.5), 4.5, True),
        ((44.5, 45.5), 50, False),
        ((44.5, 45.5), 45, False),
        ((None, 0), 3, False),
        ((None, None), 1e9, False),
    ],
)
def test_a_value_far_off_is_doubted(
    run: Callable[..., Any],
    limits: tuple[float | None, float | None],
    value: float,
    far: bool,
) -> None:
    lower, upper = limits
    asked = "const [lower, upper, value] = given;"
    assert (
        run(
            f"{asked} return shopParts.farOff({{lower, upper}}, value);",
            lower,
            upper,
            value,
        )
        is far
    )


def test_a_step_moves_as_the_server_would_move_it(run: Callable[..., Any]) -> None:
    """Work that then lies clamped, a holding step, and one that rests in between."""
    told = run(
        """const at = Date.parse("2026-03-10T08:00:00Z");
        const step = (id, line, state) => ({id, line, state, repeat: 1, readings: {},
          scanned: [], passes: [], checks: [], until: null, readyAt: null, title: "t"});
        const due = {checks: {}, station: {free: 3}, lines: {
          1: {kind: "WORK", joins: "NOTHING", dwell: 3600, gap: null, rest: null},
          2: {kind: "HOLD", joins: "NOTHING", dwell: 7200, gap: null, rest: null}},
          parts: [{code: "P", held: false, mates: [],
            steps: [step(1, 1, "READY"), step(2, 2, "WAITING")]}]};
        const [part] = due.parts;
        const said = [];
        const press = (wish, id, ms) => {
          shopParts.advance(due, {wish, step: id, data: {}}, at + ms);
          const now = shopParts.current(part);
          const stop = now && shopParts.stopped(due, part, now, at + ms);
          const free = due.station.free;
          said.push([now && now.id, now && now.state, stop ? stop.why : "", free]);
        };
        press("START", 1, 0); press("FINISH", 1, 0); press("TAKE_OUT", 1, 3600e3);
        press("LOAD", 2, 3600e3); press("HOLD", 2, 3600e3); press("TAKE_OUT", 2, 11e6);
        return said;"""
    )
    assert told == [
        [1, "RUNNING", "", 3],
        [1, "DWELLING", "still", 2],
        [2, "READY", "", 3],
        [2, "DWELLING", "still", 2],
        [2, "DWELLING", "held", 2],
        [None, None, "", 3],
    ]


def test_a_part_is_laid_back_as_it_was_if_its_work_is_still_known(
    run: Callable[..., Any],
) -> None:
    told = run(
        """const step = (state) => ({id: 1, line: 1, state, checks: []});
        const part = (state) => ({code: "P", held: false, steps: [step(state)]});
        const world = () => ({checks: {}, station: {free: 3}, lines: {1: {}},
          parts: [{...part("DWELLING"), held: true}]});
        const said = (due, before) => {
          const laid = shopParts.restore(due, before);
          const found = due.parts.find((one) => one.code === "P");
          return [Boolean(laid), found && found.steps[0].state, found && found.held,
            due.station.free];
        };
        const gone = {...world(), parts: []};
        return [said(world(), part("READY")), said(gone, part("READY")),
          said({...world(), lines: {}}, part("READY")), said(world(), null)];"""
    )
    assert told == [
        # A hold that came since stays; the place in the room is free again.
        [True, "READY", True, 4],
        [True, "READY", False, 3],
        [False, "DWELLING", True, 3],
        [False, "DWELLING", True, 3],
    ]
