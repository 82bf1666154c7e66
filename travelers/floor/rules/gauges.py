"""Why may a gauge not measure at a bench?"""

from datetime import date, datetime

from travelers.floor.rules import reasons
from travelers.kit.refusals import Refusal, gettext_noop, refusal

GAUGE_FOUND_BAD = refusal(
    "floor.gauge_found_bad",
    gettext_noop("{gauge} was found bad on {found_at} and is out of use."),
    gettext_noop("Take another gauge; QA has to see this one."),
)
STUDY_CARD_ELSEWHERE = refusal(
    "floor.study_card_elsewhere",
    gettext_noop("This card lies beside a part of a gauge study."),
    gettext_noop("Scan it at the station where that study is measured."),
    status=404,
)


def gauge_out(
    gauge: str, due_on: date, bad_since: datetime | None, at: datetime
) -> Refusal:
    """Say why a gauge may not measure: it was found bad, or else is overdue."""
    if bad_since and bad_since <= at:
        return GAUGE_FOUND_BAD.about(gauge=gauge, found_at=bad_since.isoformat())
    return reasons.GAUGE_OVERDUE.about(gauge=gauge, due=due_on.isoformat())
