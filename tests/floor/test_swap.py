"""When QA swaps a part between two instruments, what goes with it, and what is told?"""

from datetime import datetime
from typing import Any
from uuid import UUID, uuid4

import pytest

from tests import make
from tests.floor.story import allow, at, code_of, report, take_back
from travelers.floor import queries
from travelers.floor.actions import Verdict
from travelers.floor.actions import take_back as take_back_with_all
from travelers.floor.models import Event, Hold
from travelers.floor.queries import audit
from travelers.floor.rules import Wish
from travelers.orders.models import Allotment, Instrument, Part, Step
from travelers.quality.rules import Severity

pytestmark = pytest.mark.django_db
BRANCHES = ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY")


@pytest.fixture
def two(shop: make.Shop) -> tuple[Instrument, Instrument]:
    one, other = shop.instruments(2)
    return one, other


def swap(shop: make.Shop, mine: Part, other: Part, **more: Any) -> Verdict:
    """Decide a swap as QA does who has looked at both parts just now."""
    said = {
        "with": other.code,
        "of": Instrument.objects.get(parts__code=mine.code).serial,
        "to": Instrument.objects.get(parts__code=other.code).serial,
        "reason": "runout, suits the other body",
        **more,
    }
    by = said.pop("by", "qa")
    return shop.scan(Wish.SWAP, mine, at="", by=by, **said)


def must_swap(shop: make.Shop, mine: Part, other: Part, **more: Any) -> Verdict:
    verdict = swap(shop, mine, other, **more)
    assert verdict.accepted, verdict.refusal
    return verdict


def agree() -> None:
    for pk in audit.instrument_ids():
        differences = audit.check_instrument(instrument_id=pk).differences
        assert [str(each) for each in differences] == []


def moved(part: Part) -> list[Any]:
    """Give all that a part is, but for the instrument that it is in."""
    steps = Step.objects.filter(part=part).order_by("position")
    return [
        part.code,
        part.plank_set_id,
        list(steps.values_list("pk", "state", "started_at", "finished_at")),
        list(part.holds.values_list("pk", "reason", "lifted")),
        list(part.defects.values_list("pk")),
        list(part.events.values_list("seq").order_by("seq")),
    ]


def test_both_parts_go_over_with_all_that_they_are(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    one, other = two
    mine, theirs = shop.part(one, "BODY"), shop.part(other, "BODY")
    at(shop, mine, "Machine")
    shop.work(theirs, until="Dry")
    shop.scan(Wish.HOLD, mine, reason="small knot", only_part=True)
    before = moved(mine)[:5], moved(theirs)[:5]
    must_swap(shop, mine, theirs)
    for part, owner in ((mine, other), (theirs, one)):
        part.refresh_from_db()
        assert part.instrument == owner
        assert set(part.steps.values_list("instrument", flat=True)) == {owner.pk}
        assert set(part.holds.values_list("instrument", flat=True)) <= {owner.pk}
        place = Allotment.objects.get(plank_set=part.plank_set)
        assert (place.order, place.position) == (owner.order, owner.position)
    assert (moved(mine)[:5], moved(theirs)[:5]) == before
    assert mine.held_at
    agree()
