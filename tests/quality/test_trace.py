"""Does a trace find all that came of a thing, all that it came of, and no more?

The ledger is read here a second time, by nothing but its own rows, into a graph of
networkx, whose breadth-first search is the independent answer.
"""

from collections.abc import Iterator
from contextlib import suppress
from datetime import date
from random import Random
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

import networkx
import pytest
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests import make
from tests.drill.size import sized
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.formulas import codes
from travelers.kit.refusals import Refused
from travelers.lumber.models import MoistureReading, Plank, PlankSet
from travelers.orders.models import Instrument, Part, Step
from travelers.quality import queries, rules
from travelers.quality.models import Defect
from travelers.quality.queries.trace import Edges
from travelers.quality.rules import Kind, Thing, walk
from travelers.routes.models import DefectKind, MaterialNeed
from travelers.shop.actions import change_cutter
from travelers.shop.models import Cutter

pytestmark = pytest.mark.django_db

ZONE = ZoneInfo("Europe/Madrid")
CUTTERS = ("SAW", "CUTTER", "BOOTH")
WORK = ("START", "FINISH", "LOAD", "TAKE_OUT", "READ", "MATE", "USE")


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


def thing(kind: Kind, own: object) -> Thing:
    return Thing(kind, str(own))


def ledger() -> "networkx.DiGraph[Thing]":
    """Read all edges from the ledger and the rows that no scan changes."""
    web: networkx.DiGraph[Thing] = networkx.DiGraph()
    for plank in Plank.objects.all():
        web.add_edge(
            thing(Kind.DELIVERY, plank.delivery_id), thing(Kind.PLANK, plank.pk)
        )
    for one in PlankSet.objects.all():
        web.add_edge(thing(Kind.PLANK, one.plank_id), thing(Kind.PLANK_SET, one.pk))
    for part in Part.objects.all():
        own = thing(Kind.PART, part.pk)
        web.add_edge(own, thing(Kind.INSTRUMENT, part.instrument_id))
        if part.plank_set_id:
            web.add_edge(thing(Kind.PLANK_SET, part.plank_set_id), own)
    for row in MoistureReading.objects.exclude(gauge=None):
        web.add_edge(
            thing(Kind.GAUGE, row.gauge_id),
            thing(Kind.PLANK_SET, row.piece.plank_set_id),
        )
    for defect in Defect.objects.all():
        web.add_edge(thing(Kind.DEFECT, defect.pk), thing(Kind.PART, defect.part_id))
    web.add_edges_from(scanned())
    return web


def scanned() -> Iterator[tuple[Thing, Thing]]:
    """Give the edges that the accepted events tell of, without what was undone."""
    events = list(Event.objects.filter(accepted=True).order_by("seq"))
    undone = {event.corrects_id for event in events if event.kind == "UNDO"}
    standing = [event for event in events if event.seq not in undone]
    for event in standing:
        if event.kind in WORK:
            yield from touched(event)
    finished = {event.step_id for event in standing if event.kind == "FINISH"}
    for event in standing:
        if event.kind == "MATE" and event.step_id in finished:
            mate = Part.objects.filter(code=event.data["mate"]).first()
            if mate and mate.pk != event.part_id:
                yield thing(Kind.PART, mate.pk), thing(Kind.PART, event.part_id)


def touched(event: Event) -> Iterator[tuple[Thing, Thing]]:
    """Say what touched a part when it was scanned."""
    part = thing(Kind.PART, event.part_id)
    if event.station_id:
        day = event.happened_at.astimezone(ZONE).date()
        yield thing(Kind.STATION_DAY, f"{event.station_id}.{day}"), part
    if event.data.get("load"):
        yield thing(Kind.LOAD, event.data["load"]), part
    for reading in event.data.get("readings", ()):
        if reading["gauge"]:
            yield thing(Kind.GAUGE, reading["gauge"]), part
    yield from made_with(event, part)


def made_with(event: Event, part: Thing) -> Iterator[tuple[Thing, Thing]]:
    """Say with which batches, pieces and cutters a part was made."""
    for use in event.data.get("uses", ()):
        if use["batch"]:
            yield thing(Kind.BATCH, use["batch"]), part
        else:
            material = MaterialNeed.objects.get(pk=use["need"]).material_id
            yield thing(Kind.SERIAL, f"{material}.{use['serial']}"), part
    if event.kind in ("START", "FINISH"):
        for cutter in Cutter.objects.filter(station=event.station_id):
            after = cutter.mounted_at <= event.happened_at
            ended = cutter.taken_off_at
            if after and (ended is None or event.happened_at < ended):
                yield thing(Kind.CUTTER, cutter.pk), part


def sources(web: "networkx.DiGraph[Thing]", start: Thing) -> set[Thing]:
    """Give what a thing came of; no part came of the defects that it has."""
    if start.kind is Kind.DEFECT:
        (part,) = web.successors(start)
        return {part, *sources(web, part)}
    before: set[Thing] = networkx.ancestors(web, start)
    return {one for one in before if one.kind is not Kind.DEFECT}


class Life:
    """A workshop whose next move is drawn: a step, an undo, a batch, a cutter."""

    def __init__(self, shop: make.Shop, chance: Random) -> None:
        self.shop, self.chance = shop, chance
        self.load, self.cutters = str(uuid4()), 0
        shop.instruments(2)

    def go(self) -> None:
        rare = ["undo", "defect", "new load", "batch", "cutter"]
        how = self.chance.choice(["step"] * 10 + rare)
        if how == "new load":
            self.load = str(uuid4())
        elif how == "batch":
            place = self.chance.choice(["CLAMPS", "BOOTH", "BENCH"])
            kind = self.chance.choice(["GLUE", "LACQUER"])
            self.shop.bring(self.shop.batch(kind), place)
        elif how == "cutter":
            self.mount()
        elif how == "undo":
            self.undo()
        else:
            steps = Step.objects.filter(state__in=["READY", "RUNNING", "DWELLING"])
            if not steps:
                return
            step = self.chance.choice(list(steps.order_by("pk")))
            if how == "defect":
                self.find_fault(step)
            elif step.operation.kind == "HOLD" and step.state == "READY":
                self.shop.later(hours=5)
                self.shop.scan(Wish.LOAD, step.part, step=step, load=self.load)
            else:
                # What is refused is in the ledger too, and leaves no trace.
                with suppress(AssertionError):
                    self.shop.do(step)

    def mount(self) -> None:
        self.shop.later(minutes=1)
        self.cutters += 1
        change_cutter(
            station_id=self.shop.cast.stations[self.chance.choice(CUTTERS)].pk,
            head=self.chance.choice(["left", "right"]),
            number=f"C{self.cutters}",
            life_parts=3,
            by=self.shop.cast.joiner,
            at=self.shop.now,
        )

    def undo(self) -> None:
        last = Event.objects.filter(accepted=True, kind__in=WORK).order_by("-seq")
        event = last.first()
        if event and not Event.objects.filter(corrects=event).exists():
            part = Part.objects.get(pk=event.part_id or 0)
            step = Step.objects.get(pk=event.step_id or 0)
            self.shop.scan(
                Wish.UNDO,
                part,
                step=step,
                by=event.person.username,
                event=str(event.event_id),
            )

    def find_fault(self, step: Step) -> None:
        kind = DefectKind.objects.first()
        assert kind
        verdict = self.shop.scan(
            Wish.DEFECT, step.part, step=step, kind=kind.code, x="0.5", y="0.5"
        )
        if verdict.accepted:
            Defect.objects.create(
                event_id=verdict.seq,
                part=step.part,
                step=step,
                kind=kind,
                severity="MINOR",
                x="0.5",
                y="0.5",
            )


@settings(
    max_examples=sized(6, 60),
    deadline=None,
    suppress_health_check=[
        HealthCheck.function_scoped_fixture,
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
    ],
)
@given(seed=st.integers(0, 2**32), moves=st.integers(4, 60))
def test_a_trace_is_the_breadth_first_search_of_the_ledger(
    seed: int, moves: int
) -> None:
    with transaction.atomic():
        life = Life(make.shop(uses=True), Random(seed))
        for _ in range(moves):
            life.go()
        web, edges = ledger(), Edges(zone=ZONE)
        for start in web:
            down = set(walk(start, edges.down).found)
            assert down == networkx.descendants(web, start)
            assert set(walk(start, edges.up).found) == sources(web, start)
        transaction.set_rollback(True)


def joined(shop: make.Shop) -> Instrument:
    """Give an instrument whose neck is in its body."""
    one = shop.instrument()
    for branch in ("BODY", "NECK", "ELECTRONICS"):
        shop.work(shop.part(one, branch))
    shop.work(shop.part(one, "ASSEMBLY"), until="Test play")
    return one


def test_a_fault_of_the_whole_is_traced_to_each_plank(shop: make.Shop) -> None:
    one = joined(shop)
    whole = shop.part(one, "ASSEMBLY")
    web = walk(thing(Kind.PART, whole.pk), Edges(zone=ZONE).up)
    planks = {str(shop.part(one, b).plank_set.plank_id) for b in ("BODY", "NECK")}
    assert {one.id for one in web.of(Kind.PLANK)} == planks


def test_what_was_taken_back_leaves_no_trace(shop: make.Shop) -> None:
    body = shop.part(shop.instrument())
    step = shop.step_of(body)
    assert step
    begun = shop.must(Wish.START, step)
    up = Edges(zone=ZONE).up
    before = walk(thing(Kind.PART, body.pk), up)
    event = Event.objects.get(seq=begun.seq)
    undone = shop.scan(
        Wish.UNDO, body, step=step, by=event.person.username, event=str(event.event_id)
    )
    assert undone.accepted
    after = walk(thing(Kind.PART, body.pk), up)
    assert before.of(Kind.STATION_DAY)
    assert not after.of(Kind.STATION_DAY)


def page(shop: make.Shop, kind: str, key: str, **said: Any) -> Any:
    client = Client()
    client.force_login(shop.cast.qa)
    return client.get(f"/quality/trace/{kind}/{key}/", said)


def test_a_plank_shows_where_all_of_it_is(shop: make.Shop) -> None:
    one = joined(shop)
    plank = shop.part(one, "NECK").plank_set.plank
    said = page(shop, "plank", plank.number).content.decode()
    assert one.serial in said
    assert plank.delivery.number in said
    shown = queries.trace_page(
        kind="plank", key=plank.number, leaf=1, since=None, zone=ZONE
    )
    assert (shown.counts.open, shown.counts.finished, shown.counts.held) == (1, 0, 0)
    assert [part.name for part in shown.touched[0].through] == ["NECK", "ASSEMBLY"]


def test_a_gauge_is_traced_since_it_was_known_to_be_good(shop: make.Shop) -> None:
    one = shop.instrument()
    shop.work(shop.part(one), until="Lacquer")
    caliper = shop.cast.gauges["caliper"]

    def found(since: date | None) -> int:
        return queries.trace_page(
            kind="gauge", key=caliper.tag, leaf=1, since=since, zone=ZONE
        ).counts.instruments

    assert caliper.calibrated_on < shop.now.date()
    assert found(None) == 1
    assert found(shop.now.date().replace(year=shop.now.year + 1)) == 0


@pytest.mark.parametrize("how", ["serial", "lower", "tag", "label", "set", "plank"])
def test_one_field_finds_what_was_scanned_or_typed(shop: make.Shop, how: str) -> None:
    one = shop.instrument()
    body = shop.part(one)
    wood = body.plank_set
    asked, kind, key = {
        "serial": (one.serial, "instrument", one.serial),
        "lower": (one.serial.lower(), "instrument", one.serial),
        "tag": (codes.grouped(body.code), "part", body.code),
        "label": (wood.pieces.order_by("letter")[0].code, "plank_set", wood.number),
        "set": (wood.number, "plank_set", wood.number),
        "plank": (wood.plank.code, "plank", wood.plank.number),
    }[how]
    client = Client()
    client.force_login(shop.cast.qa)
    answer = client.get("/quality/trace/", {"q": f" {asked} "})
    assert answer.status_code == 302
    assert answer["Location"] == f"/quality/trace/{kind}/{key}/"
    assert client.get(answer["Location"]).status_code == 200


def test_what_is_not_here_is_said_in_words(shop: make.Shop) -> None:
    client = Client()
    client.force_login(shop.cast.qa)
    answer = client.get("/quality/trace/", {"q": "W9\x00999"})
    assert answer.status_code == 404
    assert "Nothing here is called W9999" in answer.content.decode()
    with pytest.raises(Refused) as fault:
        queries.search(text="  ")
    assert fault.value.refusal.code == rules.NOTHING_TRACED.code


@pytest.mark.parametrize(
    ("kind", "key"),
    [
        ("plank", "none"),
        ("PLANK", "D001-01"),
        ("wood", "1"),
        ("load", "1"),
        ("load", "8e2f4d8c-3b5e-4f5a-9a34-5b1c0c3b2a11"),
        ("station_day", "SAW"),
        ("station_day", "SAW.2026-02-30"),
        ("station_day", "NONE.2026-02-03"),
        ("defect", "9" * 30),
        ("defect", "x"),
        ("gauge", "a\x00b"),
        ("batch", "B0000000"),
        ("serial", "PICKUP.PU-0001"),
        ("serial", "x"),
        ("cutter", "@1"),
        ("cutter", "@x"),
        ("cutter", "@" + "9" * 30),
    ],
)
def test_an_address_of_nothing_says_so(shop: make.Shop, kind: str, key: str) -> None:
    assert page(shop, kind, key).status_code == 404


@pytest.mark.parametrize("how", ["label", "number", "serial", "whole", "cutter"])
def test_one_field_finds_what_a_part_was_made_with(how: str) -> None:
    shop = make.shop(uses=True)
    batch, one = shop.batch(number="lot-7a"), shop.instrument()
    shop.bring(batch, "CLAMPS")
    cutter = change_cutter(
        station_id=shop.cast.stations["CUTTER"].pk,
        head="top",
        number="C-12",
        life_parts=4,
        by=shop.cast.joiner,
        at=shop.now,
    )
    for branch in ("BODY", "ELECTRONICS"):
        shop.work(shop.part(one, branch))
    asked, kind, key = {
        "label": (codes.grouped(batch.code), "batch", batch.code),
        "number": ("LOT-7A", "batch", batch.code),
        "serial": ("pu 0001", "serial", "PICKUP.PU-0001"),
        "whole": ("PICKUP.PU-0002", "serial", "PICKUP.PU-0002"),
        "cutter": ("c-12", "cutter", f"@{cutter.pk}"),
    }[how]
    client = Client()
    client.force_login(shop.cast.qa)
    answer = client.get("/quality/trace/", {"q": asked})
    assert answer.status_code == 302
    assert answer.url == reverse("quality:trace", args=[kind, key])
    said = client.get(answer.url).content.decode()
    assert one.serial in said


def test_a_load_and_a_day_have_pages(shop: make.Shop) -> None:
    body = shop.part(shop.instrument())
    shop.work(body, until="Dry")
    step = shop.step_of(body)
    assert step
    load = uuid4()
    shop.must(Wish.LOAD, step, load=str(load))
    assert body.instrument.serial in page(shop, "load", str(load)).content.decode()
    day = shop.now.astimezone(ZONE).date()
    said = page(shop, "station_day", f"ROOM.{day}").content.decode()
    assert body.instrument.serial in said


def test_questions_do_not_grow_with_what_is_found(shop: make.Shop) -> None:
    def asked(quantity: int) -> int:
        shop.instruments(quantity)
        room = shop.cast.stations["SAW"]
        for step in Step.objects.filter(station=room, state="READY"):
            shop.must(Wish.START, step)
        day = shop.now.astimezone(ZONE).date()
        client = Client()
        client.force_login(shop.cast.qa)
        with CaptureQueriesContext(connection) as seen:
            answer = client.get(f"/quality/trace/station_day/SAW.{day}/")
        assert answer.status_code == 200
        return len(seen)

    assert asked(1) == asked(4)


def test_the_old_wood_and_the_new_are_in_an_instruments_trace(shop: make.Shop) -> None:
    """What was scrapped stays in the trace; only what is in it now can be held."""
    instrument = shop.instrument()
    old = shop.part(instrument)
    shop.work(old, until="Machine")
    step = shop.step_of(old)
    shop.scan(Wish.REPLACE, old, by="qa", step=step, reason="split")
    new = shop.part(instrument)
    wood = shop.plank_set()
    shop.scan(Wish.WOOD, new, by="planner", at="", set=wood.pk)
    assert old.plank_set
    up = walk(thing(Kind.INSTRUMENT, instrument.pk), Edges(zone=ZONE).up)
    sets = {one.id for one in up.found if one.kind is Kind.PLANK_SET}
    assert {str(old.plank_set.pk), str(wood.pk)} <= sets
    for one in (old.plank_set, wood):
        down = walk(thing(Kind.PLANK_SET, one.pk), Edges(zone=ZONE).down)
        assert thing(Kind.INSTRUMENT, instrument.pk) in down.found
    held = {
        one.pk: queries.reach_of(
            start=thing(Kind.PLANK, one.plank_id), since=None, zone=ZONE
        ).parts
        for one in (old.plank_set, wood)
    }
    assert held[old.plank_set.pk] == ()
    assert [one.part_id for one in held[wood.pk]] == [new.pk]
