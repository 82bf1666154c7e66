"""What does every test find ready, and how strict is it?"""

import os
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import UTC, datetime
from typing import Any

import hypothesis
import pytest
from django.conf import settings
from django.db import connection
from django.utils import translation

from tests import forget, migrated, said, strict
from tests.standing import Ground, Plan, World, shop_of
from travelers.kit import pages

# A busy machine is no fault. The gate tries the same cases each time, a person others.
hypothesis.settings.register_profile(
    "house", deadline=None, derandomize=bool(os.environ.get("CI"))
)
hypothesis.settings.load_profile("house")

# What stands in this process's database.
GROUND = Ground()


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with the longest, and mark what asks a database, for the second of them.

    Of a test with many parameters the first will do on the second database, unless
    it is marked: each of them asks the database itself another thing.
    """
    for item in items:
        asked = {"db", "transactional_db"} & set(getattr(item, "fixturenames", ()))
        if asked or item.get_closest_marker("django_db"):
            item.add_marker(pytest.mark.database)
        given = getattr(item, "callspec", None)
        if (
            given
            and any(given.indices.values())
            and not item.get_closest_marker("each")
        ):
            item.add_marker(pytest.mark.again)
    GROUND.look_at(items)
    items.sort(key=lambda item: item.get_closest_marker("long") is None)


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item: pytest.Item) -> None:
    GROUND.prepare(item)


@pytest.fixture
def at() -> datetime:
    """Give a Tuesday morning on which the shop works, far from a change of clocks."""
    return datetime(2026, 3, 10, 8, 30, tzinfo=UTC)


@pytest.fixture(autouse=True, scope="session")
def _undefined_names_fail() -> Iterator[None]:
    with strict.undefined_names_fail():
        yield


@pytest.fixture(autouse=True, scope="session")
def _refusals_are_noted() -> Iterator[None]:
    with said.noted():
        yield


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any) -> None:
    said.take(node)


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    said.hand_over(session.config)
    if exitstatus == pytest.ExitCode.OK and said.never_said(session.config):
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    if missing := said.never_said(config):
        terminalreporter.section("refusals that no test reaches")
        terminalreporter.write_line(", ".join(missing))
    if again := terminalreporter.stats.get("rerun"):
        terminalreporter.section("failed at the first try: look at these")
        for one in again:
            terminalreporter.write_line(f"{one.nodeid}\n{one.longreprtext[-1500:]}")


@pytest.fixture(autouse=True)
def _nothing_is_left_by_the_test_before() -> None:
    """Begin in English, and forget the routes of a database that was rolled back."""
    translation.activate("en")
    forget.routes()


@pytest.fixture(autouse=True, scope="module")
def _nothing_is_left_by_the_module_before() -> None:
    """Forget the routes also before a shop that all tests of a module share."""
    forget.routes()


@pytest.fixture
def _world(request: pytest.FixtureRequest) -> World:
    return GROUND.world_of(request.node)


# The small shop, and the same with operations that use materials.
standing = shop_of(Plan(), "standing")
standing_with_uses = shop_of(Plan(uses=True), "standing_with_uses")


@pytest.fixture(autouse=True)
def _rendering_does_not_query(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pages, "render_guard", strict.no_queries)


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    tmp_path_factory: pytest.TempPathFactory,
    django_db_modify_db_settings_parallel_suffix: None,
) -> None:
    """Give SQLite a file, as in the shop: threads and servers then see one truth."""
    database = settings.DATABASES["default"]
    if database["ENGINE"].endswith("sqlite3"):
        folder = tmp_path_factory.mktemp("database")
        database.setdefault("TEST", {})["NAME"] = str(folder / "test.sqlite3")
        # Power does not fail in a test; waiting for the disk would only cost time.
        database["OPTIONS"]["init_command"] += "PRAGMA synchronous=OFF;"


@pytest.fixture(scope="session")
def _migrated_once(
    tmp_path_factory: pytest.TempPathFactory,
    django_db_modify_db_settings: None,
    django_db_blocker: Any,
) -> Iterator[Callable[[], None]]:
    """Let one of several workers migrate; a database that stays they leave alone."""
    with ExitStack() as waiting:
        if "PYTEST_XDIST_WORKER" in os.environ and (
            connection.vendor == "sqlite" or "DATABASE_IS_THROWN_AWAY" in os.environ
        ):
            folder = tmp_path_factory.getbasetemp().parent
            waiting.enter_context(django_db_blocker.unblock())
            waiting.enter_context(migrated.by_the_first(folder))
        yield waiting.close


@pytest.fixture(scope="session")
def django_db_setup(
    _migrated_once: Callable[[], None], django_db_setup: None, django_db_blocker: Any
) -> Iterator[None]:
    _migrated_once()
    GROUND.blocker = django_db_blocker
    with strict.triggers_lifted_while_flushing():
        yield
    GROUND.clear()
