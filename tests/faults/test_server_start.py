"""A server that starts takes up what is left, and comes up whatever it meets there."""

from __future__ import annotations

import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from django.db import connection

from records import outbox
from records.models import Certificate, OutboxTask, Release
from records.queries.shop import outbox_left
from tests.faults.processes import ROOT, environment, kill_this_process, manage, run_forked
from tests.faults.test_killed import assert_one_good_paper
from tests.records.small_engine import release

pytestmark = [pytest.mark.faults, pytest.mark.usefixtures("ready_shop")]

PATIENCE_S = 30.0


def _free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as free:
        return int(free.getsockname()[1])


@contextmanager
def _server(log: Path, *, app: str = "shop.wsgi", workers: int = 1, **more: str) -> Iterator[int]:
    """Run gunicorn as `deploy/try` does, and yield its port once it answers."""
    connection.close()
    port = _free_port()
    words = [sys.executable, "-m", "gunicorn", app, "--workers", str(workers)]
    words += ["--bind", f"127.0.0.1:{port}"]
    with log.open("wb") as out:
        server = subprocess.Popen(words, cwd=ROOT, env=environment(**more), stdout=out, stderr=out)
    try:
        yield port
        assert server.poll() is None, log.read_text()
    finally:
        server.terminate()
        server.wait(timeout=20)


def _until(true: Callable[[], bool], log: Path) -> None:
    end = time.monotonic() + PATIENCE_S
    while not true():
        assert time.monotonic() < end, log.read_text()
        time.sleep(0.1)


def _answers(port: int) -> bool:
    """Ask for an address that no front has, so that any answer at all will do."""
    with socket.socket() as asking:
        asking.settimeout(2)
        try:
            asking.connect(("127.0.0.1", port))
            asking.sendall(b"GET /nothing-here HTTP/1.0\r\nHost: 127.0.0.1\r\n\r\n")
            return asking.recv(5) == b"HTTP/"
        except OSError:
            return False


def _left_unissued() -> Release:
    """Release in a process that is killed before it can issue."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("records.outbox._start_with_what_is_left", kill_this_process)
        run_forked(release)
    return Release.objects.get()


def test_two_workers_that_start_together_issue_one_certificate(tmp_path: Path) -> None:
    released = _left_unissued()
    log = tmp_path / "log"
    with _server(log, workers=2):
        _until(lambda: not outbox_left(), log)
    assert_one_good_paper(released.certificate_number)


def test_a_task_that_kills_its_server_each_time_does_not_do_so_for_ever(tmp_path: Path) -> None:
    _left_unissued()
    log = tmp_path / "log"
    with _server(log, app="tests.faults.killing_wsgi") as port:
        _until(lambda: OutboxTask.objects.get().attempts == outbox.TRIES_AT_ONCE, log)
        _until(lambda: log.read_text().count("SIGKILL") == outbox.TRIES_AT_ONCE, log)
        _until(lambda: _answers(port), log)
        time.sleep(1)  # long enough for one more death, if there were to be one
        assert _answers(port)
    assert log.read_text().count("SIGKILL") == outbox.TRIES_AT_ONCE
    (left,) = outbox_left()
    assert (left.attempts, left.last_error) == (outbox.TRIES_AT_ONCE, outbox.NO_WORD)
    assert not Certificate.objects.exists()
    done = manage("outbox")  # asked for, and with a signer that works
    assert done.returncode == 0, done.stderr
    assert Certificate.objects.count() == 1


def test_a_database_that_was_never_migrated_stops_no_server(tmp_path: Path) -> None:
    log = tmp_path / "log"
    with _server(log, DATABASE_URL=f"sqlite:///{tmp_path}/new.sqlite3") as port:
        _until(lambda: "outbox not swept at server start" in log.read_text(), log)
        _until(lambda: _answers(port), log)


@pytest.fixture(params=["refuses", "takes the call and never answers"])
def broker_away(request: pytest.FixtureRequest) -> Iterator[str]:
    """Return the address of a broker that can't be had, in one of two ways."""
    with socket.create_server(("127.0.0.1", 0)) as mute:
        port = mute.getsockname()[1] if "never" in request.param else _free_port()
        yield f"redis://127.0.0.1:{port}/0"


def test_a_broker_that_is_away_undoes_no_release(broker_away: str) -> None:
    connection.close()
    subprocess.run(
        [sys.executable, "-m", "tests.faults.release_now"],
        cwd=ROOT,
        env=environment(TAREBOOK_BROKER_URL=broker_away),
        timeout=40,  # without a limit of our own it would wait for ever
        check=True,
    )
    released = Release.objects.get()
    assert not Certificate.objects.exists()
    (left,) = outbox_left()
    assert left.last_error.startswith("the broker can't be reached")
    outbox.sweep()  # without a broker: in the process
    assert_one_good_paper(released.certificate_number)
