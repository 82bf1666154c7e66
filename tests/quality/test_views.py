"""Can a defect be reported with a few touches, and decided at a desk?"""

import re
from collections.abc import Callable
from uuid import uuid4
from xml.etree import ElementTree

import pytest
from django.test import Client
from django.urls import reverse

from tests import make
from tests.cast import PASSWORD
from tests.floor import story
from tests.standing import kept
from travelers.floor.models import Event, Hold
from travelers.floor.rules import Wish
from travelers.orders.models import Instrument, Step
from travelers.quality.models import Defect, Disposition
from travelers.quality.rules import Severity
from travelers.routes.models import Operation

pytestmark = [pytest.mark.django_db, pytest.mark.once]

SignIn = Callable[[str], Client]


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


@kept
def step(shop: make.Shop) -> Step:
    """Give a body's step at the cutter that has been started."""
    body = shop.part(shop.instrument())
    shop.work(body, until="Machine")
    step = shop.step_of(body)
    assert step
    shop.must(Wish.START, step)
    return step


@pytest.fixture
def sign_in(shop: make.Shop) -> SignIn:
    def as_person(name: str) -> Client:
        client = Client()
        assert client.login(username=name, password=PASSWORD)
        return client

    return as_person


def said(step_: Step, **other: str) -> dict[str, str]:
    return {
        "step": str(step_.pk),
        "station": "CUTTER",
        "event_id": str(uuid4()),
        "kind": "TEAR_OUT",
        "severity": "MAJOR",
        "x": "0.412",
        "y": "0.250",
        "note": "",
        **other,
    }


def inputs(page: str) -> dict[str, str]:
    """Read the hidden fields of the form that records."""
    form = page.split('id="found"')[1].split("</form>")[0]
    return dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))


def test_without_any_script_a_touch_and_three_choices_record_a_defect(
    step: Step, sign_in: SignIn
) -> None:
    client = sign_in("joiner")
    where = {"step": step.pk, "station": "CUTTER"}
    first = client.get(reverse("quality:report"), where).content.decode()
    picture = re.search(r'<input type="image"[^>]*src="([^"]*)"', first)
    assert picture
    assert client.get(picture[1])["Content-Type"] == "image/svg+xml"
    size = dict(re.findall(r'name="(wide|high)" value="(\d+)"', first))
    assert size == {"wide": "720", "high": "504"}
    touched = {**where, **size, "place.x": 180, "place.y": 378}
    second = client.get(reverse("quality:report"), touched).content.decode()
    fields = inputs(second)
    assert (fields["x"], fields["y"]) == ("0.250", "0.750")
    assert "?x=0.250&amp;y=0.750" in second
    fields |= {"kind": "TEAR_OUT", "severity": "MINOR"}
    answer = client.post(reverse("quality:report"), fields)
    there = reverse("floor:station", kwargs={"code": "CUTTER"})
    assert (answer.status_code, answer["Location"]) == (
        302,
        f"{there}?code={step.part.code}",
    )
    defect = Defect.objects.get()
    assert (defect.kind.code, defect.severity) == ("TEAR_OUT", "MINOR")
    assert (str(defect.x), str(defect.y)) == ("0.250", "0.750")
    assert str(defect.event.event_id) == fields["event_id"]
    again = client.post(reverse("quality:report"), fields)
    assert (again.status_code, Defect.objects.count()) == (302, 1)


@pytest.mark.twice
def test_only_the_kinds_of_this_stage_and_part_are_offered_most_frequent_first(
    shop: make.Shop, sign_in: SignIn
) -> None:
    body = shop.part(shop.instrument())
    shop.work(body, until="Lacquer")
    step = shop.step_of(body)
    assert step
    sag = make.DefectKind.objects.create(code="A_SAG", name="a sag", usual="REWORK")
    sag.stages.add(step.stage)
    make.DefectBranch.objects.create(kind=sag, branch="BODY")

    def offered() -> list[str]:
        page = sign_in("finisher").get(
            reverse("quality:report"), {"step": step.pk, "x": "0.5", "y": "0.5"}
        )
        return re.findall(r'name="kind" value="(\w+)"', page.content.decode())

    assert offered() == ["A_SAG", "RUN"]
    story.report(shop, step, "RUN")
    assert offered() == ["RUN", "A_SAG"]


@pytest.mark.parametrize(
    ("given", "place"),
    [
        (
            {"place.x": "72", "place.y": "252", "wide": "720", "high": "504"},
            "0.100 0.500",
        ),
        ({"place.x": "0", "place.y": "0", "wide": "720", "high": "504"}, "0.5 0.5"),
        (
            {"place.x": "999", "place.y": "-9", "wide": "720", "high": "504"},
            "1.000 0.000",
        ),
        ({"x": "0.95", "y": "0.02"}, "0.950 0.020"),
        ({"place.x": "9", "place.y": "9", "wide": "0", "high": "0"}, ""),
        ({"place.x": "9", "place.y": "9"}, ""),
        ({"x": "NaN", "y": "0.5"}, ""),
        ({"x": "1e999999", "y": "0.5"}, "1.000 0.500"),
        ({"x": "left", "y": "0.5"}, ""),
    ],
)
def test_a_touched_place_is_read_or_asked_for_again(
    step: Step, sign_in: SignIn, given: dict[str, str], place: str
) -> None:
    """A picture pressed by the keyboard sends 0, 0: the mark stands in the middle."""
    page = sign_in("joiner").get(
        reverse("quality:report"), {"step": step.pk, "station": "CUTTER", **given}
    )
    assert page.status_code == 200
    text = page.content.decode()
    if place:
        assert " ".join(inputs(text)[axis] for axis in "xy") == place
    else:
        assert 'id="found"' not in text


def test_at_a_desk_one_comes_back_to_the_instrument(
    step: Step, sign_in: SignIn
) -> None:
    answer = sign_in("qa").post(reverse("quality:report"), said(step, station=""))
    serial = step.instrument.serial
    assert answer["Location"] == reverse("floor:instrument", kwargs={"serial": serial})


@pytest.mark.parametrize(
    ("change", "status", "code"),
    [
        ({"kind": "RUN"}, 422, "quality.kind_not_here"),
        ({"kind": ""}, 422, "kit.form_wrong"),
        ({"severity": "AWFUL"}, 422, "kit.form_wrong"),
        ({"x": "1.2"}, 422, "kit.form_wrong"),
        ({"x": "NaN"}, 422, "kit.form_wrong"),
        ({"event_id": "again"}, 422, "kit.form_wrong"),
        ({"step": "999999"}, 422, "quality.kind_not_here"),
        ({"step": "none"}, 404, "kit.not_found"),
    ],
)
def test_what_cannot_be_recorded_says_why_and_records_nothing(
    step: Step, sign_in: SignIn, change: dict[str, str], status: int, code: str
) -> None:
    answer = sign_in("joiner").post(reverse("quality:report"), said(step, **change))
    assert (answer.status_code, code in answer.content.decode()) == (status, True)
    assert not Defect.objects.exists()
    assert not Event.objects.filter(kind="DEFECT").exists()


def test_a_refused_report_keeps_what_was_chosen(
    shop: make.Shop, step: Step, sign_in: SignIn
) -> None:
    Instrument.objects.update(state="FINISHED", closed_at=shop.now)
    chosen = said(step, severity="STOP", note="deep & wide")
    answer = sign_in("joiner").post(reverse("quality:report"), chosen)
    text = answer.content.decode()
    assert answer.status_code == 409
    assert "floor.closed" in text
    assert re.search(r'value="TEAR_OUT" required checked', text)
    assert re.search(r'value="STOP" required checked', text)
    assert 'value="deep &amp; wide"' in text
    assert inputs(text)["event_id"] != chosen["event_id"]


@pytest.mark.parametrize("part", ["body", "neck", "electronics", "instrument"])
@pytest.mark.parametrize("shape", ["solid", "semi_hollow"])
def test_every_outline_is_a_picture_of_its_own(
    sign_in: SignIn, part: str, shape: str
) -> None:
    address = reverse("quality:outline", kwargs={"part": part, "shape": shape})
    client = sign_in("joiner")
    plain, marked = client.get(address), client.get(address, {"x": "0.3", "y": "0.6"})
    root = ElementTree.fromstring(plain.content)  # noqa: S314 - our own drawing
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert (root.get("width"), root.get("height")) == ("1000", "700")
    assert marked.content.count(b"outline-place") == 1
    assert plain.content.count(b"outline-place") == 0


@pytest.mark.parametrize(("part", "shape"), [("lid", "solid"), ("body", "round")])
def test_an_outline_that_is_not_drawn_is_not_found(
    sign_in: SignIn, part: str, shape: str
) -> None:
    address = reverse("quality:outline", kwargs={"part": part, "shape": shape})
    assert sign_in("joiner").get(address).status_code == 404


@pytest.mark.twice
def test_the_list_shows_open_ones_first(
    shop: make.Shop, step: Step, sign_in: SignIn
) -> None:
    first = story.report(shop, step, "TEAR_OUT")
    second = story.report(shop, step, "TEAR_OUT", Severity.STOP)
    decided = {"decision": "USE_AS_IS", "reason": "hidden by the plate"}
    address = reverse("quality:defect", kwargs={"number": first.pk})
    assert sign_in("qa").post(address, decided).status_code == 302
    page = sign_in("planner").get(reverse("quality:defects"))
    text = page.content.decode()
    links = re.findall(r'href="/quality/defects/(\d+)/"', text)
    assert links == [str(second.pk), str(first.pk)]
    shown, kept = text.split(
        "Nothing waits" if "Nothing waits" in text else "Decided</h2>"
    )
    assert ("stop" in shown, "use as is" in kept) == (True, True)


def test_the_list_of_decided_ones_has_pages(
    shop: make.Shop, step: Step, sign_in: SignIn, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("travelers.quality.queries.defects.DECIDED_SHOWN", 2)
    client = sign_in("qa")
    numbers = [story.report(shop, step, "TEAR_OUT").pk for _ in range(5)]
    for number in numbers:
        client.post(
            reverse("quality:defect", kwargs={"number": number}),
            {"decision": "USE_AS_IS", "reason": "fine"},
        )
    seen: list[int] = []
    address = reverse("quality:defects")
    while address:
        text = client.get(address).content.decode()
        seen += map(int, re.findall(r'href="/quality/defects/(\d+)/"', text))
        older = re.search(r'href="(\?before=\d+)"', text)
        address = reverse("quality:defects") + older[1] if older else ""
    assert seen == numbers[::-1]


def test_qa_sends_a_part_back(shop: make.Shop, step: Step, sign_in: SignIn) -> None:
    defect = story.report(shop, step, "TEAR_OUT", Severity.STOP)
    address = reverse("quality:defect", kwargs={"number": defect.pk})
    client = sign_in("qa")
    page = client.get(address).content.decode()
    assert "the part is held until it is decided" in page
    ways = re.findall(r'<option value="(\d+)">([^<]*)', page)
    assert [name for _, name in ways] == ["10 Saw", "20 Dry", "30 Glue", "40 Machine"]
    glue = Operation.objects.get(name="Glue")
    answer = client.post(
        address, {"decision": "REWORK", "from_operation": glue.pk, "reason": "re-glue"}
    )
    assert (answer.status_code, answer["Location"]) == (302, address)
    after = client.get(address).content.decode()
    assert ("re-glue" in after, "<form method" in after.split("<main")[1]) == (
        True,
        False,
    )
    again = Step.objects.filter(part=step.part, turn=1).order_by("position")
    assert [each.operation.name for each in again] == ["Glue", "Machine"]
    assert not Hold.objects.filter(lifted=None).exists()


@pytest.mark.twice
@pytest.mark.parametrize(
    ("decision", "reason", "mark"),
    [
        ("REWORK", "re-glue", "Say where the rework begins."),
        ("USE_AS_IS", "", "required"),
        ("", "fine", "required"),
        ("BURN", "fine", "Select a valid choice"),
    ],
)
def test_an_incomplete_decision_is_shown_again(
    shop: make.Shop, step: Step, sign_in: SignIn, decision: str, reason: str, mark: str
) -> None:
    defect = story.report(shop, step, "TEAR_OUT")
    address = reverse("quality:defect", kwargs={"number": defect.pk})
    answer = sign_in("qa").post(address, {"decision": decision, "reason": reason})
    assert (answer.status_code, mark in answer.content.decode()) == (422, True)
    assert not Disposition.objects.exists()


@pytest.mark.twice
def test_a_second_decision_hears_of_the_first(
    shop: make.Shop, step: Step, sign_in: SignIn
) -> None:
    defect = story.report(shop, step, "TEAR_OUT")
    address = reverse("quality:defect", kwargs={"number": defect.pk})
    form = {"decision": "USE_AS_IS", "reason": "fine"}
    assert sign_in("qa").post(address, form).status_code == 302
    answer = sign_in("qa").post(address, form)
    assert answer.status_code == 409
    assert "quality.already_decided" in answer.content.decode()


def test_the_floor_finds_a_defect_by_its_event(
    shop: make.Shop, step: Step, sign_in: SignIn
) -> None:
    defect = story.report(shop, step, "TEAR_OUT")
    client = sign_in("joiner")
    address = reverse("quality:defect", args=[defect.event.event_id])
    assert client.get(address)["Location"] == reverse(
        "quality:defect", args=[defect.pk]
    )
    lost = client.get(reverse("quality:defect", args=[uuid4()]))
    assert lost.status_code == 404


# Who may do what; everybody else gets 403.
MAY = {
    "report": {"joiner", "finisher", "lead", "qa", "admin"},
    "read": {"joiner", "finisher", "lead", "qa", "planner", "admin"},
    "decide": {"qa"},
}


@pytest.mark.parametrize(
    "who",
    ["joiner", "finisher", "lead", "planner", "qa", "engineer", "admin", "outsider"],
)
def test_everybody_does_what_is_theirs_and_no_more(
    shop: make.Shop, step: Step, sign_in: SignIn, who: str
) -> None:
    defect = story.report(shop, step, "TEAR_OUT")
    client = sign_in(who)
    one = reverse("quality:defect", kwargs={"number": defect.pk})
    picture = reverse("quality:outline", kwargs={"part": "body", "shape": "solid"})
    decision = {"decision": "USE_AS_IS", "reason": "fine"}
    reads = [
        client.get(address).status_code
        for address in (one, reverse("quality:defects"), picture)
    ]
    report = client.get(reverse("quality:report"), {"step": step.pk}).status_code
    decides = client.post(one, decision).status_code
    assert reads == [200 if who in MAY["read"] else 403] * 3
    assert report == (200 if who in MAY["report"] else 403)
    assert decides == (302 if who in MAY["decide"] else 403)
    assert Disposition.objects.count() == int(who in MAY["decide"])


def test_nobody_gets_in_without_signing_in(step: Step) -> None:
    for name, arguments in (
        ("report", {}),
        ("defects", {}),
        ("defect", {"number": 1}),
        ("outline", {"part": "body", "shape": "solid"}),
    ):
        answer = Client().get(reverse(f"quality:{name}", kwargs=arguments))
        assert answer.status_code == 302
        assert answer["Location"].startswith(reverse("shop:sign_in"))
