"""Do the tests' own strictnesses bite?"""

import socket
import warnings
from dataclasses import dataclass

import pytest
from django.contrib.auth import get_user_model
from django.core.management.color import no_style
from django.db import connection, transaction
from django.http import HttpRequest
from django.template import Context, Engine, Origin, Template
from django.test import RequestFactory

from tests import strict
from travelers.kit import pages


@dataclass(frozen=True)
class Board:
    title: str
    hold: str | None = None


Board.__module__ = "travelers.floor.queries"  # as the pages' own dataclasses


def ours(source: str) -> Template:
    origin = Origin(str(strict.OURS / "floor/templates/floor/board.html"))
    return Template(source, origin=origin, engine=Engine.get_default())


GIVEN = {"page": Board("Neck"), "rows": []}


@pytest.mark.parametrize(
    "source",
    [
        "{{ page.title }}",
        "{% if page.hold %}{{ page.hold }}{% endif %}",
        "{% if page.hold.reason %}held{% endif %}",
        "{% if other %}shown{% endif %}",
        "{% if rows.0 %}first{% endif %}",
        "{% load i18n %}{% blocktranslate with a=page.title %}{{ a }}"
        "{% endblocktranslate %}",
    ],
)
def test_a_name_that_was_given_can_be_shown(source: str) -> None:
    assert ours(source).render(Context(GIVEN)) in {"Neck", ""}


@pytest.mark.parametrize(
    "source",
    [
        "{{ caption }}",
        "{{ caption|default:'none' }}",
        "{{ page.caption }}",
        "{% if page.caption %}shown{% endif %}",
        "{% for row in page.rows %}{{ row }}{% endfor %}",
        "{% load i18n %}{% blocktranslate %}{{ caption }}{% endblocktranslate %}",
    ],
)
def test_a_name_that_was_not_given_fails(source: str) -> None:
    with pytest.raises(strict.UndefinedNameError, match=r"caption|rows"):
        ours(source).render(Context(GIVEN))


def test_templates_of_others_stay_as_they_were_written() -> None:
    theirs = Template("a{{ caption }}{{ caption|default:'b' }}")
    assert theirs.render(Context()) == "ab"


@pytest.mark.django_db
def test_a_template_that_asks_the_database_fails() -> None:
    with (
        strict.no_queries(),
        pytest.raises(AssertionError, match="A template asks the database"),
    ):
        get_user_model().objects.count()
    get_user_model().objects.count()


@pytest.mark.django_db
def test_showing_a_page_is_guarded(
    rf: RequestFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    def render(request: HttpRequest, *_: object, **__: object) -> None:
        get_user_model().objects.count()

    monkeypatch.setattr(pages, "render", render)
    with pytest.raises(AssertionError, match="A template asks the database"):
        pages.show(rf.get("/"), "floor/board.html", None)


def test_the_world_outside_is_out_of_reach() -> None:
    with (
        warnings.catch_warnings(action="ignore"),
        socket.socket() as door,
        pytest.raises(RuntimeError, match="allowed"),
    ):
        door.connect(("192.0.2.1", 80))


def test_a_warning_is_an_error() -> None:
    with pytest.raises(UserWarning):
        warnings.warn("something is old", stacklevel=1)


@pytest.mark.django_db(transaction=True)
def test_emptying_tables_passes_a_trigger_that_a_delete_does_not() -> None:
    """Make a table append-only, then flush it as the tests with real commits do."""
    table = get_user_model()._meta.db_table
    _refuse_deletes(table)
    get_user_model().objects.create(username="joiner")
    with pytest.raises(Exception, match="append"), transaction.atomic():
        _run(f"DELETE FROM {table}")
    connection.ops.execute_sql_flush(
        connection.ops.sql_flush(no_style(), [table], allow_cascade=True)
    )
    assert get_user_model().objects.count() == 0
    get_user_model().objects.create(username="finisher")
    with pytest.raises(Exception, match="append"), transaction.atomic():
        _run(f"DELETE FROM {table}")
    _allow_deletes(table)


def _run(*statements: str) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def _refuse_deletes(table: str) -> None:
    if connection.vendor == "sqlite":
        _run(
            f"CREATE TRIGGER keep BEFORE DELETE ON {table} "
            "BEGIN SELECT RAISE(ABORT, 'append only'); END"
        )
    else:
        _run(
            "CREATE FUNCTION keep() RETURNS trigger LANGUAGE plpgsql AS "
            "$$ BEGIN RAISE 'append only'; END $$",
            f"CREATE TRIGGER keep BEFORE DELETE OR TRUNCATE ON {table} "
            "EXECUTE FUNCTION keep()",
        )


def _allow_deletes(table: str) -> None:
    if connection.vendor == "sqlite":
        _run("DROP TRIGGER keep")
    else:
        _run(f"DROP TRIGGER keep ON {table}", "DROP FUNCTION keep")
