"""Are the days counted as the ledger tells them, and anew when it tells more?"""

import random
from datetime import datetime
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest

from tests import make
from tests.drill.size import sized
from tests.floor import story
from tests.planning import ledger
from tests.planning.test_board import recount as on_the_board
from travelers.floor import queries as on_floor
from travelers.floor.actions import take_back
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.floor.rules.origin import Origin, Source
from travelers.orders.models import Instrument, Part, Step
from travelers.planning import queries
from travelers.planning.actions import count_days
from travelers.planning.models import DayCount
from travelers.planning.queries.counted import counts_of_today
from travelers.planning.rules import DAY
from travelers.shop.models import Stage, Station

pytestmark = pytest.mark.django_db

# East of Greenwich, so that its days are not those of UTC.
ZONE = ZoneInfo("Europe/Berlin")


def agree(at: datetime) -> None:
    """Hold what is kept against the ledger, and today against it and the board."""
    today = at.astimezone(ZONE).date()
    count_days(at=at, zone=ZONE)
    assert (
        ledger.differ(ledger.kept(), ledger.recount(last=today - DAY, zone=ZONE)) == []
    )
    whole = ledger.recount(last=today, zone=ZONE)
    found = counts_of_today(known=queries.counted(), today=today, zone=ZONE)
    live = {
        (today, place.stage_id, place.branch or ""): (
            one.came, one.entered, one.went, one.left, one.lay,
        )
        for place, one in found.items()
    }  # fmt: skip
    told = {key: numbers for key, numbers in whole.items() if key[0] == today}
    assert ledger.differ(live, told) == []
    codes = dict(Stage.objects.values_list("pk", "code"))
    board: dict[tuple[str, str], int] = {}
    for (branch, stage, _), n in on_the_board().items():
        board[branch, stage] = board.get((branch, stage), 0) + n
    assert board == {
        (place.branch, codes[place.stage_id]): one.lay
        for place, one in found.items()
        if place.branch and one.lay
    }
    open_now = Instrument.objects.filter(state="OPEN").count()
    assert open_now == sum(one.lay for p, one in found.items() if p.branch is None)


def test_a_told_story_is_counted_as_its_ledger_tells_it(db: None) -> None:
    told = story.tell()
    agree(told.shop.now)
    assert DayCount.objects.count() > 100
    agree(told.shop.later(days=3))


class Days:
    """A shop in which anything happens that may, with hands that a seed moves."""

    def __init__(self, shop: make.Shop, seed: int) -> None:
        self.shop, self.chance = shop, random.Random(seed)
        Station.objects.update(places=60)

    def go(self, presses: int) -> None:
        for _ in range(presses):
            self.shop.later(hours=self.chance.choice([0.01, 1, 3, 9, 30]))
            self.press()

    def press(self) -> None:
        deed = self.chance.choice(
            ["work"] * 14
            + ["release", "undo", "late", "scrap", "rework", "swap", "anew", "wood"]
        )
        if deed == "release" or not Instrument.objects.filter(state="OPEN").exists():
            self.shop.instruments(self.chance.choice([1, 2]))
        elif deed == "undo":
            self.undo()
        elif deed == "swap":
            self.swap()
        elif deed == "wood":
            self.give_wood()
        else:
            self.one_step(deed)

    def one_step(self, deed: str) -> None:
        steps = Step.objects.filter(state__in=["READY", "RUNNING", "DWELLING"])
        steps = steps.filter(part__held_at=None, instrument__held_at=None)
        if not steps:
            return
        step = self.chance.choice(list(steps.order_by("pk")))
        if deed == "scrap" and self.chance.random() < 0.3:
            self.shop.scan(Wish.SCRAP, step.part, step=step, by="qa", reason="split")
        elif deed == "rework":
            self.rework(step)
        elif deed == "anew":
            self.shop.scan(Wish.REPLACE, step.part, step=step, by="qa", reason="split")
        elif deed == "late" and step.state == "READY":
            self.late(step)
        else:
            for gate in ("floor.too_long_since", "floor.too_soon"):
                story.allow(self.shop, step, gate)
            self.shop.do(step)

    def late(self, step: Step) -> None:
        """Enter from paper what was begun hours or days ago."""
        paper = Origin(source=Source.PAPER, entered_by_id=self.shop.cast.lead.pk)
        since = step.ready_at or self.shop.now
        when = since + (self.shop.now - since) * self.chance.random()
        hold = step.operation.kind == "HOLD"
        self.shop.scan(
            Wish.LOAD if hold else Wish.START, step.part, step=step, when=when,
            origin=paper,
        )  # fmt: skip
        step.refresh_from_db()
        if step.state == "RUNNING" and not step.operation.characteristics.exists():
            then = when + (self.shop.now - when) * self.chance.random()
            self.shop.scan(Wish.FINISH, step.part, step=step, when=then, origin=paper)

    def rework(self, step: Step) -> None:
        done = step.part.steps.filter(state="DONE").order_by("-position").first()
        if done:
            self.shop.scan(
                Wish.REWORK, step.part, step=step, by="qa", reason="again",
                operations=[done.operation_id],
            )  # fmt: skip

    def give_wood(self) -> None:
        for part in Part.objects.filter(wants_wood=True, instrument__state="OPEN"):
            wood = self.shop.plank_set(part.branch)
            self.shop.scan(Wish.WOOD, part, by="planner", at="", set=wood.pk)

    def swap(self) -> None:
        one, other = (
            self.chance.sample(list(Instrument.objects.filter(state="OPEN")), 2)
            if Instrument.objects.filter(state="OPEN").count() > 1
            else (None, None)
        )
        branch = self.chance.choice(["BODY", "NECK"])
        if one and other:
            story.swap(
                self.shop, self.shop.part(one, branch), self.shop.part(other, branch)
            )

    def undo(self) -> None:
        """Take back a press of any day, with all that hangs on it."""
        rows = Event.objects.filter(
            kind__in=["START", "FINISH", "LOAD", "TAKE_OUT"],
            accepted=True,
            corrected_by=None,
        )
        target = self.chance.choice(list(rows.order_by("-seq")[:25]) or [None])
        if target is None:
            return
        found = on_floor.find_undoing(
            instrument_id=target.instrument_id, event_id=str(target.event_id)
        )
        if found is None or found.never or target.instrument.state != "OPEN":
            return
        take_back(
            tag=target.part.code,
            target_id=target.event_id,
            seen={past.event_id for past in found.hanging},
            person=self.shop.cast.lead,
            reason="mistake",
            event_id=uuid4(),
            at=self.shop.now,
            heard_at=self.shop.now,
        )


@pytest.mark.parametrize("seed", range(sized(3, 30)))
def test_days_of_any_shop_are_counted_as_its_ledger_tells_them(
    shop: make.Shop, seed: int
) -> None:
    days = Days(shop, seed)
    for presses in (30, 25, 25):
        days.go(presses)
        agree(shop.now)
    for _ in range(4):
        # By chance nothing was taken back yet: it goes on.
        if not Event.objects.filter(accepted=True, kind="UNDO").exists():
            days.go(25)
            agree(shop.now)
    kinds = set(Event.objects.filter(accepted=True).values_list("kind", flat=True))
    assert {"START", "FINISH", "UNDO"} <= kinds
