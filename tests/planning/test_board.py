"""Does the board say what the steps say, and speak only when something changed?"""

import random
import re
from collections import Counter
from uuid import uuid4

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests import make
from tests.desk import client, page_of, plan_of, queries_of, released, text_of
from travelers.floor.models import Event
from travelers.floor.queries import pulse
from travelers.floor.rules import Wish
from travelers.orders.models import Instrument, Part, Step
from travelers.routes.models import Precedence

pytestmark = pytest.mark.django_db

BOARD = "/board/"
HTMX = {"HX-Request": "true", "HX-Target": "board"}
LOOKS = {
    "WAITING": "WAITING",
    "READY": "WAITING",
    "RUNNING": "IN_WORK",
    "DWELLING": "DWELLING",
}


def recount() -> Counter[tuple[str, str, str]]:
    """Count where parts are from their steps alone, not from what the board reads."""
    counts: Counter[tuple[str, str, str]] = Counter()
    parts = Part.objects.in_use().filter(instrument__state="OPEN")
    for part in parts.order_by("id"):
        step = _shown(part)
        if step is None:
            continue
        held = part.held_at or part.instrument.held_at
        look = "HELD" if held else LOOKS[step.state]
        counts[part.branch, step.stage.code, look] += 1
    return counts


def _shown(part: Part) -> Step | None:
    open_steps = Step.objects.filter(state__in=LOOKS).order_by("position")
    own = open_steps.filter(part=part).first()
    if part.branch == "ASSEMBLY":
        begun = part.steps.filter(state__in=["RUNNING", "DWELLING", "DONE"]).exists()
        return own if begun else None
    if own:
        return own
    # Until a join is begun, what it joins waits there; then it is part of the whole.
    joins = Precedence.objects.filter(before__branch=part.branch).values("after")
    return open_steps.filter(
        instrument=part.instrument,
        part__branch="ASSEMBLY",
        operation__in=joins,
        state__in=["WAITING", "READY"],
    ).first()


def shown(page) -> Counter[tuple[str, str, str]]:
    counts: Counter[tuple[str, str, str]] = Counter()
    for cell in page.cells:
        for look, n in cell.counts.items():
            counts[cell.strand, cell.fret, str(look)] += n
    return +counts


UNTIL = {
    "BODY": ("Saw", "Dry", "Glue", "Machine", "Lacquer", "Cure", "Inspect body", ""),
    "NECK": ("Rough", "Fret", ""),
    "ELECTRONICS": ("Solder", ""),
    "ASSEMBLY": ("Neck joint", "Harness", "Test play"),
}


def some_days(shop: make.Shop, instruments: list[Instrument], seed: int = 7) -> None:
    """Let the shop work on each part until somewhere, and begin there or not."""
    chance = random.Random(seed)
    for instrument in instruments:
        for branch, names in UNTIL.items():
            part = shop.part(instrument, branch)
            shop.work(part, until=chance.choice(names))
            step = part.steps.filter(state="READY").first()
            if step and chance.random() < 0.5:
                holds = step.operation.kind == "HOLD"
                shop.scan(Wish.LOAD if holds else Wish.START, part, step=step)


def test_an_empty_shop_has_an_empty_board(shop: make.Shop) -> None:
    answer = client(shop, "planner").get(BOARD)
    page = page_of(answer)
    assert (answer.status_code, page.total, shown(page)) == (200, 0, Counter())


@pytest.mark.parametrize("seed", [1, 2, 3, 9])
def test_the_board_agrees_with_a_recount_of_the_steps(
    shop: make.Shop, seed: int
) -> None:
    made = released(shop, 8)
    some_days(shop, made, seed=seed)
    for wish, part, more in (
        (Wish.HOLD, shop.part(made[0]), {"only_part": True}),
        (Wish.HOLD, shop.part(made[1], "ASSEMBLY"), {}),
        (Wish.SCRAP, shop.part(made[2]), {}),
    ):
        verdict = shop.scan(wish, part, by="qa", at="BENCH", reason="a crack", **more)
        assert verdict.accepted, verdict.refusal
    page = page_of(client(shop, "planner").get(BOARD))
    expected = recount()
    assert shown(page) == expected
    assert page.total == expected.total() > 0
    assert {"WAITING", "IN_WORK", "HELD"} <= {look for _, _, look in expected}


def test_drawing_table_and_totals_say_the_same(shop: make.Shop) -> None:
    some_days(shop, released(shop, 8), seed=3)
    page = page_of(client(shop, "planner").get(BOARD))
    rows = {(row.branch, row.stage_code): row for row in page.rows}
    assert len(rows) == len(page.rows) == len(page.cells)
    for cell in page.cells:
        row = rows[cell.strand, cell.fret]
        assert row.total == cell.total
        assert row.counts == tuple(cell.counts.get(look, 0) for look in page.looks)
    for place, (look, n) in enumerate(page.totals):
        assert n == sum(row.counts[place] for row in page.rows), look
        assert n == sum(row.counts[place] for row in page.stages), look
    assert [row.stage for row in page.stages] == [fret.name for fret in page.frets]
    oldest = {row.stage: row.oldest for row in page.stages}
    for row in page.rows:
        assert row.oldest is None or row.oldest <= oldest[row.stage]


def test_the_wall_shows_the_numbers_of_the_board(shop: make.Shop) -> None:
    some_days(shop, released(shop, 4), seed=3)
    planner = client(shop, "planner")
    # A screen tells the minutes, and they shall not go on meanwhile.
    with time_machine.travel(shop.now, tick=False):
        page = page_of(planner.get(f"{BOARD}wall/"))
        assert page.stages == page_of(planner.get(BOARD)).stages
        seen = {"seen": page.seen}
        assert planner.get(f"{BOARD}wall/", seen, headers=HTMX).status_code == 204
        whole = text_of(planner.get(f"{BOARD}wall/"))
        piece = text_of(planner.get(f"{BOARD}wall/", headers=HTMX)).strip()
    assert piece in whole


def test_a_finished_instrument_leaves_the_board(shop: make.Shop) -> None:
    instrument = shop.instrument()
    for branch in ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY"):
        shop.work(shop.part(instrument, branch))
    assert page_of(client(shop, "planner").get(BOARD)).total == 0


def test_a_cell_says_how_long_its_oldest_part_lies_there(
    shop: make.Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop.instrument()
    since = shop.now
    shop.later(days=3)
    shop.instrument()
    at = shop.later(hours=2)
    monkeypatch.setattr("django.utils.timezone.now", lambda: at)
    page = page_of(client(shop, "planner").get(BOARD))
    (row,) = [
        row for row in page.rows if (row.branch, row.stage_code) == ("BODY", "LUMBER")
    ]
    assert (row.total, row.oldest) == (2, at - since)


def test_who_asks_again_hears_only_what_is_new(shop: make.Shop) -> None:
    planner = client(shop, "planner")
    body = shop.part(shop.instrument())
    seen = page_of(planner.get(BOARD)).seen
    answer = planner.get(BOARD, {"seen": seen}, headers=HTMX)
    assert (answer.status_code, answer.content) == (204, b"")
    shop.must(Wish.START, shop.step_of(body))
    answer = planner.get(BOARD, {"seen": seen}, headers=HTMX)
    assert answer.status_code == 200
    assert text_of(answer).lstrip().startswith('<section id="board"')
    heard = re.search(r"seen=([0-9.-]+)", text_of(answer))
    assert heard
    assert heard[1] != seen
    again = planner.get(BOARD, {"seen": heard[1]}, headers=HTMX)
    assert again.status_code == 204


def test_an_address_with_a_pulse_is_a_page_like_any_other(shop: make.Shop) -> None:
    planner = client(shop, "planner")
    seen = page_of(planner.get(BOARD)).seen
    answer = planner.get(BOARD, {"seen": seen})
    assert answer.status_code == 200
    assert "<!doctype html>" in text_of(answer)


def test_the_piece_is_the_page_cut_out(shop: make.Shop) -> None:
    released(shop, 2)
    planner = client(shop, "planner")
    whole = text_of(planner.get(BOARD))
    piece = text_of(planner.get(BOARD, headers=HTMX)).strip()
    as_of = "The floor as of"
    head, _, tail = piece.partition(as_of)
    assert head in whole
    # The clock may have gone on by a minute between the two.
    assert tail.partition("</p>")[2] in whole


def test_a_release_is_heard_like_a_scan(shop: make.Shop) -> None:
    before = pulse()
    shop.instrument()
    assert pulse() != before


def test_a_refused_scan_is_an_event_too(shop: make.Shop) -> None:
    before = pulse()
    shop.scan(Wish.START, "P0000000")
    assert pulse() != before


def test_an_event_that_commits_late_below_the_newest_is_heard(shop: make.Shop) -> None:
    """Numbers are given out before the commit: a lower one may come in later."""
    body = shop.part(shop.instrument())
    shop.must(Wish.START, shop.step_of(body))
    newest = Event.objects.latest("seq")
    before = pulse()
    columns = [field.attname for field in Event._meta.concrete_fields]
    late = Event(**{name: getattr(newest, name) for name in columns})
    late.seq, late.event_id = newest.seq - 100, uuid4()
    late.save(force_insert=True)
    assert Event.objects.latest("seq").seq == newest.seq
    assert pulse() != before


def test_a_pulse_costs_one_query_however_long_the_ledger(shop: make.Shop) -> None:
    for count in (1, 4):
        some_days(shop, released(shop, count))
        with CaptureQueriesContext(connection) as caught:
            pulse()
        assert len(caught) == 1


def test_more_parts_ask_no_more_of_the_database(shop: make.Shop) -> None:
    planner = client(shop, "planner")
    released(shop, 5)
    few = queries_of(planner, BOARD)
    some_days(shop, released(shop, 50)[:6])
    assert queries_of(planner, BOARD) == few
    assert page_of(planner.get(BOARD)).total == recount().total() >= 150


def test_the_count_reads_the_index_of_parts_on_the_floor(shop: make.Shop) -> None:
    released(shop, 2)
    with CaptureQueriesContext(connection) as caught:
        client(shop, "planner").get(BOARD)
    (sql,) = [
        one["sql"]
        for one in caught
        if "orders_part" in one["sql"] and "GROUP BY" in one["sql"]
    ]
    assert "USING COVERING INDEX part_on_the_floor" in plan_of(sql)


def test_instruments_are_counted_once_for_each_part(shop: make.Shop) -> None:
    released(shop, 3)
    page = page_of(client(shop, "joiner").get(BOARD))
    assert page.total == 3 * Instrument.objects.count()
