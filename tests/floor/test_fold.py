"""Whatever people do, do the rows stay what the ledger makes of it?"""

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests import make
from tests.drill.size import sized
from travelers.floor import queries
from travelers.floor.actions import Verdict
from travelers.floor.models import Event
from travelers.floor.queries import audit
from travelers.floor.rules import State, Wish
from travelers.floor.rules.undo import MOVING
from travelers.kit.refusals import Refusal
from travelers.lumber.models import PlankSet
from travelers.orders.models import Instrument, Step

pytestmark = pytest.mark.django_db

GATES = sorted(
    code
    for code, refusal in Refusal.registry.items()
    if refusal.may_allow and code.startswith("floor.")
)
# Scrapping ends a walk, so it is wished seldom.
WISHES = [*[wish for wish in Wish if wish is not Wish.SCRAP] * 3, Wish.SCRAP]
ROLES = ("joiner", "joiner", "lead", "qa", "qa", "planner")


class Walk:
    """Somebody who does one thing after another, sensible or not."""

    def __init__(self, shop: make.Shop, data: st.DataObject) -> None:
        self.shop = shop
        self.draw = data.draw
        self.instrument, self.other = shop.instruments(2)
        self.seen: list[Verdict] = []
        self.sent: dict[UUID, dict[str, Any]] = {}

    def go(self) -> None:
        how = self.draw(
            st.sampled_from(
                ["book"] * 6 + ["any"] * 2 + ["again"] * 2 + ["swap"] * 2 + ["undo"] * 2
            )
        )
        if how == "book":
            self.by_the_book()
        elif how == "swap":
            self.swap()
        elif how == "undo":
            self.undo()
        elif how == "any":
            self.anything()
        elif self.seen:
            self.once_more()

    def by_the_book(self) -> None:
        """Take some part one wish further, as its step wants it."""
        step = self.draw(st.sampled_from(self.current() or [None]))
        if step is None:
            return
        hold = step.operation.kind == "HOLD"
        if step.state == State.DWELLING and step.dwell_until:
            self.shop.now = max(self.shop.now, step.dwell_until)
        else:
            self.shop.later(hours=self.draw(st.sampled_from([1, 5, 30])))
        if step.state == State.READY:
            self.wish(Wish.LOAD if hold else Wish.START, step)
        elif step.state == State.RUNNING or hold:
            self.finish(step, Wish.TAKE_OUT if hold else Wish.FINISH)
        else:
            self.wish(Wish.TAKE_OUT, step)

    def swap(self) -> None:
        """Let QA swap parts, mostly those that nobody has in hand."""
        steps = self.steps()
        busy = {s.part.branch for s in steps if s.state in ("RUNNING", "DWELLING")}
        free = [s for s in steps if s.part.branch not in busy | {"ASSEMBLY"}]
        step = self.draw(st.sampled_from(free or steps))
        said = self.swap_said(step, self.draw(st.sampled_from(["suits it"] * 5 + [""])))
        self.wish(Wish.SWAP, step, by="qa", at="", **said)

    def undo(self) -> None:
        """Let the lead take back what was done to a part, wherever it is by now."""
        done = [v for v in self.seen if v.accepted and v.wish in MOVING]
        if done:
            taken = self.draw(st.sampled_from([*done, *done[-2:] * 3]))
            step = next(s for s in self.steps() if s.pk == taken.step_id)
            said = {"event": str(taken.event_id), "reason": "slip"}
            self.wish(Wish.UNDO, step, by="lead", at="", **said)

    def swap_said(self, step: Step, reason: str) -> dict[str, Any]:
        """Name the two parts as they are shown."""
        here = Instrument.objects.get(pk=step.part.instrument_id)
        there = self.other if here == self.instrument else self.instrument
        own = there.parts.in_use().order_by("pk")
        parts = {part.branch: part.code for part in own}
        return {
            "with": parts[step.part.branch],
            "of": here.serial,
            "to": there.serial,
            "reason": reason,
        }

    def finish(self, step: Step, wish: Wish) -> None:
        """Measure and scan what is wanted, then end the step."""
        for check in step.operation.characteristics.order_by("id"):
            self.wish(Wish.READ, step, readings=self.readings(step))
            if check.kind == "MEASURED" and self.draw(st.booleans()):
                break
        found = queries.find_bench(step_id=step.pk)
        now = found and queries.bench_of(found=found).step(step.pk)
        if found and now:
            for code in queries.mates_of(bench=queries.bench_of(found=found), step=now):
                self.wish(Wish.MATE, step, mate=code)
        self.wish(wish, step)

    def anything(self) -> None:
        """Wish anything of any step, at any station, by anybody, early or late."""
        step = self.draw(st.sampled_from(self.steps()))
        wish = self.draw(st.sampled_from(WISHES))
        self.shop.later(minutes=self.draw(st.sampled_from([0, 1, 60, 3000])))
        self.wish(
            wish,
            step,
            by=self.draw(st.sampled_from(ROLES)),
            at=self.draw(st.sampled_from([None, None, "BENCH", "ROOM"])),
            when=self.shop.now - timedelta(hours=self.draw(st.sampled_from([0, 0, 9]))),
            **self.content(wish, step),
        )

    def content(self, wish: Wish, step: Step) -> dict[str, Any]:
        """Say what a wish needs to say, sometimes wrongly."""
        reason = self.draw(st.sampled_from(["looked at it", ""]))
        codes = [part.code for part in self.instrument.parts.order_by("id")]
        ways = sorted({s.operation_id for s in self.steps() if s.part == step.part})
        said: dict[Wish, dict[str, Any]] = {
            Wish.READ: {"readings": self.readings(step)},
            Wish.MATE: {"mate": self.draw(st.sampled_from([*codes, "W0000000"]))},
            Wish.HOLD: {"reason": reason, "only_part": self.draw(st.booleans())},
            Wish.LIFT: {
                "hold": str(self.draw(st.sampled_from(self.holds()))),
                "reason": reason,
            },
            Wish.ALLOW: {"gate": self.draw(st.sampled_from(GATES)), "reason": reason},
            Wish.ASK: {"gate": self.draw(st.sampled_from(GATES))},
            Wish.DECLINE: {"gate": self.draw(st.sampled_from(GATES)), "reason": reason},
            Wish.SWAP: self.swap_said(step, reason),
            Wish.WOOD: {"set": self.draw(st.sampled_from(self.sets()))},
            Wish.UNDO: {
                "event": str(self.draw(st.sampled_from(self.accepted()))),
                "reason": reason,
            },
            Wish.REWORK: {
                "operations": ways[self.draw(st.integers(0, len(ways) - 1)) :][:3]
            },
        }
        return said.get(wish, {"reason": reason})

    def sets(self) -> list[int]:
        """Give the sets in the yard, the taken ones too."""
        return list(PlankSet.objects.order_by("pk").values_list("pk", flat=True))

    def readings(self, step: Step) -> list[dict[str, Any]]:
        value = self.draw(st.sampled_from(["nominal", "nominal", "99"]))
        gauges = {"moisture_meter": "meter", "caliper": "caliper"}
        return [
            {
                "check": check.pk,
                "place": place,
                "value": "1"
                if check.kind == "JUDGED"
                else str(check.nominal if value == "nominal" else value),
                "gauge": self.shop.cast.gauges[gauges[check.gauge_kind]].pk
                if check.gauge_kind
                else None,
            }
            for check in step.operation.characteristics.order_by("id")
            for place in range(1, check.places + 1)
        ]

    def once_more(self) -> None:
        """Send an event again: the same answer, and nothing moves."""
        old = self.draw(st.sampled_from(self.seen))
        count = Event.objects.count()
        again = self.shop.scan(**self.sent[old.event_id])
        assert again.repeated
        assert (again.accepted, again.refusal, again.seq) == (
            old.accepted,
            old.refusal,
            old.seq,
        )
        assert Event.objects.count() == count
        self.compare()

    def wish(self, wish: Wish, step: Step, **said: Any) -> None:
        event_id = UUID(int=len(self.seen) + 1)
        asked = {"wish": wish, "part": step.part, "step": step, "event_id": event_id}
        self.sent[event_id] = {"by": "joiner", **asked, **said}
        self.seen.append(self.shop.scan(**self.sent[event_id]))
        self.compare()

    def compare(self) -> None:
        for instrument in (self.instrument, self.other):
            checked = audit.check_instrument(instrument_id=instrument.pk)
            assert [str(each) for each in checked.differences] == []

    def steps(self) -> list[Step]:
        return list(
            Step.objects.filter(instrument__in=[self.instrument, self.other])
            .select_related("operation", "part", "station")
            .order_by("part_id", "position")
        )

    def current(self) -> list[Step]:
        """Give each part's first open step that is not waiting."""
        begun = ("READY", "RUNNING", "DWELLING")
        return [step for step in self.steps() if step.state in begun]

    def accepted(self) -> list[UUID]:
        """Give what can be taken back, the newest often: the rest is built on."""
        told = [v.event_id for v in self.seen if v.accepted]
        return [*told, *told[-1:] * len(told)] or [UUID(int=0)]

    def holds(self) -> list[UUID]:
        placed = [v.event_id for v in self.seen if v.wish is Wish.HOLD and v.accepted]
        return placed or [UUID(int=0)]


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


@settings(
    max_examples=sized(5, 100),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(data=st.data())
def test_after_each_wish_of_a_random_walk_the_fold_is_the_rows(
    shop: make.Shop, data: st.DataObject
) -> None:
    begun = shop.now
    try:
        with transaction.atomic():
            walk = Walk(shop, data)
            for _ in range(data.draw(st.integers(10, 40))):
                walk.go()
            # Every walk starts in the same shop, or it could not be told again.
            transaction.set_rollback(True)
    finally:
        shop.now = begun


def test_a_walk_by_the_book_gets_to_the_end(shop: make.Shop) -> None:
    """The random walk is only worth its name if it can get deep into a route."""
    instrument = shop.instrument()
    for branch in ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY"):
        shop.work(shop.part(instrument, branch))
    instrument.refresh_from_db()
    assert instrument.state == "FINISHED"
    checked = audit.check_instrument(instrument_id=instrument.pk)
    assert (checked.differences, checked.events) == ((), len(shop.log))
