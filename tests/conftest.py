"""What every test gets: no network, a flush that the insert-only triggers let through, rings."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from django.db import connections
from django.test import TransactionTestCase

from tests.faults.databases import _played, ready_shop  # noqa: F401  (fixtures of two rings)

if TYPE_CHECKING:
    from playwright.sync_api import Browser

LOOPBACK = {"127.0.0.1", "::1", "localhost", ""}

# ring: (the programs it needs, the Debian packages that bring them)
RINGS: dict[str, tuple[tuple[str, ...], str]] = {
    "browser": (("chromium",), "chromium"),
    "paper": (("pdfsig", "qpdf"), "poppler-utils qpdf libnss3-tools"),
    "services": (("redis-server",), "redis-server"),
}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip a ring whose tools are absent, and say so; where CI=true its tests fail instead."""
    absent = {ring: _absent(programs) for ring, (programs, _) in RINGS.items()}
    for item in items:
        for ring, programs in absent.items():
            if programs and item.get_closest_marker(ring):
                reason = (
                    f"ring {ring}: {', '.join(programs)} not installed; "
                    f"apt-get install {RINGS[ring][1]}"
                )
                item.add_marker(pytest.mark.usefixtures("_absent_ring"))
                item.stash[_REASON] = reason


_REASON = pytest.StashKey[str]()


def _absent(programs: tuple[str, ...]) -> list[str]:
    return [program for program in programs if shutil.which(program) is None]


@pytest.fixture
def _absent_ring(request: pytest.FixtureRequest) -> None:
    reason = request.node.stash[_REASON]
    if os.environ.get("CI") == "true":
        pytest.fail(reason)
    pytest.skip(reason)


def _refuse_foreign(address: object) -> None:
    """Let a socket reach this machine only."""
    host = address[0] if isinstance(address, tuple) else ""  # a path is a Unix socket
    if host not in LOOPBACK:
        raise OSError(f"tests run with the network off: something asked for {host!r}")


@pytest.fixture(scope="session", autouse=True)
def _network_off() -> Iterator[None]:
    """Close every way out of this machine, name look-ups included."""
    kept_connect, kept_connect_ex = socket.socket.connect, socket.socket.connect_ex
    kept_sendto, kept_look_up = socket.socket.sendto, socket.getaddrinfo

    def connect(self: socket.socket, address: Any) -> None:
        _refuse_foreign(address)
        kept_connect(self, address)

    def connect_ex(self: socket.socket, address: Any) -> int:
        _refuse_foreign(address)
        return kept_connect_ex(self, address)

    def sendto(self: socket.socket, data: Any, *rest: Any) -> int:
        _refuse_foreign(rest[-1])
        return kept_sendto(self, data, *rest)

    def look_up(host: Any, *rest: Any, **options: Any) -> Any:
        _refuse_foreign((host or "",))
        return kept_look_up(host, *rest, **options)

    patch = pytest.MonkeyPatch()
    patch.setattr(socket.socket, "connect", connect)
    patch.setattr(socket.socket, "connect_ex", connect_ex)
    patch.setattr(socket.socket, "sendto", sendto)
    patch.setattr(socket, "getaddrinfo", look_up)
    yield
    patch.undo()


@pytest.fixture(scope="session", autouse=True)
def _flush_past_the_triggers() -> Iterator[None]:
    """Take the insert-only triggers down around the flush that follows a TransactionTestCase.

    The flush empties tables, which the triggers are there to refuse. They are up again before the
    next test starts, and up during every test.
    """
    case: Any = TransactionTestCase  # its two private methods are in no type stub
    flush: Callable[[TransactionTestCase], None] = case._fixture_teardown

    def flush_without_triggers(self: Any) -> None:
        from records import triggers

        used = [connections[alias] for alias in self._databases_names(include_mirrors=False)]
        for connection in used:
            triggers.uninstall(connection)
        try:
            flush(self)
        finally:
            for connection in used:
                triggers.install(connection)

    patch = pytest.MonkeyPatch()
    patch.setattr(TransactionTestCase, "_fixture_teardown", flush_without_triggers)
    yield
    patch.undo()


@pytest.fixture(scope="session")
def redis_url(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Start a Redis of this run on a free port, for tests of the ring `services`."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    folder = tmp_path_factory.mktemp("redis")
    options = {"port": str(port), "bind": "127.0.0.1", "save": "", "dir": str(folder)}
    words = [word for name, value in options.items() for word in (f"--{name}", value)]
    with (folder / "log").open("wb") as log:
        server = subprocess.Popen(["redis-server", *words], stdout=log, stderr=log)
    try:
        _wait_for(port, folder / "log")
        yield f"redis://127.0.0.1:{port}/0"
    finally:
        server.terminate()
        server.wait(timeout=10)


def _wait_for(port: int, log: Path) -> None:
    for _ in range(100):
        with socket.socket() as asking:
            if asking.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.05)
    pytest.fail(f"Redis did not start: {log.read_text(encoding='utf-8')}")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Start Debian's Chromium, which can look up no name, for tests of the ring `browser`.

    It ends with the module: while Playwright's event loop runs, pyHanko can't sign in this thread
    (it starts a loop of its own). A browser test that signs leaves that to the server's thread.
    """
    from playwright.sync_api import sync_playwright

    patch = pytest.MonkeyPatch()
    # Playwright keeps an event loop in this thread, and Django then takes every query for async
    patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(
            executable_path=shutil.which("chromium"),
            # its sandbox refuses to run as root, as build machines do
            args=["--no-sandbox", "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"],
        )
        yield chromium
        chromium.close()
    patch.undo()
