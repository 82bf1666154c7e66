"""Whatever the way to the shop loses, repeats and delays: is it as if nothing had?

A state machine over a lossy transport. A tablet keeps its presses and sends the oldest
of them again until their answer has come; an answer may be lost, and what was under way
may come in once more, long after. In the end each part stands as it would if every
press had come at once, in its order. ``DRILL=1`` runs the full count.
"""

import os
from typing import Any

import hypothesis
import pytest
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    precondition,
    rule,
    run_state_machine_as_test,
)

from tests import make
from tests.outbox.tablet import Outbox
from travelers.floor.models import Event
from travelers.floor.queries import audit
from travelers.floor.rules import Wish
from travelers.orders.models import Step
from travelers.outbox.models import Latecomer

pytestmark = pytest.mark.django_db

RUNS, STEPS = (10_000, 30) if os.environ.get("DRILL") else (15, 25)
# What becomes of a part at the saw, told as plainly as it can be.
NEXT = {("READY", Wish.START): "RUNNING", ("RUNNING", Wish.FINISH): "DONE"}
TABLETS = (0, 1)


class Lossy(RuleBasedStateMachine):
    """Two tablets, each with parts of its own, and a way that does what it likes."""

    shop: make.Shop

    @initialize()
    def begin(self) -> None:
        made = self.shop.instruments(len(TABLETS) * 2)
        parts = [self.shop.part(one) for one in made]
        self.tablets = [Outbox(self.shop).enter() for _ in TABLETS]
        self.steps: list[list[Step]] = [[], []]
        for place, part in enumerate(parts):
            step = self.shop.step_of(part)
            assert step
            self.steps[place % 2].append(step)
        self.waiting: list[list[dict[str, Any]]] = [[], []]
        self.under_way: list[tuple[int, list[dict[str, Any]]]] = []
        self.instruments = [one.pk for one in made]

    @rule(
        tablet=st.sampled_from(TABLETS),
        part=st.integers(0, 1),
        wish=st.sampled_from([Wish.START, Wish.FINISH, Wish.FINISH, Wish.HOLD]),
    )
    def press(self, tablet: int, part: int, wish: Wish) -> None:
        more = {"reason": "look", "only_part": "on"} if wish is Wish.HOLD else {}
        self.shop.later(seconds=7)
        step = self.steps[tablet][part]
        record = self.tablets[tablet].press(wish, step, **more)
        self.waiting[tablet].append(record)

    @precondition(lambda self: any(self.waiting))
    @rule(
        tablet=st.sampled_from(TABLETS),
        size=st.integers(1, 4),
        fate=st.sampled_from(["arrives", "is lost", "answer is lost", "twice"]),
    )
    def send(self, tablet: int, size: int, fate: str) -> None:
        batch = self.waiting[tablet][:size]
        self.under_way.append((tablet, batch))
        if fate == "is lost" or not batch:
            return
        answers = self.tablets[tablet].send(batch)
        if fate == "twice":
            again = self.tablets[tablet].send(batch)
            assert [one["accepted"] for one in again] == [
                one["accepted"] for one in answers
            ]
            assert all(one["repeated"] for one in again)
        if fate != "answer is lost":
            del self.waiting[tablet][:size]

    @precondition(lambda self: self.under_way)
    @rule(chance=st.randoms(use_true_random=False))
    def an_old_one_comes_in_once_more(self, chance: Any) -> None:
        """Only what the tablet had no reason to hold back: it sends in order."""
        tablet, batch = chance.choice(self.under_way)
        known = {record["id"] for record in self.waiting[tablet]}
        if all(record["id"] not in known for record in batch):
            self.tablets[tablet].send(batch)

    def teardown(self) -> None:
        if not hasattr(self, "waiting"):
            return
        self.shop.later(hours=1)
        for tablet, rest in zip(self.tablets, self.waiting, strict=True):
            if rest:
                tablet.send(rest)
        for tablet, steps in zip(self.tablets, self.steps, strict=True):
            for step in steps:
                self.is_as_in_order(tablet, step)
        for number in self.instruments:
            checked = audit.check_instrument(instrument_id=number)
            assert list(checked.differences) == []

    def is_as_in_order(self, tablet: Outbox, step: Step) -> None:
        state, held, wanted = "READY", False, []
        for record in tablet.kept:
            if record["step"] != step.pk:
                continue
            wish = Wish(record["wish"])
            taken = wish is Wish.HOLD or (not held and (state, wish) in NEXT)
            wanted.append((wish, taken))
            held = held or wish is Wish.HOLD
            state = NEXT[state, wish] if taken and wish is not Wish.HOLD else state
        rows = Event.objects.filter(step=step).order_by("seq")
        assert [(row.kind, row.accepted) for row in rows] == wanted
        assert Step.objects.get(pk=step.pk).state == state
        late = Latecomer.objects.filter(event__step=step).count()
        assert late == sum(not taken for _, taken in wanted)


@pytest.mark.proof("R19")
@pytest.mark.timeout(60 * 60 * 8 if os.environ.get("DRILL") else 300)
def test_a_lossy_way_changes_nothing(shop: make.Shop) -> None:
    run_state_machine_as_test(
        type("LossyHere", (Lossy,), {"shop": shop}),
        settings=hypothesis.settings(
            max_examples=RUNS,
            stateful_step_count=STEPS,
            deadline=None,
            suppress_health_check=list(hypothesis.HealthCheck),
        ),
    )
