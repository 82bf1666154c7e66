"""Can a lead say where somebody qualified is asked for, and who is?"""

import logging
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from tests import make
from tests.desk import client, main_of, page_of, text_of
from travelers.floor.rules import Wish
from travelers.kit.refusals import Refused
from travelers.shop.actions import ask_for_skill, qualify, stop_asking
from travelers.shop.models import NeedsQualification, Person, Qualification, Stage
from travelers.shop.rules import Work

pytestmark = pytest.mark.django_db
HERE = "/qualifications/LUMBER/WORK/"


@pytest.fixture
def lead(shop: make.Shop) -> Client:
    return client(shop, "lead")


@pytest.fixture
def asked(shop: make.Shop) -> Stage:
    stage = Stage.objects.get(code="LUMBER")
    ask_for_skill(stage=stage, kind=Work.WORK, by=shop.cast.lead)
    return stage


def shown(opened: Client) -> dict[str, str]:
    """Give what the page's form would send if nothing were touched."""
    form = opened.get(HERE).context["form"]
    sent: dict[str, str] = {}
    for _, may, until in form.lines():
        sent[f"initial-{may.html_name}"] = str(may.initial)
        day = "" if until.initial is None else until.initial.isoformat()
        sent |= {f"initial-{until.html_name}": day, until.html_name: day}
        if may.initial:
            sent[may.html_name] = "on"
    return sent


def names() -> dict[str, str]:
    rows = Qualification.objects.select_related("person").order_by("pk")
    return {row.person.username: str(row.until or "") for row in rows}


def test_nothing_is_asked_for_until_somebody_says_so(lead: Client) -> None:
    assert "everybody may do everything" in text_of(lead.get("/qualifications/"))
    assert lead.get(HERE).status_code == 404


def test_what_is_asked_for_stands_still_until_somebody_may(
    shop: make.Shop, lead: Client
) -> None:
    answer = lead.post("/qualifications/", {"stage": "LUMBER", "kind": "WORK"})
    assert answer.url == HERE
    assert "Nobody: this work stands still." in main_of(lead.get("/qualifications/"))
    body = shop.part(shop.instrument(), "BODY")
    refusal = shop.scan(Wish.START, body).refusal
    assert refusal
    assert refusal.code == "floor.not_qualified"
    assert lead.post(HERE, shown(lead) | {"may-joiner": "on"}).url == "/qualifications/"
    assert shop.scan(Wish.START, body).accepted
    assert "Joiner Cast" in main_of(lead.get("/qualifications/"))
    assert "stands still" not in main_of(lead.get("/qualifications/"))


def test_asking_twice_asks_once(shop: make.Shop, asked: Stage) -> None:
    assert not ask_for_skill(stage=asked, kind=Work.WORK, by=shop.cast.lead)
    assert NeedsQualification.objects.count() == 1


@pytest.mark.parametrize(
    "typed", [{}, {"stage": "LUMBER"}, {"stage": "NOSUCH", "kind": "WORK"}]
)
def test_half_a_kind_of_work_is_asked_about(
    shop: make.Shop, lead: Client, typed: dict[str, str]
) -> None:
    assert lead.post("/qualifications/", typed).status_code == 422
    assert not NeedsQualification.objects.exists()


def test_a_day_is_kept_with_who_gave_it_and_shown_with_the_person(
    shop: make.Shop, lead: Client, asked: Stage, caplog: pytest.LogCaptureFixture
) -> None:
    until = timezone.localdate() + timedelta(days=90)
    with caplog.at_level(logging.WARNING):
        lead.post(
            HERE,
            shown(lead)
            | {"may-joiner": "on", "until-joiner": f"{until}", "may-finisher": "on"},
        )
    assert names() == {"joiner": str(until), "finisher": ""}
    row = Qualification.objects.get(person=shop.cast.joiner)
    assert row.given_by == shop.cast.lead
    assert row.given_at
    assert "skill given" in caplog.text
    day = f"{until.day} {until:%b %Y}"
    assert f"until {day}" in main_of(lead.get("/people/joiner/"))
    assert f"until {day}" in main_of(lead.get("/qualifications/"))


def test_a_day_without_a_tick_is_asked_about_and_what_was_typed_stays(
    lead: Client, asked: Stage
) -> None:
    typed = shown(lead) | {"may-finisher": "on", "until-joiner": "2099-01-31"}
    answer = lead.post(HERE, typed)
    assert answer.status_code == 422
    assert "Tick the name too, or take the day out." in text_of(answer)
    assert 'value="2099-01-31"' in text_of(answer)
    assert names() == {}


def test_taking_the_tick_out_takes_it_away(
    shop: make.Shop, lead: Client, asked: Stage
) -> None:
    give(shop, asked, "joiner", "finisher")
    typed = shown(lead)
    del typed["may-joiner"]
    lead.post(HERE, typed)
    assert names() == {"finisher": ""}


def test_two_leads_do_not_undo_each_other(
    shop: make.Shop, lead: Client, asked: Stage
) -> None:
    before = shown(lead)
    give(shop, asked, "finisher")
    lead.post(HERE, before | {"may-joiner": "on"})
    assert names() == {"finisher": "", "joiner": ""}


def test_who_stays_as_he_was_keeps_who_gave_it(
    shop: make.Shop, lead: Client, asked: Stage
) -> None:
    give(shop, asked, "joiner", by="admin")
    lead.post(HERE, shown(lead) | {"may-finisher": "on"})
    assert Qualification.objects.get(person=shop.cast.joiner).given_by == (
        shop.cast.admin
    )


def test_what_ran_out_is_named_and_no_longer_counts(
    shop: make.Shop, lead: Client, asked: Stage
) -> None:
    qualify(
        stage=asked,
        kind=Work.WORK,
        given={shop.cast.joiner: timezone.localdate() - timedelta(days=1)},
        taken=[],
        by=shop.cast.lead,
        at=shop.now,
    )
    need = page_of(lead.get("/qualifications/"))[0]
    assert ([*need.able], [one.username for one in need.lapsed]) == ([], ["joiner"])
    assert "ran out" in main_of(lead.get(HERE))


def test_who_left_is_not_offered_and_nobody_is_counted_who_cannot_come(
    shop: make.Shop, lead: Client, asked: Stage
) -> None:
    give(shop, asked, "joiner")
    Person.objects.filter(username="joiner").update(is_active=False)
    assert page_of(lead.get("/qualifications/"))[0].holders == ()
    offered = [one.username for one in page_of(lead.get(HERE)).people]
    assert "joiner" not in offered
    assert "outsider" not in offered
    assert "finisher" in offered


def test_asking_for_it_no_more_opens_the_work_and_keeps_the_names(
    shop: make.Shop, lead: Client, asked: Stage
) -> None:
    give(shop, asked, "finisher")
    lead.post(f"{HERE}stop/")
    assert shop.scan(Wish.START, shop.part(shop.instrument(), "BODY")).accepted
    assert names() == {"finisher": ""}
    assert lead.post(f"{HERE}stop/").status_code == 404


@pytest.mark.parametrize("who", ["joiner", "qa", "planner"])
def test_nobody_but_a_lead_or_an_admin_decides(
    shop: make.Shop, asked: Stage, who: str
) -> None:
    by = shop.cast.people[who]
    about = {"stage": asked, "kind": Work.WORK, "by": by}
    for verb in (
        lambda: ask_for_skill(**about),
        lambda: stop_asking(**about),
        lambda: qualify(**about, given={by: None}, taken=[], at=shop.now),
    ):
        with pytest.raises(Refused) as caught:
            verb()
        assert caught.value.refusal.code == "kit.not_your_role"
    assert names() == {}


def give(shop: make.Shop, stage: Stage, *who: str, by: str = "lead") -> None:
    qualify(
        stage=stage,
        kind=Work.WORK,
        given={shop.cast.people[name]: None for name in who},
        taken=[],
        by=shop.cast.people[by],
        at=shop.now,
    )
