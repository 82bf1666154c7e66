"""Is it told in time that the certificate at the shop's address runs out?

Against real TLS on this machine, with certificates of an authority made here.
"""

import ssl
import threading
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from socketserver import BaseRequestHandler, ThreadingTCPServer
from typing import Any

import pytest
import time_machine
import trustme
from django.core.management import CommandError, call_command

from tests import make
from tests.desk import client, text_of
from travelers.shop.queries import find_certificate

NOW = datetime(2026, 3, 10, 8, 30, tzinfo=UTC)
Served = Callable[[timedelta], str]


class Answer(BaseRequestHandler):
    """Shake hands and hang up."""

    def handle(self) -> None:
        assert isinstance(self.server, Tls)
        try:
            self.server.showing.wrap_socket(self.request, server_side=True).close()
        except (ssl.SSLError, ConnectionError):
            return


class Tls(ThreadingTCPServer):
    """A server that shows a certificate, as the shop's proxy does."""

    daemon_threads = True

    def __init__(self, showing: ssl.SSLContext) -> None:
        self.showing = showing
        super().__init__(("127.0.0.1", 0), Answer)


@pytest.fixture
def served() -> Iterator[Served]:
    """Show a certificate that ends so long from now; give its address."""
    running: list[Tls] = []

    def show(left: timedelta) -> str:
        made = trustme.CA().issue_cert(
            "127.0.0.1", not_before=NOW - timedelta(days=90), not_after=NOW + left
        )
        showing = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
        made.configure_cert(showing)
        one = Tls(showing)
        running.append(one)
        threading.Thread(target=one.serve_forever, daemon=True).start()
        return f"HTTPS://127.0.0.1:{one.server_address[1]}"

    yield show
    for one in running:
        one.shutdown()
        one.server_close()


@pytest.mark.point(42)
@pytest.mark.parametrize(
    ("left", "days", "short"),
    [
        (timedelta(days=60, hours=1), 60, False),
        (timedelta(days=30, hours=1), 30, False),
        (timedelta(days=20, hours=1), 20, True),
        (timedelta(days=-2, hours=1), -2, True),
    ],
)
def test_it_is_seen_how_long_a_certificate_holds(
    served: Served, left: timedelta, days: int, short: bool
) -> None:
    found = find_certificate(origin=served(left))
    assert found
    assert found.ends_at == NOW + left
    assert (found.days_left(NOW), found.is_short(NOW)) == (days, short)


@pytest.mark.parametrize("origin", ["http://shop.lan", "HTTP://10.0.0.7:8000", ""])
def test_a_plain_address_has_none(origin: str) -> None:
    assert find_certificate(origin=origin) is None


def test_where_nobody_answers_it_says_so(served: Served) -> None:
    with ThreadingTCPServer(("127.0.0.1", 0), BaseRequestHandler) as shut:
        port = shut.server_address[1]
    found = find_certificate(origin=f"https://127.0.0.1:{port}")
    assert found
    assert found.ends_at is None
    assert "refused" in found.fault
    assert found.is_short(NOW)


@pytest.mark.proof("D4")
@pytest.mark.point(42)
@time_machine.travel(NOW, tick=False)
def test_a_nightly_job_fails_thirty_days_before(
    served: Served, settings: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    settings.PUBLIC_ORIGIN = served(timedelta(days=31, hours=1))
    call_command("check_certificate")
    assert "127.0.0.1: 31 days left" in capsys.readouterr().out
    settings.PUBLIC_ORIGIN = served(timedelta(days=20, hours=1))
    with pytest.raises(CommandError, match="20 days left"):
        call_command("check_certificate")
    settings.PUBLIC_ORIGIN = "HTTPS://127.0.0.1:1"
    with pytest.raises(CommandError, match="No certificate could be seen"):
        call_command("check_certificate")
    settings.PUBLIC_ORIGIN = "HTTP://SHOP.LAN"
    call_command("check_certificate")
    assert "plain http" in capsys.readouterr().out


@pytest.mark.proof("D4")
@pytest.mark.point(42)
@pytest.mark.django_db
@time_machine.travel(NOW, tick=False)
@pytest.mark.parametrize(
    ("left", "says"),
    [
        (60, "holds for 60 days more"),
        (20, "holds for 20 days more"),
        (0, "holds for 0 days more"),
        (-2, "ran out on"),
    ],
)
def test_the_lead_sees_it_with_the_tablets(
    served: Served, settings: Any, left: int, says: str
) -> None:
    settings.PUBLIC_ORIGIN = served(timedelta(days=left, hours=1))
    page = " ".join(text_of(client(make.shop(), "lead").get("/tablets/")).split())
    assert says in page
    assert ("Renew it now" in page) is (left in (20, 0))
    assert ("certificate-short" in page) is (left < 30)


@pytest.mark.django_db
def test_the_page_of_tablets_comes_though_nobody_answers(
    settings: Any,
) -> None:
    settings.PUBLIC_ORIGIN = "HTTPS://127.0.0.1:1"
    page = text_of(client(make.shop(), "lead").get("/tablets/"))
    assert "No certificate could be seen at 127.0.0.1" in page
