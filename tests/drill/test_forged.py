"""Is everything found that somebody with the keys changes behind the ledger's back?"""

import random
from collections import Counter
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.db import DatabaseError, transaction

from tests.drill.conftest import Say
from tests.drill.size import sized
from tests.floor import story
from tests.floor.damage import COLUMNS, Barred, damage, delete, found, update
from travelers.floor.models import Event, Hold, Reading
from travelers.floor.queries import audit
from travelers.orders.models import Step

pytestmark = [pytest.mark.django_db, pytest.mark.timeout(3600)]

MUTATIONS = sized(60, 1000)
REMOVABLE = (Event, Reading, Hold, Step)


@pytest.fixture(scope="module")
def told(django_db_setup: None, django_db_blocker: Any) -> Iterator[story.Story]:
    """Tell the story once; each forgery is taken back."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield story.tell()
        transaction.set_rollback(True)


def change_a_field(chance: random.Random) -> str:
    model = chance.choice(list(COLUMNS))
    name = chance.choice(COLUMNS[model])
    row, done = damage(chance.randrange(10**9), model, name)
    return f"{model.__name__} {row.pk}, {done}"


def remove_a_row(chance: random.Random) -> str:
    row = chance.choice(list(chance.choice(REMOVABLE).objects.order_by("pk")))
    remove(row)
    return f"{type(row).__name__} {row.pk} removed"


def remove(row: Any) -> None:
    """Remove a row, and of an event the readings and hold that hang on it."""
    if isinstance(row, Event):
        for hanging in (*Reading.objects.filter(event=row), *holds_of(row)):
            delete(hanging)
    delete(row)


def holds_of(event: Event) -> list[Hold]:
    return list(Hold.objects.filter(event=event))


def swap_two(chance: random.Random) -> str:
    """Let two events of one chain change their numbers."""
    one = chance.choice(list(Event.objects.order_by("seq")))
    others = Event.objects.filter(instrument=one.instrument_id).exclude(pk=one.pk)
    other = chance.choice(list(others.order_by("seq")))
    spare, first, second = 10**9, one.seq, other.seq
    for event, seq in ((one, spare), (other, first)):
        renumber(event, seq)
    one.seq = spare
    renumber(one, second)
    return f"events {first} and {second} swapped"


def renumber(event: Event, seq: int) -> None:
    """Give an event another number, and to what hangs on it."""
    hanging = [*Reading.objects.filter(event=event), *holds_of(event)]
    update(event, "seq", seq)
    for row in hanging:
        update(row, "event_id", seq)
    for hold in Hold.objects.filter(lifted=event):
        update(hold, "lifted_id", seq)


def cut_the_end(chance: random.Random) -> str:
    """Take the last events of one chain away, with all that hangs on them."""
    chain = chance.choice(
        list(Event.objects.order_by("instrument").values_list("instrument").distinct())
    )[0]
    last = list(Event.objects.filter(instrument=chain).order_by("-seq")[:3])
    gone = last[: chance.randint(1, 3)]
    for event in gone:
        remove(event)
    return f"the last {len(gone)} events of instrument {chain} cut off"


FORGERIES: tuple[Callable[[random.Random], str], ...] = (
    change_a_field,
    remove_a_row,
    swap_two,
    cut_the_end,
)


@pytest.mark.proof("R24")
def test_r24_every_forgery_is_found(told: story.Story, say: Say) -> None:
    """R24: one field, one row, two swapped, the end cut off; the last by its head."""
    chance = random.Random(20260310)
    heads = list(audit.heads())
    assert found() == []
    assert list(audit.compare_heads(heads)) == []
    missed, tried = [], Counter[str]()
    by_head_alone = 0
    while tried.total() < MUTATIONS:
        forge = FORGERIES[tried.total() % len(FORGERIES)]
        with transaction.atomic():
            try:
                with transaction.atomic():
                    done = forge(chance)
            except (DatabaseError, Barred):
                continue  # a key or a constraint of the table stops it already
            by_rows, by_heads = found(), list(audit.compare_heads(heads))
            transaction.set_rollback(True)
        tried[forge.__name__] += 1
        by_head_alone += bool(by_heads and not by_rows)
        if not by_rows and not by_heads:
            missed.append(done)
    assert missed == []
    assert len(tried) == len(FORGERIES)
    # Otherwise the heads would be worth nothing.
    assert by_head_alone > 0
    assert found() == []
    kinds = dict(tried)
    say(f"all {tried.total()} found, {by_head_alone} by a head alone: {kinds}")
