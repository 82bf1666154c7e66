"""Is a gauge study measured by scan and keypad at its station, blind and once each?"""

import pytest

from tests import make
from tests.desk import client
from tests.floor.tablet import PIECE, Tablet, fields
from tests.shop.bench import Bench, give
from travelers.formulas import codes
from travelers.quality import queries
from travelers.quality.actions import (
    Planned,
    begin_study,
    call_study_off,
    number_study_part,
)
from travelers.quality.models import GaugeStudy, StudyValue
from travelers.quality.rules import Fitness, card_of
from travelers.routes.models import Characteristic
from travelers.shop.actions import find_gauge_bad

pytestmark = pytest.mark.django_db
STATION = "/station/CUTTER/study/"


@pytest.fixture
def shop() -> make.Shop:
    return make.shop()


@pytest.fixture
def study(shop: make.Shop) -> GaugeStudy:
    return begin(shop)


def begin(shop: make.Shop, code: str = "POCKET", gauge: str = "caliper") -> GaugeStudy:
    return begin_study(
        tag=shop.cast.gauges[gauge].tag,
        characteristic_id=Characteristic.objects.get(code=code).pk,
        planned=Planned(3, 2, 2),
        by=shop.cast.qa,
        at=shop.now,
    )


def bench(shop: make.Shop, study: GaugeStudy, who: str = "joiner") -> Tablet:
    return Tablet(shop, "CUTTER", by=who).open(f"{STATION}{study.pk}/")


def next_of(shop: make.Shop, study: GaugeStudy, who: str = "joiner") -> int:
    by = shop.cast.people[who]
    turn = queries.sitting_of(study=study, by=by, at=shop.now).next
    return turn.part if turn else 0


def title(screen: Tablet) -> str:
    return " ".join(screen.form("#study h1").get_text().split())


def scan(screen: Tablet, text: str) -> Tablet:
    return screen.submit(screen.form("[data-shop-scan]"), code=text)


def read(screen: Tablet, value: str, **more: str) -> Tablet:
    return screen.submit(screen.form("form.check"), value=value, **more)


def measure(shop: make.Shop, study: GaugeStudy, who: str, value: str) -> Tablet:
    screen = bench(shop, study, who)
    part = next_of(shop, study, who)
    return read(scan(screen, card_of(study.pk, part)), value)


# --- How one gets there


def test_the_gauges_tag_leads_to_its_study_and_so_does_the_studys_card(
    shop: make.Shop, study: GaugeStudy
) -> None:
    gauge, where = study.gauge, f"{STATION}{study.pk}/"
    screen = Tablet(shop, "CUTTER").open().scan(gauge.tag)
    assert "Study this gauge" in screen.page.get_text()
    assert screen.follow("Study this gauge").answer.headers["Location"] == where
    screen.open("/station/CUTTER/").scan(card_of(study.pk))
    assert screen.answer.headers["Location"].startswith(STATION)
    screen.open(screen.answer.headers["Location"])
    screen.open(screen.answer.headers["Location"])
    assert screen.url.startswith(where)
    assert title(screen) == f"Take part {next_of(shop, study)}"


def test_a_studys_card_that_is_scanned_by_a_phone_says_where_it_belongs(
    shop: make.Shop, study: GaugeStudy
) -> None:
    answer = client(shop, "joiner").get(f"/T/{card_of(study.pk, 1)}")
    assert answer.status_code == 404
    assert "beside a part of a gauge study" in answer.content.decode()


def test_two_studies_of_one_gauge_are_listed(
    shop: make.Shop, study: GaugeStudy
) -> None:
    begin(shop)
    screen = Tablet(shop, "CUTTER").open(STATION)
    assert len(screen.page.select(".study-list a")) == 2
    assert scan(screen, study.gauge.tag).status == 200
    assert len(screen.page.select(".study-list a")) == 2


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("GAUGE", "quality.study_none_here"),
        ("PART", "quality.study_no_gauge"),
        ("P000010G", "floor.code_misread"),
    ],
)
def test_what_leads_to_no_study_is_said(shop: make.Shop, text: str, code: str) -> None:
    named = {
        "GAUGE": lambda: shop.cast.gauges["caliper"].tag,
        "PART": lambda: shop.part(shop.instrument()).code,
    }
    screen = Tablet(shop, "CUTTER").open(STATION)
    scan(screen, named[text]() if text in named else text)
    assert screen.status >= 400
    assert code in screen.page.get_text()


def test_a_study_is_measured_where_its_check_is_made(
    shop: make.Shop, study: GaugeStudy
) -> None:
    screen = Tablet(shop, "SAW").open(f"/station/SAW/study/{study.pk}/")
    assert screen.status == 409
    assert "measured where Machine is done" in screen.page.get_text()
    assert (
        not Tablet(shop, "SAW").open("/station/SAW/study/").page.select(".study-list a")
    )


def test_a_tablet_opens_the_studies_of_its_own_station(
    shop: make.Shop, study: GaugeStudy
) -> None:
    badges = give(shop)
    at_saw = Bench(shop)
    at_saw.badge(badges["joiner"])
    assert at_saw.get("/station/SAW/study/").status_code == 200
    answer = at_saw.get(f"{STATION}{study.pk}/")
    assert answer.status_code == 403
    assert "This tablet belongs to Saw" in answer.content.decode()


def test_a_badge_in_an_address_is_taken_out_at_once(
    shop: make.Shop, study: GaugeStudy
) -> None:
    badge = give(shop)["finisher"]
    for where in (STATION, f"{STATION}{study.pk}/"):
        at_cutter = client(shop, "joiner")
        assert at_cutter.get(where, {"code": badge}).headers["Location"] == where
        assert "Tap your name above" in at_cutter.get(where).content.decode()
    assert client(shop, "joiner").get("/station/%00/study/").status_code == 404


# --- Part after part


def test_a_part_is_scanned_and_its_value_typed_and_never_shown_again(
    shop: make.Shop, study: GaugeStudy
) -> None:
    part = next_of(shop, study)
    screen = bench(shop, study)
    assert title(screen) == f"Take part {part}"
    scan(screen, card_of(study.pk, part))
    assert title(screen) == f"Measure part {part}"
    read(screen, "56,12")
    assert f"Part {part} is taken." in screen.page.get_text()
    assert "1 of your 6 are in" in " ".join(screen.page.get_text(" ").split())
    assert title(screen) == f"Take part {next_of(shop, study)}"
    kept = StudyValue.objects.get()
    assert (kept.person, kept.part, str(kept.value)) == (
        shop.cast.joiner,
        part,
        "56.1200",
    )
    for shown in (screen, screen.open(f"{STATION}{study.pk}/")):
        assert not any(text in shown.page.prettify() for text in ("56.12", "56,12"))


def test_the_number_can_be_typed_or_touched_and_the_tag_be_a_travelers(
    shop: make.Shop, study: GaugeStudy
) -> None:
    bodies = [shop.part(one) for one in shop.instruments(3)]
    for body in bodies:
        number_study_part(number=study.pk, code=body.code, by=shop.cast.qa, at=shop.now)
    part = next_of(shop, study)
    screen = bench(shop, study)
    assert bodies[part - 1].instrument.serial in screen.page.get_text()
    scan(screen, bodies[part - 1].code)
    assert title(screen) == f"Measure part {part}"
    scan(screen, str(part))
    assert title(screen) == f"Measure part {part}"
    touched = screen.follow("Back").page.select_one(f"[data-shop-part='{part}']")
    assert touched
    assert title(screen.open(str(touched["href"]))) == f"Measure part {part}"


def test_an_odd_value_is_asked_again_and_nothing_is_taken(
    shop: make.Shop, study: GaugeStudy
) -> None:
    screen = bench(shop, study)
    part = next_of(shop, study)
    scan(screen, card_of(study.pk, part))
    for typed, code in [
        ("wide", "floor.value_not_a_number"),
        ("", "floor.value_empty"),
        ("1,234.5", "floor.value_two_marks"),
        ("561", "floor.value_doubted"),
        ("56.1 kg", "floor.value_other_unit"),
    ]:
        read(screen, typed)
        assert screen.status in (409, 422)
        assert code in screen.page.get_text()
        assert screen.form("#value")["value"] == typed
        assert title(screen) == f"Measure part {part}"
    assert not StudyValue.objects.exists()
    read(screen, "561")
    said = screen.page.select_one("[name=instead]")
    assert said
    screen.submit(screen.form("form.check"), instead=str(said["value"]))
    assert str(StudyValue.objects.get().value) == "56.1000"


def test_a_value_that_is_far_off_and_meant_is_taken(
    shop: make.Shop, study: GaugeStudy
) -> None:
    screen = bench(shop, study)
    scan(screen, card_of(study.pk, next_of(shop, study)))
    read(screen, "561", confirm="561")
    assert StudyValue.objects.get().value == 561


def test_the_keys_show_no_limits(shop: make.Shop, study: GaugeStudy) -> None:
    screen = scan(bench(shop, study), card_of(study.pk, next_of(shop, study)))
    assert not screen.page.select("svg.limits")
    assert "56.20" not in screen.page.get_text()


def test_the_last_value_goes_back_at_one_press(
    shop: make.Shop, study: GaugeStudy
) -> None:
    part = next_of(shop, study)
    screen = measure(shop, study, "joiner", "56.9")
    screen.submit(screen.form(".study-back"))
    assert f"Measure part {part} again." in screen.page.get_text()
    assert title(screen) == f"Take part {part}"
    assert not screen.page.select(".study-back")
    assert StudyValue.objects.get().taken_back_at


def test_the_same_press_sent_again_is_answered_as_before(
    shop: make.Shop, study: GaugeStudy
) -> None:
    part = next_of(shop, study)
    screen = scan(bench(shop, study), card_of(study.pk, part))
    form = screen.form("form.check")
    sent = fields(form) | {"value": "56.1"}
    for _ in range(2):
        screen.submit(form, **sent)
        assert f"Part {part} is taken." in screen.page.get_text()
    assert StudyValue.objects.count() == 1


def test_a_small_study_ends_in_a_word(shop: make.Shop, study: GaugeStudy) -> None:
    for who, more in (("joiner", 0.0), ("finisher", 0.001)):
        while part := next_of(shop, study, who):
            screen = measure(shop, study, who, f"{56 + 0.05 * part + more:.3f}")
    result = queries.study_page(number=study.pk).result
    assert result.fitness is Fitness.GOOD
    assert title(screen) == "The gauge is good for this tolerance"
    pct = f"{result.study.tolerance_pct.gauge:.1f} % of the tolerance"
    assert pct in screen.page.get_text()
    assert "quality.study_closed" in scan(screen, "1").page.get_text()


def test_the_swap_is_what_a_reload_shows(shop: make.Shop, study: GaugeStudy) -> None:
    code = card_of(study.pk, next_of(shop, study))
    where = f"{STATION}{study.pk}/?code={code}"
    whole = Tablet(shop, "CUTTER").open(where)
    headers = PIECE | {"HX-Target": "study"}
    piece = Tablet(shop, "CUTTER", headers=headers).open(where)
    for page in (whole.page, piece.page):
        for token in page.select("[name=csrfmiddlewaretoken], [name=event_id]"):
            token["value"] = ""
    assert whole.page.select_one("#study").decode() == piece.page.decode().strip()


# --- What is refused


def scanned(shop: make.Shop, study: GaugeStudy) -> dict[str, str]:
    other = next(n for n in (1, 2, 3) if n != next_of(shop, study))
    return {
        "quality.study_other_part": card_of(study.pk, other),
        "quality.study_no_such_part": "31",
        "quality.study_not_its_part": shop.part(shop.instrument()).code,
        "quality.study_other_card": card_of(study.pk + 1, 1),
        "quality.study_other_gauge": shop.cast.gauges["meter"].tag,
        "floor.unknown_code": codes.make(9_999),
    }


def test_what_is_not_next_is_refused_with_the_way_on(
    shop: make.Shop, study: GaugeStudy
) -> None:
    for code, text in scanned(shop, study).items():
        screen = scan(bench(shop, study), text)
        assert screen.status >= 400, code
        assert code in screen.page.get_text()
        assert not screen.page.select("form.check")


def test_the_same_part_twice_in_a_round_is_refused(
    shop: make.Shop, study: GaugeStudy
) -> None:
    first = next_of(shop, study)
    screen = measure(shop, study, "joiner", "56.1")
    scan(screen, card_of(study.pk, first))
    wanted = f"Put it back and take part {next_of(shop, study)}."
    assert wanted in screen.page.get_text()


def test_the_studys_own_gauge_is_the_right_one(
    shop: make.Shop, study: GaugeStudy
) -> None:
    screen = scan(bench(shop, study), study.gauge.tag)
    assert screen.status == 200
    assert title(screen) == f"Take part {next_of(shop, study)}"


def test_a_third_person_and_a_bad_gauge_and_a_closed_study_are_refused(
    shop: make.Shop, study: GaugeStudy
) -> None:
    begun = scan(bench(shop, study), card_of(study.pk, next_of(shop, study)))
    measure(shop, study, "finisher", "56.1")
    measure(shop, study, "lead", "56.1")
    read(begun, "56.1")
    assert begun.status == 409
    assert "quality.study_full" in begun.page.get_text()
    assert not bench(shop, study).page.select("[data-shop-part]")
    gauge = study.gauge
    find_gauge_bad(
        tag=gauge.tag, good_until_on=gauge.calibrated_on, reason="dropped",
        by=shop.cast.qa, at=shop.now,
    )  # fmt: skip
    assert "Put it aside and tell QA" in bench(shop, study, "lead").page.get_text()
    call_study_off(number=study.pk, reason="bad", by=shop.cast.qa, at=shop.now)
    assert "This study is closed" in bench(shop, study, "lead").page.get_text()
    assert StudyValue.objects.count() == 2


def test_what_is_no_press_is_refused(shop: make.Shop, study: GaugeStudy) -> None:
    screen = bench(shop, study)
    for sent in ({"part": 1, "value": "56.1"}, {"back": "x"}):
        assert screen.client.post(screen.url, sent).status_code == 422
    assert not StudyValue.objects.exists()
