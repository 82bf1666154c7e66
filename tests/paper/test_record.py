"""Does a build record tell an instrument's life on two pages, and name nobody?"""

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from tests import make
from tests.floor import story
from tests.paper.scanner import (
    image,
    poppler_words,
    read_zbar,
    read_zxing,
    sheets,
    words,
)
from tests.standing import kept
from travelers.floor.queries import Used
from travelers.formulas import codes
from travelers.lumber.models import Delivery, Piece, Species
from travelers.orders.models import Instrument
from travelers.paper import documents, queries, rules
from travelers.paper.models import Sheet
from travelers.paper.queries import RecordSheet, Swapped
from travelers.paper.rules import Deed, Mark, Printing, Size, way_of
from travelers.quality.actions import decide
from travelers.quality.queries import Finding
from travelers.quality.rules import Decision, Severity
from travelers.routes.rules import Branch, Joins, OperationKind
from travelers.shop.models import Person

pytestmark = [pytest.mark.django_db, pytest.mark.once]
PRINTING = Printing(2, datetime(2026, 5, 10, 8, 30, tzinfo=UTC), "Pia Lindqvaert")
BENCH = {"joiner", "finisher", "planner", "lead", "qa", "engineer", "admin"}
DAY = timedelta(days=1)
DPI = 200


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


@kept
def made(shop: make.Shop) -> Instrument:
    """Finish an instrument that met rework, a wet piece and another's neck."""
    one, other = shop.instruments(2)
    mine, theirs = shop.part(one, "NECK"), shop.part(other, "NECK")
    story.must_swap(shop, mine, theirs)
    story.finish(shop, one)
    return one


def record(made: Instrument, size: Size = Size.A4) -> RecordSheet:
    return queries.build_record(serial=made.serial, size=size)


def printed_of(sheet: RecordSheet) -> bytes:
    return documents.build_record(sheet=sheet, printing=PRINTING)


def client_of(shop: make.Shop, who: str) -> Client:
    client = Client()
    client.force_login(shop.cast.people[who])
    return client


@pytest.mark.parametrize("size", Size)
def test_two_pages_on_both_sheets_with_title_and_language(
    made: Instrument, size: Size
) -> None:
    sheet = record(made, size)
    printed = printed_of(sheet)
    pdf = sheets(printed)
    assert len(pdf.pages) == 2
    wide = {round(page.mediabox.width) for page in pdf.pages}
    assert wide == {595 if size is Size.A4 else 612}
    assert pdf.metadata
    assert pdf.metadata.title == f"Build record of {made.serial}"
    assert str(pdf.root_object["/Lang"]) == "en"
    assert "/StructTreeRoot" in pdf.root_object
    assert printed_of(sheet) == printed
    spanish = printed_of(replace(sheet, language="es"))
    assert str(sheets(spanish).root_object["/Lang"]) == "es"


@pytest.mark.parametrize("size", Size)
def test_both_readers_read_the_instruments_tag(
    shop: make.Shop, made: Instrument, size: Size
) -> None:
    sheet = record(made, size)
    page = image(printed_of(sheet), 1, DPI)
    assert read_zxing(page) == read_zbar(page) == [sheet.tag.link]
    code = shop.part(made, "ASSEMBLY").code
    assert codes.parse(sheet.tag.link) == code
    assert codes.grouped(code) in words(printed_of(sheet), 1)


def test_the_owner_reads_of_wood_days_and_repairs(
    shop: make.Shop, made: Instrument
) -> None:
    said = words(printed_of(record(made)), 1)
    for word in (made.serial, "Wren, Tide Green", "Copy 2, printed 10 May 2026"):
        assert word in said
    for branch in ("BODY", "NECK"):
        own = shop.part(made, branch).plank_set
        assert own
        assert own.number in said
        assert own.plank.number in said
    assert said.count("Fraxinus excelsior") == 2
    assert "5 Jan 2026" in said
    assert "611 kg/m³ of the plank" in said
    assert not re.search("trade", said, re.IGNORECASE)
    for mark in ("Released", "Wood dry", "Glued", "Finish cured", "Assembled"):
        assert mark in said
    assert re.search(r"Tested Test play \d+ \w+ 2026", said)
    assert "Body run Lacquer, Cure, Inspect body" in said


def test_wood_that_needs_papers_says_which_it_has(made: Instrument) -> None:
    Delivery.objects.update(species=Species.objects.get(code="ROSE"))
    lacks = words(printed_of(record(made)), 1)
    assert "none are written down for it" in lacks
    Delivery.objects.update(trade_papers="permit 12-AB")
    Piece.objects.update(mass_g=Decimal(3000))
    has = words(printed_of(record(made)), 1)
    assert has.count("Trade papers: permit 12-AB") == 2
    assert has.count("of the set") == 2
    assert "none are written down" not in has


def test_nobody_is_named_who_built_it(shop: make.Shop, made: Instrument) -> None:
    printed = printed_of(record(made))
    for number in (1, 2):
        said = poppler_words(printed, number)
        for person in Person.objects.all():
            assert str(person) not in said
            assert not re.search(rf"\b{person.initials}\b", said)
        assert PRINTING.by not in said


def test_service_reads_values_with_their_limits(
    shop: make.Shop, made: Instrument
) -> None:
    said = words(printed_of(record(made)), 2)
    assert "Order W001, route revision A" in said
    assert "In several goes: Lacquer 4 ×" in said
    assert "Fret height 3 × fret 1.20 1.20 1.20 1.20 1.15 to 1.25 mm" in said
    assert "Pocket width 56.10 56.10 56.05 to 56.20 mm caliper" in said
    # It was read twice, and let pass too wet: the last reading counts.
    assert "moisture meter" in said
    assert re.search(r"Moisture \d\.\d\*? 6\.5 at most 7\.2 %", said)
    assert "1 more was counted or judged, and good" in said
    assert "run, stop; Inspect body" in said
    assert "Rework: level it and coat it once more" in said
    code = shop.part(made, "NECK").code
    assert f"Neck {codes.grouped(code)}, W00002" in said
    assert "runout, suits the other body" in said


def test_what_was_let_pass_outside_its_limits_is_marked(made: Instrument) -> None:
    sheet = record(made)
    (moisture, *others) = sorted(
        sheet.measures, key=lambda one: one.check.code != "MOISTURE"
    )
    wet = replace(moisture.values[0], value=Decimal("9.4"), verdict="HIGH")
    frets = next(one for one in others if one.check.code == "FRET_HEIGHT")
    many = replace(frets, values=(*frets.values * 7, wet))
    judged = next(one for one in others if not one.is_measured)
    bad = replace(judged, values=(replace(wet, value=Decimal(0)),))
    said = words(
        printed_of(
            replace(sheet, measures=(replace(moisture, values=(wet,)), many, bad))
        ),
        2,
    )
    assert "9.4*" in said
    assert "22 × fret 1.20 to 9.40*" in said
    assert "* outside the limits" in said
    assert "Counted or judged, and let pass: Even shine" in said
    plain = words(printed_of(replace(sheet, measures=(frets,), swaps=())), 2)
    assert "outside the limits" not in plain
    assert "No part was swapped." in plain


@pytest.mark.parametrize("size", Size)
def test_a_hard_life_stays_on_two_pages_and_says_what_is_left_out(
    made: Instrument, size: Size
) -> None:
    sheet = record(made, size)
    long = "smoothed and levelled by hand along the whole edge"
    one = Finding(
        sheet.closed_at, Branch.BODY, long[:40], Severity.MAJOR, long,
        Decision.REWORK, long * 3, (long,) * 9, sheet.closed_at,
    )  # fmt: skip
    swap = Swapped(
        sheet.closed_at, Branch.NECK, "P0000000", "P0000001", "W00002", long * 3
    )
    measure = replace(
        sheet.measures[0], check=replace(sheet.measures[0].check, name=long)
    )
    hard = replace(
        sheet, findings=(one,) * 40, swaps=(swap,) * 40, measures=(measure,) * 200
    )
    printed = printed_of(hard)
    count = len(sheets(printed).pages)
    assert count == 2
    said = [words(printed, number) for number in (1, 2)]
    shown = said[0].count("and 6 more")
    assert shown
    assert f"and {40 - shown} more" in said[0]
    left = [int(n) for n in re.findall(r"and (\d+) more", said[1])]
    assert left.count(40 - left.count(6)) == 2
    assert max(left) > 100


@pytest.mark.parametrize("size", Size)
def test_the_longest_words_stay_on_two_pages(made: Instrument, size: Size) -> None:
    sheet = record(made, size)
    long = "Export permit and import permit, copies in the paper file; " * 4
    woods = tuple(
        replace(
            wood,
            origin=replace(
                wood.origin, species=long[:40], latin=long[:60], trade_papers=long[:200]
            ),
        )
        for wood in sheet.woods
    )
    way = tuple(replace(leg, operation=long[:60]) for leg in sheet.way)
    again = tuple(replace(one, again=(long[:60],) * 9) for one in sheet.findings)
    printed = printed_of(
        replace(
            sheet, woods=woods, way=way, findings=again * 3, model=long[:40],
            finish=long[40:80],
        )
    )  # fmt: skip
    count = len(sheets(printed).pages)
    assert count == 2


def test_service_reads_which_batches_and_pieces_are_in_it() -> None:
    shop = make.shop(uses=True)
    made = shop.instrument()
    for branch in ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY"):
        shop.work(shop.part(made, branch))
    said = words(printed_of(record(made)), 2)
    assert "Made with" in said
    for material, numbers in (
        ("Hide glue", ["N-001"]),
        ("Lacquer", ["N-002"]),
        ("Pickup", ["PU-0001", "PU-0002"]),
    ):
        assert f"{material} {', '.join(numbers)}" in said


def test_so_many_materials_stay_on_two_pages(made: Instrument) -> None:
    long = "a material with quite a long name indeed"
    numbers = tuple(f"BATCH-{n:018}" for n in range(40))
    full = replace(record(made), materials=(Used(long, numbers),) * 30)
    printed = printed_of(full)
    assert len(sheets(printed).pages) == 2
    assert "and 18 more" in words(printed, 2)


def test_a_plain_life_says_that_nothing_was_repaired(shop: make.Shop) -> None:
    one = shop.instrument()
    step = story.at(shop, shop.part(one), "Machine")
    defect = story.report(shop, step, "TEAR_OUT")
    for branch in ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY"):
        shop.work(shop.part(one, branch))
    told = {"by": shop.cast.qa, "at": shop.now, "reason": "not seen"}
    printed = printed_of(record(one))
    assert "Nothing had to be repaired on the way." in words(printed, 1)
    assert "Defects" in words(printed, 2)
    assert "not decided" in words(printed, 2)
    decide(defect_id=defect.pk, decision=Decision.USE_AS_IS, **told)
    printed = printed_of(record(one))
    assert "Nothing had to be repaired on the way." in words(printed, 1)
    assert "Use as is: not seen" in words(printed, 2)


def test_who_may_print_it_and_what_is_written_down(
    shop: make.Shop, made: Instrument, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(documents, "build_record", lambda **_: b"%PDF")
    url = reverse("paper:build_record", args=[made.serial])
    for who in shop.cast.people:
        status = client_of(shop, who).get(url).status_code
        assert status == (200 if who in BENCH else 403), who
    assert Client().get(url).status_code == 302
    rows = Sheet.objects.values_list("paper", "of", "instrument")
    assert list(rows) == [("BUILD_RECORD", made.serial, made.pk)] * len(BENCH)
    copies = Sheet.objects.order_by("copy").values_list("copy", flat=True)
    assert list(copies) == list(range(1, len(BENCH) + 1))


def test_it_comes_as_a_pdf_with_its_copy(shop: make.Shop, made: Instrument) -> None:
    client = client_of(shop, "joiner")
    url = reverse("paper:build_record", args=[made.serial])
    for copy in (1, 2):
        answer = client.get(url, {"sheet": "letter"})
        assert answer.headers["Content-Type"] == "application/pdf"
        assert f"Copy {copy}, printed" in words(answer.content, 1)
    assert (
        answer.headers["Content-Disposition"]
        == f'inline; filename="record-{made.serial}.pdf"'
    )
    assert client.get(url, {"sheet": "a5"}).status_code == 422


def test_only_a_finished_instrument_has_one(shop: make.Shop) -> None:
    one = shop.instrument()
    client = client_of(shop, "lead")
    url = reverse("paper:build_record", args=[one.serial])
    for state, said in ("OPEN", "on the floor"), ("SCRAPPED", "scrapped"):
        closed = None if state == "OPEN" else shop.now
        Instrument.objects.update(state=state, closed_at=closed)
        answer = client.get(url)
        assert answer.status_code == rules.NOT_FINISHED.status == 409
        text = answer.content.decode()
        assert f"Instrument {one.serial} is {said}, so it has no build record." in text
        assert "until then print its traveler" in text
    unknown = reverse("paper:build_record", args=["W99999"])
    assert client.get(unknown).status_code == 404
    assert not Sheet.objects.exists()


def test_its_page_leads_to_it_once_it_is_finished(
    shop: make.Shop, made: Instrument
) -> None:
    client = client_of(shop, "lead")
    other = Instrument.objects.exclude(pk=made.pk).get()
    for one, leads in (made, True), (other, False):
        page = client.get(reverse("floor:instrument", args=[one.serial]))
        link = reverse("paper:build_record", args=[one.serial])
        assert (link in page.content.decode()) is leads


def test_no_other_paper_is_ever_written_down(shop: make.Shop, made: Instrument) -> None:
    told = {"of": made.serial, "printed_at": shop.now, "printed_by": shop.cast.lead}
    Sheet.objects.create(paper="BUILD_RECORD", copy=1, **told)
    for paper, copy in ("RECORD", 1), ("BUILD_RECORD", 0):
        with pytest.raises(IntegrityError), transaction.atomic():
            Sheet.objects.create(paper=paper, copy=copy, **told)


# The way, by what its operations are


def deed(branch: str, number: int, kind: str, at: float, joins: str = "") -> Deed:
    return Deed(
        Branch(branch), number, f"{branch} {number}", OperationKind(kind),
        Joins(joins or "NOTHING"), make.MORNING + at * DAY,
    )  # fmt: skip


WAY = (
    deed("BODY", 20, "HOLD", 10),
    deed("BODY", 30, "JOIN", 11, "PIECES"),
    deed("BODY", 40, "HOLD", 20),
    deed("BODY", 60, "HOLD", 50),
    deed("NECK", 20, "HOLD", 12),
    deed("NECK", 30, "JOIN", 14, "PIECES"),
    deed("ELECTRONICS", 10, "HOLD", 55),
    deed("ASSEMBLY", 10, "JOIN", 60, "BRANCHES"),
    deed("ASSEMBLY", 20, "INSPECT", 61),
    deed("ASSEMBLY", 30, "HOLD", 65),
    deed("ASSEMBLY", 40, "INSPECT", 66),
    deed("ASSEMBLY", 50, "INSPECT", 67),
    deed("ASSEMBLY", 60, "WORK", 70),
)


def marks(*deeds: Deed, closed: float = 70) -> list[tuple[Mark, float, str]]:
    start = make.MORNING
    way = way_of(deeds, released_at=start, closed_at=start + closed * DAY)
    return [(leg.mark, (leg.at - start) / DAY, leg.operation) for leg in way]


def test_moments_are_found_by_what_operations_are() -> None:
    assert marks(*WAY) == [
        (Mark.RELEASED, 0, ""),
        (Mark.WOOD_DRY, 12, "NECK 20"),
        (Mark.GLUED, 14, "NECK 30"),
        (Mark.CURED, 50, "BODY 60"),
        (Mark.ASSEMBLED, 60, "ASSEMBLY 10"),
        (Mark.TESTED, 66, "ASSEMBLY 40"),
        (Mark.FINISHED, 70, ""),
    ]
    again = [deed("ASSEMBLY", 40, "INSPECT", 68), deed("ASSEMBLY", 50, "INSPECT", 69)]
    assert (Mark.TESTED, 68, "ASSEMBLY 40") in marks(*WAY, *again)


def test_a_way_without_a_moment_leaves_it_out() -> None:
    assert marks(closed=0) == [(Mark.RELEASED, 0, ""), (Mark.FINISHED, 0, "")]
    only = [mark for mark, _, _ in marks(deed("NECK", 20, "HOLD", 3))]
    assert only == [Mark.RELEASED, Mark.CURED, Mark.FINISHED]


def test_the_legs_of_a_way_are_its_whole() -> None:
    # Wood from another instrument may have been dry before this one was released.
    early = deed("BODY", 20, "HOLD", -10)
    way = way_of(
        (early, *WAY[1:4]), released_at=make.MORNING, closed_at=make.MORNING + 90 * DAY
    )
    assert way[0].mark is Mark.WOOD_DRY
    assert [leg.took / DAY for leg in way] == [0, 10, 11, 39, 40]
    assert [leg.ends for leg in way] == pytest.approx([0, 0.1, 0.21, 0.6, 1])
    assert [leg.begins for leg in way[1:]] == [leg.ends for leg in way[:-1]]
