"""Is nothing acknowledged that a full disk could not take, and does it recover?"""

import resource
import sqlite3
import subprocess
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest
from django.db import connection

from tests import make
from tests.drill import ledger
from tests.drill.tablet import Tablet, press_of, presses_for
from tests.serving import JSON, PIECE, Server
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.orders.models import Step

pytestmark = [
    pytest.mark.skipif(
        connection.vendor != "sqlite", reason="only SQLite's disk is the shop's own"
    ),
    pytest.mark.timeout(600),
]

ROOM = 150_000
# More presses than fit into the room; each event takes about a kilobyte.
MOST_PRESSES = 400

Full = Callable[[], None]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """Mount a disk that is as large as the database and a little room."""
    size = Path(connection.settings_dict["NAME"]).stat().st_size
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={size + 2_000_000}", "tmpfs", tmp_path],
        check=False,
        capture_output=True,
    )
    if mounted.returncode:
        pytest.skip("NOT RUN: no disk of its own can be mounted here")
    try:
        yield tmp_path
    finally:
        subprocess.run(["umount", "-l", tmp_path], check=True)


def copy(one: Path, other: Path) -> None:
    """Copy a database that nobody writes to, by SQLite's own means."""
    with closing(sqlite3.connect(one)) as old, closing(sqlite3.connect(other)) as new:
        old.backup(new)


def without_gaps(database: Path) -> None:
    """Give back the room that tests before have left free inside the file."""
    with closing(sqlite3.connect(database)) as file:
        # Some constraints of the tables ask for it; the rows stand already.
        file.create_function("regexp", 2, lambda *_: True)
        file.execute("VACUUM")


def steps_of(shop: make.Shop) -> list[Step]:
    shop.instruments(4)
    ready = Step.objects.filter(state="READY", station__attended=True)
    return list(ready.select_related("station", "part").order_by("pk"))


def press_until_full(tablet: Tablet, steps: list[Step]) -> None:
    for made, press in enumerate(presses_for(steps)):
        assert made < MOST_PRESSES, "the disk did not fill"
        if not tablet.try_once(press):
            assert tablet.unanswered == {"507": 1}
            tablet.presses = iter([press])
            return


def assert_said_in_words(tablet: Tablet, steps: list[Step]) -> None:
    """Check that a full disk is answered in place, and that reading goes on."""
    press = press_of(steps[0], Wish.HOLD, reason="full", only_part="on")
    for headers in ({}, PIECE, JSON):
        tablet.headers = headers
        answer = tablet.send(press)
        assert answer.status == 507
        assert "kit.records_full" in answer.text
        assert "this was not stored" in answer.text
        assert answer.headers["Retry-After"]
    tablet.headers = PIECE
    for page in ("/station/SAW/", f"/station/SAW/?code={steps[0].part.code}", "/"):
        assert tablet.visitor.ask("GET", page).status == 200


def drill(
    server: Server, steps: list[Step], database: Path, fill: Full, free: Full
) -> None:
    """Fill the disk under a tablet, look at the answers, and free it again."""
    server.start()
    tablet = Tablet(server.visitor(), iter(())).sign_in()
    tablet.insist(press_of(steps[0], Wish.HOLD, reason="before", only_part="on"))
    fill()
    press_until_full(tablet, steps)
    (waiting,) = tablet.presses
    assert_said_in_words(tablet, steps)
    free()
    # Nobody starts anything anew: the same press is sent again, and is taken.
    tablet.insist(waiting, patience_s=5)
    for press in presses_for(steps, limit=20):
        tablet.insist(press, patience_s=5)
    server.kill()
    connection.close()
    copy(database, Path(connection.settings_dict["NAME"]))
    assert ledger.assert_nothing_lost([tablet]) > 20
    assert Event.objects.filter(event_id=waiting.event_id, accepted=True).exists()


@pytest.mark.proof("R7")
def test_r7_a_full_disk_is_said_and_nothing_is_acknowledged(
    shop: make.Shop, server: Server, small_disk: Path
) -> None:
    """R7: on a small disk of its own, which is filled and freed."""
    steps = steps_of(shop)
    database, ballast = small_disk / "shop.sqlite3", small_disk / "ballast"
    copy(Path(connection.settings_dict["NAME"]), database)
    without_gaps(database)
    server.environment = {"DATABASE_URL": f"sqlite:///{database}"}

    def fill() -> None:
        free = subprocess.run(
            ["df", "--output=avail", "-B1", small_disk],
            check=True,
            capture_output=True,
            text=True,
        )
        ballast.write_bytes(bytes(int(free.stdout.split()[1]) - ROOM))

    drill(server, steps, database, fill, ballast.unlink)


@pytest.mark.proof("R7")
def test_r7_a_file_that_may_not_grow_is_said_too(
    shop: make.Shop, server: Server, tmp_path: Path
) -> None:
    """R7: by a limit on the size of files, which needs no rights."""
    steps = steps_of(shop)
    database = tmp_path / "shop.sqlite3"
    copy(Path(connection.settings_dict["NAME"]), database)
    without_gaps(database)
    server.environment = {"DATABASE_URL": f"sqlite:///{database}"}
    unlimited = resource.getrlimit(resource.RLIMIT_FSIZE)[1]

    def limit_to(size: int) -> None:
        for pid in server.worker_pids():
            resource.prlimit(pid, resource.RLIMIT_FSIZE, (size, unlimited))

    drill(
        server,
        steps,
        database,
        lambda: limit_to(database.stat().st_size + ROOM // 4),
        lambda: limit_to(unlimited),
    )
