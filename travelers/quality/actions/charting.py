"""How are a chart's limits settled, and its signals answered?"""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import IntegrityError, transaction

from travelers.formulas.control import Rule
from travelers.kit.refusals import NOT_YOUR_ROLE, Refused
from travelers.quality import queries, rules
from travelers.quality.models import ChartBase, SignalAnswer
from travelers.shop.models import Person
from travelers.shop.rules import Role

# Limits of fewer parts would be those of one week's luck (common practice, no source).
LEAST_OF_A_BASE = 8
LENGTH = 200


@dataclass(frozen=True, slots=True)
class Answered:
    """What was found behind a signal, and what was done about it."""

    event_id: UUID
    rules: tuple[Rule, ...]
    cause: str
    action: str


def choose_base(
    *,
    number: int,
    since: date,
    until: date,
    by: Person,
    at: datetime,
    zone: ZoneInfo,
) -> ChartBase:
    """Settle from when to when the work was as it should be; the limits follow it."""
    if not by.has(Role.QA):
        raise Refused(NOT_YOUR_ROLE)
    series = queries.series_of(number=number)
    parts = queries.parts_of_base(series=series, since=since, until=until, zone=zone)
    if len(parts) < LEAST_OF_A_BASE:
        raise Refused(
            rules.BASE_TOO_SHORT.about(
                since_word=since.isoformat(),
                until_word=until.isoformat(),
                n=str(len(parts)),
                least=str(LEAST_OF_A_BASE),
            )
        )
    return ChartBase.objects.create(
        characteristic_id=series.id, since=since, until=until, by=by, made_at=at
    )


def answer_signal(
    *, number: int, answered: Answered, by: Person, at: datetime
) -> SignalAnswer:
    """Write down the cause of a signal and what was done; once for each."""
    if not by.has(Role.QA) and not by.has(Role.LEAD):
        raise Refused(NOT_YOUR_ROLE)
    cause, action = answered.cause.strip(), answered.action.strip()
    if not (cause and action):
        raise Refused(rules.ANSWER_MISSING)
    series = queries.series_of(number=number)
    row = SignalAnswer(
        characteristic_id=series.id,
        event_id=answered.event_id,
        rules=" ".join(answered.rules),
        cause=cause[:LENGTH],
        action=action[:LENGTH],
        by=by,
        answered_at=at,
    )
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError:
        known = SignalAnswer.objects.select_related("by").get(
            characteristic_id=series.id, event_id=answered.event_id
        )
        raise Refused(
            rules.SIGNAL_ANSWERED.about(
                answered_at=known.answered_at.isoformat(), person=str(known.by)
            )
        ) from None
    return row
