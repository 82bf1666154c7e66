"""How are two servers driven in turn, and what does a request cost each?"""

import http.client
import os
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlencode

TICK = os.sysconf("SC_CLK_TCK")


@dataclass(frozen=True)
class Cost:
    """Latencies in ms, and the server's own processor time in ms a request."""

    latencies: list[float]
    processor: float

    def percentile(self, share: float) -> float:
        ordered = sorted(self.latencies)
        return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


@dataclass
class Server:
    port: int
    pid: int
    cookies: str = ""
    csrf: str = ""

    def ask(
        self, method: str, path: str, fields: dict[str, str] | None = None
    ) -> tuple[int, bytes]:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        headers = {"Cookie": self.cookies, "X-CSRFToken": self.csrf}
        if method == "POST":
            headers |= {
                "Content-Type": "application/x-www-form-urlencoded",
                "HX-Request": "true",
                "HX-Target": "scene",
            }
        connection.request(method, path, urlencode(fields or {}), headers)
        answer = connection.getresponse()
        body = answer.read()
        connection.close()
        return answer.status, body

    def processor_ms(self) -> float:
        """Add up user and system time of the server and its workers."""
        total = 0
        for folder in Path("/proc").glob("[0-9]*"):
            try:
                fields = (folder / "stat").read_text().rsplit(")", 1)[1].split()
            except OSError:
                continue
            if int(fields[1]) == self.pid or folder.name == str(self.pid):
                total += int(fields[11]) + int(fields[12])
        return total * 1000 / TICK

    def measure(
        self, requests: list[Callable[[], tuple[int, bytes]]], *, threads: int = 1
    ) -> Cost:
        before = self.processor_ms()
        with ThreadPoolExecutor(threads) as pool:
            latencies = list(pool.map(_timed, requests))
        return Cost(latencies, (self.processor_ms() - before) / len(requests))


def _timed(request: Callable[[], tuple[int, bytes]]) -> float:
    started = time.perf_counter()
    status, body = request()
    if status >= 400:
        raise RuntimeError(f"the server answered {status}: {body[:2000]!r}")
    return (time.perf_counter() - started) * 1000


@contextmanager
def serving(application: str, environment: dict[str, str]) -> Iterator[Server]:
    """Serve an application as the shop is served: two gunicorn sync processes."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [
        str(Path(sys.executable).with_name("gunicorn")),
        application,
        "--workers=2",
        "--worker-class=sync",
        f"--bind=127.0.0.1:{port}",
        "--log-level=error",
    ]
    process = subprocess.Popen(command, env={**os.environ, **environment})
    try:
        _wait_for(port)
        yield Server(port, process.pid)
    finally:
        process.terminate()
        process.wait(timeout=20)


def _wait_for(port: int) -> None:
    for _ in range(200):
        with socket.socket() as door:
            if door.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    raise RuntimeError("the server did not open its door")
