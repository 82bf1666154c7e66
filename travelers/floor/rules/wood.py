"""Is wood dry enough to go on, and was it read lately enough to know?"""

from datetime import datetime, timedelta
from decimal import Decimal

from travelers.floor.rules import reasons
from travelers.kit.refusals import Refusal
from travelers.lumber.rules import Dryness

# A reading tells how wet wood is that lies in its room for so long (common practice,
# no source).
FRESH = timedelta(days=7)


def not_dry(
    own: Dryness | None, *, limit_pct: Decimal, since: datetime | None, at: datetime
) -> Refusal | None:
    """Say what stops wood from leaving its room, where it lies ``since`` a moment."""
    stale = (
        own is None
        or own.unread
        or own.age(at) > FRESH
        or (since is not None and own.read_at < since)
    )
    if own is None or stale:
        return reasons.WOOD_UNREAD.about(days=str(FRESH.days))
    return _too_wet(own, limit_pct)


def lay_open(
    own: Dryness | None, *, limit_pct: Decimal, keeps: timedelta | None, at: datetime
) -> Refusal | None:
    """Say what stops wood from being glued that lay in the workshop's air.

    ``keeps`` is how long it stays below the limit there; None means for good.
    """
    if own is None or own.unread:
        return reasons.WOOD_UNREAD.about(days=str(FRESH.days))
    if wet := _too_wet(own, limit_pct):
        return wet
    if keeps is not None and own.age(at) > keeps:
        return reasons.WOOD_LAY_TOO_LONG.about(
            read_at=own.read_at.isoformat(), limit=f"{limit_pct:.1f}"
        )
    return None


def _too_wet(own: Dryness, limit_pct: Decimal) -> Refusal | None:
    if own.worst_pct < limit_pct:
        return None
    return reasons.WOOD_TOO_WET.about(
        piece=own.worst_letter,
        value=f"{own.worst_pct:.1f}",
        limit=f"{limit_pct:.1f}",
    )
