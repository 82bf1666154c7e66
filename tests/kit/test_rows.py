"""Does a question whose SQL is made once give what Django gives?"""

import pytest
from django.db import connection
from django.db.models import QuerySet

from tests import make
from travelers.kit.rows import OftenAsked
from travelers.orders.models import Instrument, Step

COLUMNS = ("id", "state", "ready_at", "stage__name", "station__name")


def steps_of(instrument_id: int) -> "QuerySet[Step, tuple[object, ...]]":
    return (
        Step.objects.filter(instrument_id=instrument_id, state__in=["READY", "WAITING"])
        .order_by("part_id", "position")
        .values_list(*COLUMNS)
    )


@pytest.fixture
def instruments(db: None) -> list[Instrument]:
    return make.shop().instruments(2)


def test_the_rows_are_those_that_django_gives(instruments: list[Instrument]) -> None:
    ask = OftenAsked(steps_of)
    for instrument in instruments:
        rows = ask(instrument.pk)
        assert rows == list(steps_of(instrument.pk))
        assert rows
    assert ask(0) == []


def test_the_sql_is_made_once(instruments: list[Instrument]) -> None:
    made = []

    def steps(instrument_id: int) -> "QuerySet[Step, tuple[object, ...]]":
        made.append(instrument_id)
        return steps_of(instrument_id)

    ask = OftenAsked(steps)
    for instrument in instruments:
        ask(instrument.pk)
    assert len(made) == 1


def test_the_question_goes_by_the_usual_cursor(instruments: list[Instrument]) -> None:
    asked: list[str] = []

    def note(execute, sql, params, many, context):
        asked.append(sql)
        return execute(sql, params, many, context)

    ask = OftenAsked(steps_of)
    with connection.execute_wrapper(note):
        ask(instruments[0].pk)
    assert len(asked) == 1
