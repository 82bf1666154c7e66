"""How is a logger let in at a room, heard, and put out?"""

import logging
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from travelers.kit.people import has_one_of
from travelers.kit.refusals import NOT_YOUR_ROLE, Refused
from travelers.lumber import queries, rules
from travelers.lumber.actions.rooms import note_airs
from travelers.lumber.models import Logger, Room
from travelers.lumber.rules import Logged, Told
from travelers.shop.models import Person
from travelers.shop.rules import digest_of

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class LetIn:
    """A logger that was let in, with its token: it is told this once."""

    logger: Logger
    token: str


@transaction.atomic
def let_logger_in(*, room_id: int, name: str, by: Person, at: datetime) -> LetIn:
    """Let one more logger send the air of a room."""
    _refuse_others(by)
    room = Room.objects.select_for_update().get(pk=room_id)
    if room.loggers.filter(name=name).exists():
        raise Refused(rules.LOGGER_NAME_TAKEN.about(name=name))
    token = secrets.token_urlsafe(32)
    logger = room.loggers.create(
        name=name, token_digest=digest_of(token), let_in_at=at, let_in_by=by
    )
    log.warning("logger let in, logger=%s by=%s", logger.pk, by.pk)
    return LetIn(logger, token)


def put_logger_out(*, logger_id: int, by: Person, at: datetime) -> None:
    """Put a logger out: what it sends from now on is refused; what it sent stays."""
    _refuse_others(by)
    Logger.objects.filter(pk=logger_id, put_out_at=None).update(
        put_out_at=at, put_out_by=by
    )
    log.warning("logger put out, logger=%s by=%s", logger_id, by.pk)


@transaction.atomic
def hear_logger(
    *, room_id: int, token: str, readings: Sequence[Logged], at: datetime
) -> int:
    """Write down what a logger sent; say how many of its readings were new.

    What it sends twice counts once, so that it may send again when in doubt.
    """
    logger = queries.find_logger(room_id=room_id, token=token)
    if logger is None:
        raise Refused(rules.LOGGER_UNKNOWN)
    Logger.objects.filter(pk=logger.id).update(heard_at=at)
    return note_airs(room_id=room_id, readings=readings, told=Told.BY_LOGGER)


def _refuse_others(by: Person) -> None:
    if not has_one_of(by, queries.LOGGER_KEEPERS):
        raise Refused(NOT_YOUR_ROLE)
