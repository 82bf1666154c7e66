"""How is a release plan kept, by which rules, and how are orders released from it?"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from travelers.kit.refusals import Refusal, Refused
from travelers.orders.actions import allot_sets, release_order
from travelers.orders.queries import get_order
from travelers.planning.actions.forecasting import digest_of, keep_of_the_day
from travelers.planning.models import ReleasePlan, ReleaseRules
from travelers.planning.queries.forecast import not_compiled
from travelers.planning.queries.release import (
    asked,
    ground,
    kept_leads,
    planned,
    told,
)
from travelers.planning.rules import reasons
from travelers.shop.models import Person

# So often a plan is mended: a first one, and one that begins with what that learned.
FIRST_ROUNDS, NEXT_ROUNDS = 4, 2


@dataclass(frozen=True, slots=True)
class Chosen:
    """An order that shall be released, with the sets that it lacks."""

    order: str
    plank_set_ids: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Released:
    """What became of an order: so many instruments are on the floor, or why not."""

    order: str
    instruments: int
    refusal: Refusal | None = None


def make_release_plan(
    *, at: datetime, seed: int, futures: int, zone: ZoneInfo
) -> ReleasePlan:
    """Plan when what is released, live through it, and keep what it says.

    It begins with what the last plan of the same orders learned, and takes the place
    of the day's last plan.
    """
    wanted = asked(at=at)
    if fault := not_compiled():
        raise Refused(fault)
    if not wanted.orders:
        raise Refused(reasons.NOTHING_TO_RELEASE)
    here = ground(asked=wanted, at=at, zone=zone, seed=seed)
    leads = kept_leads(asked=wanted)
    plan = planned(
        ground=here,
        seed=seed,
        futures=futures,
        rounds=NEXT_ROUNDS if leads else FIRST_ROUNDS,
        leads_s=leads,
    )
    results = told(ground=here, plan=plan, seed=seed)
    return keep_of_the_day(
        ReleasePlan,
        day=at.astimezone(zone).date(),
        made_at=at,
        seed=seed,
        futures=futures,
        digest=digest_of(line=plan.line),
        results=results,
    )


@transaction.atomic
def set_release_rules(
    *, certainty_pct: int, most_in_work: int | None, by: Person, at: datetime
) -> ReleaseRules:
    """Say how sure a plan shall be, and how many instruments may be in work at once."""
    found, _ = ReleaseRules.objects.update_or_create(
        pk=1,
        defaults={
            "certainty_pct": certainty_pct,
            "most_in_work": most_in_work,
            "set_at": at,
            "set_by": by,
        },
    )
    return found


def release_chosen(
    *, chosen: Sequence[Chosen], by: Person, at: datetime
) -> tuple[Released, ...]:
    """Give each order the wood it lacks and release it; each wholly or not at all.

    What one of them is refused for keeps none of the others back.
    """
    if not chosen:
        raise Refused(reasons.NO_ORDER_CHOSEN)
    return tuple(_release(one, by, at) for one in chosen)


def _release(one: Chosen, by: Person, at: datetime) -> Released:
    try:
        with transaction.atomic():
            order = get_order(number=one.order)
            if one.plank_set_ids:
                allot_sets(order_id=order.pk, plank_set_ids=one.plank_set_ids)
            made = release_order(order_id=order.pk, by=by, at=at)
    except Refused as no:
        return Released(one.order, 0, no.refusal)
    return Released(one.order, len(made))
