"""Is in the ledger all that was acknowledged, once, and do the rows agree?"""

from collections.abc import Iterable
from uuid import UUID

from django.db import connection
from django.db.models import Count

from tests.drill.tablet import Tablet
from travelers.floor.models import Event
from travelers.floor.queries import audit
from travelers.floor.rules import Wish


def differences() -> list[str]:
    """List what check_ledger would find in all instruments."""
    found = [
        difference
        for pk in audit.instrument_ids()
        for difference in audit.check_instrument(instrument_id=pk).differences
    ]
    return [str(each) for each in [*found, *audit.check_unknown_codes()]]


def assert_nothing_lost(tablets: Iterable[Tablet]) -> int:
    """Compare what tablets were told with the ledger; give how many events it has."""
    told: dict[UUID, bool] = {}
    for tablet in tablets:
        told |= tablet.acknowledged
    stored = dict(Event.objects.values_list("event_id", "accepted"))
    lost = told.keys() - stored.keys()
    assert not lost, f"{len(lost)} of {len(told)} acknowledged events are lost"
    assert {key: stored[key] for key in told} == told
    # Each press was insisted on, so that nothing else is in the ledger either.
    assert stored.keys() == told.keys()
    twice = (
        Event.objects.filter(accepted=True, kind__in=[Wish.START, Wish.FINISH])
        .values("step", "kind")
        .annotate(times=Count("seq"))
        .filter(times__gt=1)
    )
    assert list(twice) == []
    assert differences() == []
    assert sound() == "ok"
    return len(stored)


def sound() -> str:
    """Let SQLite look through its whole file; PostgreSQL has no such question."""
    if connection.vendor != "sqlite":
        return "ok"
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA integrity_check")
        return str(cursor.fetchone()[0])
