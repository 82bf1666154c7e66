"""How is a change of the floor named, tried beside today, and thrown away?"""

from collections.abc import Mapping
from dataclasses import asdict
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db import IntegrityError, transaction

from travelers.formulas import forecast as fc
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.planning.actions.forecasting import read_floor
from travelers.planning.models import WhatIf
from travelers.planning.queries.forecast import Changes, floor_now
from travelers.planning.queries.forecast.told import BY_S
from travelers.planning.rules import reasons
from travelers.shop.models import Person


def keep_what_if(
    *, name: str, changes: Mapping[str, Any], by: Person, at: datetime
) -> WhatIf:
    """Keep a change under a name; it is tried by :func:`try_what_if`."""
    try:
        with transaction.atomic():
            return WhatIf.objects.create(
                name=name, changes=dict(changes), made_at=at, made_by=by
            )
    except IntegrityError as fault:
        raise Refused(reasons.WHAT_IF_TAKEN.about(name=name)) from fault


def drop_what_if(*, what_if_id: int) -> None:
    """Throw a change away."""
    WhatIf.objects.filter(pk=what_if_id).delete()


def try_what_if(
    *, what_if_id: int, at: datetime, seed: int, futures: int, zone: ZoneInfo
) -> WhatIf:
    """Live through the floor as it is and as it would be, with the same luck."""
    found = WhatIf.objects.filter(pk=what_if_id).first()
    if found is None:
        raise Refused(NOT_FOUND)
    here = read_floor(at=at, zone=zone)
    there = floor_now(at=at, zone=zone, changes=changes_of(found.changes))
    both = fc.compare(here.line, there.line, seed, futures, by_s=BY_S)
    found.tried_at = at
    found.results = {
        "seed": seed,
        "futures": futures,
        "finish_s": asdict(both.finish_s),
        "last_s": asdict(both.last_s),
        "late": asdict(both.late),
        "by": asdict(both.by),
        "orders": _orders(both),
    }
    found.save(update_fields=["tried_at", "results"])
    return found


def changes_of(told: Mapping[str, Any]) -> Changes:
    """Read changes from what is kept of them."""
    out = told.get("out", {})
    return Changes(
        more_places=told.get("more_places", {}),
        longer_h=told.get("longer_h", {}),
        out={
            code: (date.fromisoformat(first), date.fromisoformat(last))
            for code, (first, last) in out.items()
        },
        first=frozenset(told.get("first", ())),
    )


def _orders(both: fc.Comparison) -> list[dict[str, Any]]:
    """Give each order's days of 50, 80 and 95 of 100, here and there."""
    here, there = both.here.order_quantiles_s(), both.there.order_quantiles_s()
    return [
        {"order": order, "here_s": here[order], "there_s": there[order]}
        for order in here
    ]
