"""Which loggers tell the air of a room?"""

from dataclasses import dataclass
from datetime import datetime

from travelers.lumber.models import Logger
from travelers.shop.rules import Role, digest_of

# Who lets loggers in and puts them out.
LOGGER_KEEPERS = (Role.LEAD,)


@dataclass(frozen=True, slots=True)
class LoggerRow:
    id: int
    name: str
    let_in_at: datetime
    let_in_by: str
    heard_at: datetime | None
    put_out_at: datetime | None
    put_out_by: str


def loggers(*, room_id: int) -> tuple[LoggerRow, ...]:
    """List a room's loggers, those that are put out at the end."""
    rows = Logger.objects.filter(room_id=room_id).select_related(
        "let_in_by", "put_out_by"
    )
    found = sorted(rows, key=lambda row: (row.put_out_at is not None, row.name))
    return tuple(_row(row) for row in found)


def find_logger(*, room_id: int, token: str) -> LoggerRow | None:
    """Give the logger that a token is of, unless it is put out or another room's."""
    row = (
        Logger.objects.filter(
            room_id=room_id, token_digest=digest_of(token), put_out_at=None
        )
        .select_related("let_in_by", "put_out_by")
        .first()
    )
    return _row(row) if row else None


def _row(row: Logger) -> LoggerRow:
    return LoggerRow(
        row.pk,
        row.name,
        row.let_in_at,
        str(row.let_in_by),
        row.heard_at,
        row.put_out_at,
        str(row.put_out_by) if row.put_out_by else "",
    )
