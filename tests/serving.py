"""How is the shop served by real processes, and visited over real sockets?

Every server stands in a process group of its own, so that all of it can be killed
and nothing of it outlives its test.
"""

import http.client
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from http.cookies import SimpleCookie
from pathlib import Path
from urllib.parse import urlencode

TICK = os.sysconf("SC_CLK_TCK")
# How htmx asks for the scene of a station.
PIECE = {"HX-Request": "true", "HX-Target": "scene"}
JSON = {"Accept": "application/json"}


@dataclass(frozen=True)
class Answer:
    """What a server said; an answer that never came is an ``OSError`` instead."""

    status: int
    body: bytes
    headers: Mapping[str, str]

    @property
    def text(self) -> str:
        return self.body.decode()


@dataclass
class Visitor:
    """A browser without a screen: it keeps cookies and repeats the one of forms."""

    port: int
    cookies: dict[str, str] = field(default_factory=dict)
    patience: float = 60

    def ask(
        self,
        method: str,
        path: str,
        fields: Mapping[str, str] | None = None,
        headers: Mapping[str, str] | None = None,
        *,
        json: str = "",
    ) -> Answer:
        given = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        sent = {"Cookie": given, "X-CSRFToken": self.cookies.get("csrftoken", "")}
        if method == "POST":
            kind = "json" if json else "x-www-form-urlencoded"
            sent["Content-Type"] = f"application/{kind}"
        connection = http.client.HTTPConnection(
            "127.0.0.1", self.port, timeout=self.patience
        )
        try:
            body = json or urlencode(fields or {})
            connection.request(method, path, body, {**sent, **(headers or {})})
            answer = connection.getresponse()
            return self._keep(answer, answer.read())
        except http.client.HTTPException as fault:
            raise ConnectionError(repr(fault)) from fault
        finally:
            connection.close()

    def _keep(self, answer: http.client.HTTPResponse, body: bytes) -> Answer:
        for line in answer.headers.get_all("Set-Cookie", []):
            for name, crumb in SimpleCookie(line).items():
                self.cookies[name] = crumb.value
        return Answer(answer.status, body, dict(answer.headers.items()))

    def sign_in(self, name: str, password: str) -> None:
        self.ask("GET", "/sign-in/")
        said = {"username": name, "password": password}
        said["csrfmiddlewaretoken"] = self.cookies["csrftoken"]
        answer = self.ask("POST", "/sign-in/", said)
        if answer.status != 302:
            raise RuntimeError(f"signing in as {name} was answered {answer.status}")


@dataclass
class Server:
    """A gunicorn that is started, killed and started again on one port."""

    application: str
    environment: Mapping[str, str]
    kind: str = "sync"
    workers: int = 2
    threads: int = 1
    port: int = 0
    process: "subprocess.Popen[bytes] | None" = None

    def __post_init__(self) -> None:
        self.port = self.port or free_port()

    def start(self) -> float:
        """Start it and wait until it answers; say how many seconds that took."""
        command = [
            str(Path(sys.executable).with_name("gunicorn")),
            self.application,
            f"--workers={self.workers}",
            f"--worker-class={self.kind}",
            f"--threads={self.threads}",
            f"--bind=127.0.0.1:{self.port}",
            "--log-level=critical",
            "--no-control-socket",
            "--timeout=120",
        ]
        started = time.perf_counter()
        self.process = subprocess.Popen(
            command, env={**os.environ, **self.environment}, start_new_session=True
        )
        self._wait()
        return time.perf_counter() - started

    def _wait(self) -> None:
        """Ask until somebody answers, whatever the answer is."""
        deadline = time.perf_counter() + 60
        while time.perf_counter() < deadline:
            if self.process and self.process.poll() is not None:
                raise RuntimeError("the server went before it answered")
            with suppress(OSError):
                Visitor(self.port, patience=20).ask("GET", "/sign-in/")
                return
            time.sleep(0.02)
        raise RuntimeError("the server did not open its door")

    @property
    def pid(self) -> int:
        if self.process is None:
            raise RuntimeError("the server is not running")
        return self.process.pid

    def kill(self) -> None:
        """End all of it at once, as a power cut of the machine would."""
        if self.process is None:
            return
        with suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(timeout=20)
        self.process = None

    def kill_workers(self) -> None:
        """End those that answer; the one that minds them starts others."""
        for pid in self.worker_pids():
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)

    def worker_pids(self) -> list[int]:
        return _children(self.pid)

    def processor_ms(self) -> float:
        """Add up user and system time of the server and its workers."""
        return sum(map(_processor_ms, [self.pid, *self.worker_pids()]))

    def visitor(self) -> Visitor:
        return Visitor(self.port)


def _children(pid: int) -> list[int]:
    found = []
    for folder in Path("/proc").glob("[0-9]*"):
        fields = _stat(int(folder.name))
        if fields and int(fields[1]) == pid:
            found.append(int(folder.name))
    return found


def _stat(pid: int) -> list[str]:
    """Read what Linux tells of a process, from its state on; nothing if it is gone."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
    except OSError:
        return []


def _processor_ms(pid: int) -> float:
    fields = _stat(pid)
    return (int(fields[11]) + int(fields[12])) * 1000 / TICK if fields else 0.0


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port: int = free.getsockname()[1]
    return port


@contextmanager
def serving(
    application: str, environment: Mapping[str, str], **how: int | str
) -> Iterator[Server]:
    """Serve an application as the shop is served: two gunicorn sync processes."""
    server = Server(application, environment, **how)
    try:
        server.start()
        yield server
    finally:
        server.kill()
