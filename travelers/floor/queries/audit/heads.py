"""How is it found out that the end of a chain was cut off?

A chain cannot miss its last links.  But its head, written down elsewhere (on paper, in
a backup), names the last event there was; later it must still be there.
"""

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.db.models import QuerySet

from travelers.floor.models import Event
from travelers.floor.queries.audit.difference import Difference
from travelers.orders.models import Instrument

# As many characters of a digest as somebody would copy from paper.
LENGTH = 12
# The heading of the events that name no instrument; no serial begins so.
UNKNOWN_CODES = "-"


@dataclass(frozen=True, slots=True)
class Head:
    """The end of a chain: its last event, how many there are, and their digest."""

    where: str
    seq: int
    events: int
    digest: str

    def __str__(self) -> str:
        return f"{self.where} {self.seq} {self.events} {self.digest}"


class NotAHead(ValueError):
    """A line is not one that was printed as a head."""


def read_head(line: str) -> Head:
    """Read a head back from its line.

    Raises
    ------
    NotAHead
        The line has another shape.
    """
    try:
        where, seq, events, digest = line.split()
        return Head(where, int(seq), int(events), digest)
    except ValueError:
        raise NotAHead(line) from None


def heads(*, serials: Iterable[str] = ()) -> Iterator[Head]:
    """Give the head of each instrument's chain, and of the unknown codes together."""
    wanted = list(serials)
    rows = Instrument.objects.order_by("pk").values_list("pk", "serial")
    for pk, serial in rows.filter(serial__in=wanted) if wanted else rows:
        yield _head(serial, Event.objects.filter(instrument=pk))
    if not wanted:
        yield _head(UNKNOWN_CODES, Event.objects.filter(instrument=None))


def compare_heads(printed: Iterable[Head]) -> Iterator[Difference]:
    """Say of each head that was printed once if the chain still leads through it."""
    for head in printed:
        events = Event.objects.filter(instrument=None, seq__lte=head.seq)
        if head.where != UNKNOWN_CODES:
            events = Event.objects.filter(
                instrument__serial=head.where, seq__lte=head.seq
            )
        now = _head(head.where, events)
        if now != head:
            yield Difference(
                head.where,
                "chain",
                "head",
                f"{now.digest or 'none'} of {now.events} events",
                f"{head.digest or 'none'} of {head.events} events",
                head.seq,
            )


def _head(where: str, events: QuerySet[Event]) -> Head:
    """Digest the digests in their order: those of unknown codes hang on nothing."""
    told = hashlib.sha256()
    last = count = 0
    rows = events.order_by("seq").values_list("seq", "digest")
    for seq, digest in rows.iterator():
        told.update(digest.encode())
        last, count = seq, count + 1
    return Head(where, last, count, told.hexdigest()[:LENGTH])
