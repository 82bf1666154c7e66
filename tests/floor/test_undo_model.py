"""After any presses and corrections, is it as if what was undone had never been?

Two plain models say so.  After each press, the rows are the fold of the events that
the walk itself counts as standing.  At the end, those alone are pressed on a twin
that was released at the same moment: each is accepted again, and the rows are the
same; so nothing stays that could not have been without what was taken back.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

import pytest
from django.db import transaction
from django.db.models import F
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests import make
from tests.drill.size import sized
from tests.floor.story import code_of
from travelers.floor import queries
from travelers.floor.actions import Verdict, take_back
from travelers.floor.models import Event
from travelers.floor.queries import audit
from travelers.floor.queries.anew import all_steps, fresh_bench
from travelers.floor.queries.benches import part_now
from travelers.floor.rules import State, Wish, fold
from travelers.floor.rules.bench import STEP_MOVES
from travelers.lumber.models import Piece
from travelers.orders.models import Instrument, Part, Step
from travelers.shop.models import Station

pytestmark = pytest.mark.django_db

GATES = ("floor.not_here", "floor.check_missing", "floor.out_of_tolerance")


@dataclass(frozen=True)
class Pressed:
    """An accepted press that stands, and how to press it once more."""

    verdict: Verdict
    wish: Wish
    step: Step
    at: datetime
    station: str | None
    by: str
    data: dict[str, Any]


class Walk:
    def __init__(self, shop: make.Shop, data: st.DataObject) -> None:
        self.shop, self.draw = shop, data.draw
        self.one, self.twin = shop.instruments(2)
        self.standing: list[Pressed] = []
        self.undone = 0

    def go(self) -> None:
        how = self.draw(st.sampled_from(["press"] * 7 + ["undo"] * 3 + ["allow"]))
        self.shop.later(minutes=self.draw(st.sampled_from([1, 4, 300])))
        if how == "undo" and self.standing:
            self.undo()
        else:
            steps = list(
                Step.objects.filter(
                    instrument=self.one, state__in=["READY", "RUNNING", "DWELLING"]
                ).order_by("pk")
            )
            if steps and how == "allow":
                gate = self.draw(st.sampled_from(GATES))
                step = self.draw(st.sampled_from(steps))
                self.press(Wish.ALLOW, step, by="lead", gate=gate, reason="seen")
            elif steps:
                self.by_the_book(self.draw(st.sampled_from(steps)))
        self.compare()

    def by_the_book(self, step: Step) -> None:
        """Press what comes next, or a check or mate of it, right or not."""
        hold = step.operation.kind == "HOLD"
        station = self.draw(st.sampled_from([None, None, None, "SAW"]))
        if step.state == State.READY:
            self.press(Wish.LOAD if hold else Wish.START, step, station=station)
            return
        if step.dwell_until:
            self.shop.now = max(self.shop.now, step.dwell_until)
        choice = self.draw(st.integers(0, 4))
        check = step.operation.characteristics.first()
        if check and choice < 3:
            self.press(Wish.READ, step, readings=self.readings(step))
        elif step.operation.kind == "JOIN" and step.state == State.RUNNING and choice:
            self.press(Wish.MATE, step, mate=self.draw(st.sampled_from(mates(step))))
        else:
            lies = step.state == State.DWELLING
            self.press(Wish.TAKE_OUT if lies else Wish.FINISH, step, station=station)

    def readings(self, step: Step) -> list[dict[str, Any]]:
        check = step.operation.characteristics.get()
        places = self.draw(
            st.sets(st.integers(1, check.places), min_size=1, max_size=check.places)
        )
        value = self.draw(st.sampled_from(["nominal", "nominal", "nominal", "99"]))
        usual = "1" if check.kind == "JUDGED" else str(check.nominal)
        gauge = {"moisture_meter": "meter", "caliper": "caliper"}.get(check.gauge_kind)
        gauges = self.shop.cast.gauges
        if check.kind == "JUDGED" and value != "nominal":
            value = "0"
        return [
            {
                "check": check.pk,
                "place": place,
                "value": usual if value == "nominal" else value,
                "gauge": gauges[gauge].pk if gauge else None,
            }
            for place in sorted(places)
        ]

    def press(
        self,
        wish: Wish,
        step: Step,
        *,
        by: str = "joiner",
        station: str | None = None,
        **data: Any,
    ) -> None:
        verdict = self.shop.scan(wish, step.part, step=step, by=by, at=station, **data)
        if verdict.accepted:
            self.standing.append(
                Pressed(verdict, wish, step, self.shop.now, station, by, data)
            )

    def undo(self) -> None:
        """Take something back: with a touch, or as the lead with all that hangs."""
        one = self.draw(st.sampled_from([*self.standing[-3:] * 3, *self.standing]))
        found = queries.find_undoing(
            instrument_id=self.one.pk, event_id=str(one.verdict.event_id)
        )
        assert found
        hanging = {past.event_id for past in found.hanging}
        if self.draw(st.booleans()):
            verdict = self.shop.scan(
                Wish.UNDO,
                one.step.part,
                step=one.step,
                by=one.by,
                event=str(one.verdict.event_id),
            )
            lead = one.by == "lead"
            late = {"floor.undo_late", "floor.reason_missing" if lead else ""}
            stopped = {"floor.undo_depends"} if hanging else set()
            assert verdict.accepted or code_of(verdict) in late | stopped
            assert not (verdict.accepted and hanging)
        else:
            verdict = take_back(
                tag=one.step.part.code,
                target_id=one.verdict.event_id,
                seen=hanging,
                person=self.shop.cast.lead,
                reason="mistake",
                event_id=self.shop_id(),
                at=self.shop.now,
                heard_at=self.shop.now,
            )
            assert verdict.accepted, verdict.refusal
        if verdict.accepted:
            gone = {str(one.verdict.event_id), *hanging}
            self.undone += len(gone)
            self.standing = [
                p for p in self.standing if str(p.verdict.event_id) not in gone
            ]

    def shop_id(self) -> Any:
        return self.draw(st.uuids(version=4))

    def compare(self) -> None:
        """Hold the rows against the fold of what stands by the walk's own count."""
        steps = all_steps(instrument_id=self.one.pk)
        parts = [
            part_now(row)
            for row in Part.objects.filter(instrument=self.one).order_by("pk")
        ]
        self.one.refresh_from_db()
        by_seq = Event.objects.in_bulk([p.verdict.seq for p in self.standing])
        told = (queries.told_of(event=by_seq[seq]) for seq in sorted(by_seq))
        folded = fold(
            fresh_bench(instrument=self.one, parts=parts, steps=steps),
            told,
            self.one.released_at,
        )
        ought = {**{s.id: s for s in folded.bench.steps}, **folded.closed}
        assert steps == ought
        assert tuple(parts) == folded.bench.parts
        assert self.one.state == folded.bench.state
        checked = audit.check_instrument(instrument_id=self.one.pk)
        assert [str(one) for one in checked.differences] == []

    def press_on_the_twin(self) -> None:
        """Press what stands on an instrument that never knew of the rest."""
        codes = dict(zip(codes_of(self.one), codes_of(self.twin), strict=True))
        for one in sorted(self.standing, key=lambda pressed: pressed.verdict.seq):
            step = Step.objects.get(
                instrument=self.twin,
                part__branch=one.step.part.branch,
                operation=one.step.operation,
                repeat=one.step.repeat,
            )
            data = dict(one.data)
            if "mate" in data:
                data["mate"] = codes[data["mate"]]
            verdict = self.shop.scan(
                one.wish, step.part, step=step, by=one.by, at=one.station,
                when=one.at, **data,
            )  # fmt: skip
            assert verdict.accepted, (one, verdict.refusal)
        assert state_of(self.twin) == state_of(self.one)


def mates(step: Step) -> list[str]:
    found = queries.find_bench(step_id=step.pk)
    assert found
    bench = queries.bench_of(found=found)
    now = bench.step(step.pk)
    assert now
    return sorted(queries.mates_of(bench=bench, step=now))


def codes_of(instrument: Instrument) -> list[str]:
    """Give the tags and labels of an instrument in one order for all."""
    parts = Part.objects.filter(instrument=instrument).order_by("pk")
    pieces = Piece.objects.filter(plank_set__part__instrument=instrument).order_by(
        "plank_set__part", "letter"
    )
    return [
        *parts.values_list("code", flat=True),
        *pieces.values_list("code", flat=True),
    ]


def state_of(instrument: Instrument) -> list[Any]:
    """Give what follows from the ledger, without what names the instrument."""
    steps = Step.objects.filter(instrument=instrument).order_by("pk")
    parts = Part.objects.filter(instrument=instrument).order_by("pk")
    own = Instrument.objects.filter(pk=instrument.pk)
    return [
        list(steps.values_list("operation", "repeat", *STEP_MOVES)),
        list(parts.values_list("branch", "stage", "look", "since", "held_at")),
        list(own.values_list("state", "closed_at", "held_at")),
    ]


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    # The twin lies beside the one, wherever that is let in.
    Station.objects.update(places=F("places") * 2)
    return standing


@settings(
    max_examples=sized(4, 100),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(data=st.data())
def test_presses_and_undos_are_the_presses_without_the_undone(
    shop: make.Shop, data: st.DataObject
) -> None:
    begun = shop.now
    try:
        with transaction.atomic():
            walk = Walk(shop, data)
            for _ in range(data.draw(st.integers(10, 60))):
                walk.go()
            walk.press_on_the_twin()
            transaction.set_rollback(True)
    finally:
        # Every walk starts at one moment, also after one that ran out of draws.
        shop.now = begun
