"""How does what a tablet did alone get into the ledger?"""

import logging
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid5

from django.db import InterfaceError, OperationalError, transaction

from travelers.floor.actions import Verdict, record
from travelers.floor.queries import away
from travelers.floor.rules import Wish
from travelers.floor.rules.facts import Place
from travelers.floor.rules.origin import Origin
from travelers.floor.rules.typed import Unclear, original_of, value_of
from travelers.kit.refusals import NOT_FOUND, Refusal, Refused
from travelers.outbox.models import Latecomer
from travelers.outbox.rules import (
    FAULT,
    NO_STATION,
    PASS_OUTDATED,
    PASS_WRONG,
    SEEN_ALREADY,
    UNREADABLE,
    Damaged,
    Entry,
    When,
    mend,
)
from travelers.quality.actions import report_defect
from travelers.shop.models import Person
from travelers.shop.passes import read_pass

logger = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Carrier:
    """Through whom a sending comes in, when, and from which station."""

    station: Place | None
    station_code: str
    heard_at: datetime
    sent_by: Person | None = None
    tablet_id: int | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """What is said to one entry; a repeat of it gets the same."""

    id: UUID
    wish: str = ""
    refusal: Refusal | None = None
    repeated: bool = False
    serial: str = ""
    happened_at: datetime | None = None


@dataclass(slots=True)
class Known:
    """Who did it, where it came from and when, as far as it is known."""

    person: Person | None = None
    tablet_id: int | None = None
    when: When | None = None


def take_in(
    *, entry: Entry, carrier: Carrier, not_before: datetime | None = None
) -> Answer:
    """Take one entry into the ledger, in a transaction of its own.

    1. Its pass says whose it is; a bad one is kept aside, never dropped.
    2. Its moment is mended by how far the tablet's clock was off.
    3. The ledger judges it at that moment, or gives the first answer again.
    4. What is refused gets a row for the lead, once.

    ``not_before`` is when the same tablet did what came before.
    """
    known = Known(tablet_id=carrier.tablet_id)
    try:
        station = _prepare(entry, carrier, known, not_before)
        verdict = _record(entry, carrier, known, station)
    except Refused as no:
        return _keep_aside(entry, carrier, known, no.refusal)
    except (OperationalError, InterfaceError):
        # The database is away or busy: the tablet keeps all of it and comes again.
        raise
    except Exception:
        logger.exception("entry %s could not be judged", entry.id)
        return _keep_aside(entry, carrier, known, FAULT)
    return _told(entry, carrier, known, verdict)


def keep_damaged(*, entry: Damaged, carrier: Carrier) -> Answer:
    """Keep what cannot be read for the lead, and answer for it."""
    known = Known(tablet_id=carrier.tablet_id)
    return _keep_aside(entry, carrier, known, UNREADABLE)


def _prepare(
    entry: Entry, carrier: Carrier, known: Known, not_before: datetime | None
) -> Place:
    """Say where, by whom and when; refuse what cannot be anybody's."""
    held = read_pass(entry.carried)
    if held:
        known.person = Person.objects.filter(pk=held.person_id).first()
        known.tablet_id = held.tablet_id or carrier.tablet_id
    step_id = entry.given.get("step")
    begun_at = away.begun_at(step_id=step_id) if step_id else None
    if target := entry.given.get("event"):
        begun_at = away.happened_at(event_id=target) or begun_at
    earliest = max(filter(None, (not_before, begun_at)), default=None)
    known.when = mend(
        entry.made_at, entry.offset, heard_at=carrier.heard_at, not_before=earliest
    )
    if held is None or known.person is None:
        raise Refused(PASS_WRONG)
    if not held.covers(known.when.happened_at):
        done_at = known.when.happened_at.isoformat()
        raise Refused(PASS_OUTDATED.about(done_at=done_at))
    if carrier.station is None:
        raise Refused(NO_STATION.about(station=carrier.station_code))
    return carrier.station


def _record(entry: Entry, carrier: Carrier, known: Known, station: Place) -> Verdict:
    assert known.when and known.person  # noqa: S101, PT018 - prepared before
    given = entry.given
    told: dict[str, Any] = {
        "step_id": given.get("step"),
        "station": station,
        "person": known.person,
        "event_id": entry.id,
        "at": known.when.happened_at,
        "heard_at": carrier.heard_at,
        "origin": Origin(known.tablet_id, entry.number, entry.made_at),
    }
    if entry.wish is Wish.DEFECT:
        return report_defect(
            kind_code=given["kind"],
            **{name: given[name] for name in ("x", "y", "severity", "note")},
            **told,
        )
    if entry.wish is Wish.READ:
        return record(wish=Wish.READ, data={"readings": [_reading(entry)]}, **told)
    return record(wish=entry.wish, code=given["code"], data=dict(entry.said), **told)


def _reading(entry: Entry) -> dict[str, Any]:
    """Read what was typed, as the station's own screen does."""
    given = entry.given
    check = away.check_of(step_id=given["step"], check_id=given["check"])
    value = Decimal(0)
    if check:
        read = value_of(entry.typed, check, confirmed=given["confirm"])
        if isinstance(read, Unclear):
            raise Refused(read.refusal)
        value = read
    row = {
        "check": given["check"],
        "place": given["place"],
        "value": f"{value:f}",
        "gauge": given["gauge"],
    }
    if check and (original := original_of(entry.typed, check)):
        row["read"] = original
    return row


def _told(entry: Entry, carrier: Carrier, known: Known, verdict: Verdict) -> Answer:
    serial = verdict.bench.serial if verdict.bench else ""
    if verdict.refusal:
        _late(entry, carrier, known, verdict.refusal, verdict)
    return Answer(
        entry.id,
        entry.wish,
        verdict.refusal,
        verdict.repeated,
        serial,
        verdict.happened_at,
    )


def _keep_aside(
    entry: Entry | Damaged, carrier: Carrier, known: Known, refusal: Refusal
) -> Answer:
    late, made = _late(entry, carrier, known, refusal, None)
    return Answer(
        entry.id,
        late.wish,
        refusal,
        not made,
        late.instrument.serial if late.instrument else "",
        late.happened_at,
    )


def _late(
    entry: Entry | Damaged,
    carrier: Carrier,
    known: Known,
    refusal: Refusal,
    verdict: Verdict | None,
) -> tuple[Latecomer, bool]:
    """Write down what was refused; what the ledger does not have has its own id.

    One id may come with two contents: the second must not hide behind the first.
    """
    about = None
    if verdict and verdict.bench:
        about = verdict.bench.instrument_id
    elif isinstance(entry, Entry):
        about = away.instrument_of(
            code=entry.given.get("code", ""), step_id=entry.given.get("step")
        )
    return Latecomer.objects.select_related("instrument").get_or_create(
        record_id=entry.id if verdict else uuid5(entry.id, repr(entry.claim)),
        defaults={
            "wish": entry.wish if isinstance(entry, Entry) else "",
            "claim": entry.claim,
            "refusal": refusal.code,
            "words": dict(refusal.words),
            "event_id": verdict.seq if verdict else None,
            "instrument_id": about,
            "station_id": carrier.station.id if carrier.station else None,
            "tablet_id": known.tablet_id,
            "person": known.person,
            "sent_by": carrier.sent_by,
            "happened_at": known.when.happened_at if known.when else None,
            "came_at": carrier.heard_at,
        },
    )


@transaction.atomic
def acknowledge(*, latecomer_id: int, by: Person, at: datetime) -> Latecomer:
    """Write down that a lead has seen to what came late and was refused."""
    late = (
        Latecomer.objects.select_for_update(of=("self",))
        .select_related("seen_by")
        .filter(pk=latecomer_id)
        .first()
    )
    if late is None:
        raise Refused(NOT_FOUND)
    if late.seen_by and late.seen_at:
        raise Refused(
            SEEN_ALREADY.about(
                person=str(late.seen_by), seen_at=late.seen_at.isoformat()
            )
        )
    late.seen_by, late.seen_at = by, at
    late.save(update_fields=["seen_by", "seen_at"])
    return late
