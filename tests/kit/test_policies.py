"""Which page or file may do what, by the policy that it is served with?"""

import pytest
from django.test import Client

from tests import make
from tests.desk import client


def policy(asker: Client, path: str) -> dict[str, str]:
    """Read the content policy of an address, by directive."""
    answer = asker.get(path)
    answer.close()
    assert answer.status_code == 200
    header = answer.headers.get("Content-Security-Policy", "")
    parts = [part.strip().partition(" ") for part in header.split(";") if part]
    return {name: value for name, _, value in parts}


@pytest.mark.django_db
def test_only_the_cameras_worker_may_compile_a_reader() -> None:
    found = policy(Client(), "/static/kit/camera_worker.js")
    assert found == {
        "default-src": "'none'",
        "script-src": "'self' 'wasm-unsafe-eval'",
        "connect-src": "'self'",
    }
    assert policy(Client(), "/static/kit/camera.js") == {}


@pytest.mark.parametrize("path", ["/station/SAW/", "/stations/"])
@pytest.mark.django_db
def test_no_page_may_run_more_than_our_own_files(path: str) -> None:
    shop = make.shop()
    found = policy(client(shop, "joiner"), path)
    assert found["default-src"] == "'none'"
    assert found["script-src"] == "'self'"
    assert "media-src" not in found
