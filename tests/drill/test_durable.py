"""Is the database set to keep what it commits, in every process, and is it checked?"""

import json
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from django.core.checks import Error
from django.core.management import CommandError, call_command
from django.db import connection

from tests import make
from tests.drill import ledger
from tests.drill.cluster import cluster, looking_at
from tests.drill.tablet import Tablet, press_of, tablets, work_off
from tests.drill.wsgi import CONNECTION
from tests.serving import Server
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.kit import checks
from travelers.kit.durable import journal_mode
from travelers.orders.models import Step

on_sqlite = pytest.mark.skipif(connection.vendor != "sqlite", reason="of SQLite alone")
on_postgresql = pytest.mark.skipif(
    connection.vendor != "postgresql", reason="of PostgreSQL alone"
)


def told_by_all(server: Server) -> list[dict[str, str]]:
    """Ask until every process that serves has told how its connection is set."""
    found: dict[int, dict[str, str]] = {}
    for _ in range(400):
        answer = json.loads(server.visitor().ask("GET", CONNECTION).body)
        found[answer["pid"]] = answer["told"]
        if found.keys() == set(server.worker_pids()):
            return list(found.values())
    raise AssertionError(f"not all processes were met, only {sorted(found)}")


@pytest.mark.proof("R14")
@on_sqlite
def test_r14_every_process_waits_for_the_disk_on_sqlite(
    shop: make.Shop, server: Server
) -> None:
    """R14: the settings of the live connections are what was promised."""
    server.start()
    promised = {
        "synchronous": "2",
        "journal_mode": journal_mode().lower(),
        "foreign_keys": "1",
    }
    assert told_by_all(server) == [promised] * 2


@pytest.mark.proof("R14")
@on_postgresql
def test_r14_every_process_waits_for_the_disk_on_postgresql(
    server: Server,
) -> None:
    """R14: asked of a cluster that is set as a shop's is."""
    with cluster() as own:
        with looking_at(own.url):
            call_command("migrate", verbosity=0)
            assert durability() == []
        server.environment = {"DATABASE_URL": own.url}
        server.start()
        told = told_by_all(server)
        server.kill()
    assert {tuple(sorted(one.items())) for one in told} == {
        (
            ("fsync", "on"),
            ("full_page_writes", "on"),
            ("lock_timeout", "20s"),
            ("synchronous_commit", "on"),
        )
    }


def durability() -> list[Any]:
    return checks.durability(databases=["default"])


@pytest.mark.proof("R14")
@on_postgresql
@pytest.mark.django_db
def test_r14_a_postgresql_that_forgets_is_refused() -> None:
    """R14: the clusters of the tests themselves are set that way."""
    (found,) = durability()
    assert (found.id, found.level) == ("kit.E003", Error("").level)
    assert "fsync, synchronous_commit, full_page_writes off" in found.msg


@pytest.mark.proof("R14")
@on_sqlite
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(
    ("setting", "found"),
    [("OFF", ["kit.E001"]), ("NORMAL", ["kit.E001"]), ("FULL", []), ("EXTRA", [])],
)
def test_r14_a_sqlite_that_does_not_wait_is_refused(
    setting: str, found: list[str]
) -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA synchronous={setting}")
    try:
        assert [one.id for one in durability()] == found
    finally:
        connection.close()


@pytest.mark.proof("R14")
@on_sqlite
def test_r14_the_shop_does_not_start_on_a_database_that_forgets(
    transactional_db: None,
) -> None:
    """``make run`` migrates first, and that asks; the tests' own file is not synced."""
    with pytest.raises(CommandError, match=r"kit\.E001"):
        call_command("migrate", skip_checks=False, verbosity=0)


@pytest.mark.proof("R15")
@pytest.mark.parametrize(
    ("version", "mode"),
    [
        ((3, 7, 0), "DELETE"),
        ((3, 40, 1), "DELETE"),
        ((3, 44, 5), "DELETE"),
        ((3, 44, 6), "WAL"),
        ((3, 46, 1), "DELETE"),
        ((3, 50, 4), "DELETE"),
        ((3, 50, 7), "WAL"),
        ((3, 51, 2), "DELETE"),
        ((3, 51, 3), "WAL"),
        ((3, 52, 0), "WAL"),
    ],
)
def test_r15_only_a_mended_sqlite_gets_a_write_ahead_log(
    version: tuple[int, int, int], mode: str
) -> None:
    """R15: the versions are those of sqlite.org/wal.html#walresetbug."""
    assert journal_mode(version) == mode


@pytest.fixture
def wal(tmp_path: Path) -> Path:
    """Give a database that another program has put into WAL mode."""
    path = tmp_path / "shop.sqlite3"
    with closing(sqlite3.connect(path)) as made:
        made.execute("PRAGMA journal_mode=WAL")
        made.execute("CREATE TABLE plank (id INTEGER)")
    return path


@pytest.mark.proof("R15")
@on_sqlite
def test_r15_a_file_in_wal_mode_falls_back(wal: Path, django_db_blocker: Any) -> None:
    """R15: a connection of the shop takes a vulnerable file out of WAL mode."""
    if journal_mode() == "WAL":
        pytest.skip("this SQLite is mended")
    with django_db_blocker.unblock(), looking_at(f"sqlite:///{wal}"):
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA journal_mode")
            assert cursor.fetchone() == ("delete",)
        assert "kit.E002" not in {one.id for one in durability()}


@pytest.mark.proof("R15")
@on_sqlite
def test_r15_a_file_that_stays_in_wal_mode_is_refused(
    wal: Path, django_db_blocker: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """R15: where the settings were changed, so that nothing takes it out."""
    monkeypatch.setattr(checks, "journal_mode", lambda: "DELETE")
    options = {**connection.settings_dict["OPTIONS"], "init_command": "", "timeout": 1}
    monkeypatch.setitem(connection.settings_dict, "OPTIONS", options)
    with django_db_blocker.unblock(), looking_at(f"sqlite:///{wal}"):
        assert "kit.E002" in {one.id for one in durability()}


@pytest.mark.proof("R15")
@on_sqlite
@pytest.mark.django_db
@pytest.mark.parametrize(
    ("kind", "found"), [("nfs4", True), ("cifs", True), ("ext4", False)]
)
def test_r15_a_file_that_other_machines_can_reach_is_refused(
    kind: str, found: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """R15: two servers on two machines could not lock it against each other."""
    mounts = tmp_path / "mounts"
    folder = Path(connection.settings_dict["NAME"]).parent
    mounts.write_text(f"root / ext4 rw 0 0\nserver:/shop {folder} {kind} rw 0 0\n")
    monkeypatch.setattr(checks, "MOUNTS", mounts)
    assert ("kit.E004" in {one.id for one in durability()}) is found


@pytest.mark.proof("R15")
def test_r15_two_servers_on_one_database_lose_nothing(
    shop: make.Shop, server: Server
) -> None:
    """R15: started twice by mistake on one machine, they are like more processes."""
    shop.instruments(8)
    second = Server(server.application, server.environment)
    try:
        server.start()
        second.start()
        pressing = [*tablets(server, 4, limit=12), *tablets(second, 4, limit=12)]
        work_off(pressing)
        step = Step.objects.filter(operation__name="Rough").select_related(
            "station", "part"
        )[0]
        press = press_of(step, Wish.HOLD, reason="both", only_part="on")
        both = [
            Tablet(one.visitor(), iter([press])).sign_in() for one in (server, second)
        ]
        work_off(both)
    finally:
        second.kill()
    assert Event.objects.filter(event_id=press.event_id).count() == 1
    assert [dict(one.unanswered) for one in [*pressing, *both]] == [{}] * 10
    assert ledger.assert_nothing_lost([*pressing, *both]) == 8 * 12 + 1
