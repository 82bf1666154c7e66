"""What do the drills find ready: a shop, its server, a place to say figures?"""

from collections.abc import Callable, Iterator
from urllib.parse import quote

import pytest
from django.db import connection

from tests import forget, make
from tests.drill.size import IS_FULL
from tests.serving import Server

Say = Callable[[str], None]


@pytest.fixture
def shop(transactional_db: None) -> make.Shop:
    # Routes are kept by number, and numbers begin anew in an emptied database.
    forget.routes()
    return make.shop()


@pytest.fixture
def server(shop: make.Shop) -> Iterator[Server]:
    """Give a server of this test's database, which the test starts."""
    made = Server("tests.drill.wsgi:application", {"DATABASE_URL": database_url()})
    try:
        yield made
    finally:
        made.kill()


def database_url() -> str:
    """Write the address of the tests' own database as a deployment would."""
    told = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{told['NAME']}"
    user, name, host = told["USER"], told["NAME"], quote(told["HOST"])
    port = f"&port={told['PORT']}" if told["PORT"] else ""
    return f"postgres://{user}:{quote(told['PASSWORD'])}@/{name}?host={host}{port}"


@pytest.fixture
def say(capsys: pytest.CaptureFixture[str], request: pytest.FixtureRequest) -> Say:
    """Print a drill's figures when it is run in full; the tests time nothing."""

    def print_it(text: str) -> None:
        if IS_FULL:
            with capsys.disabled():
                print(f"\n{request.node.name} ({connection.vendor}): {text}")  # noqa: T201

    return print_it
