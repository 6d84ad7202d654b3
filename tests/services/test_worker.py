"""A release, a Redis and a worker: the certificate is issued once, whatever is killed."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
import redis
from django.db import connection

from records import outbox
from records.models import Certificate, Release
from records.queries.shop import outbox_left
from tests.faults.processes import ROOT, environment, manage
from tests.faults.test_killed import assert_one_good_paper

pytestmark = [pytest.mark.services, pytest.mark.usefixtures("ready_shop")]

PATIENCE_S = 40.0


@pytest.fixture
def broker(redis_url: str) -> Iterator[str]:
    with redis.Redis.from_url(redis_url) as emptied:
        emptied.flushdb()
    yield redis_url


class Worker:
    """A Celery worker with one child process, as a shop would run it."""

    def __init__(self, broker: str, folder: Path) -> None:
        self.folder = folder
        self.log = folder / "worker.log"
        words = [sys.executable, "-m", "celery", "-A", "tests.services.slow_worker", "worker"]
        words += ["--concurrency", "1", "--loglevel", "INFO", "--without-gossip"]
        connection.close()
        with self.log.open("ab") as out:
            self.process = subprocess.Popen(
                words,
                cwd=ROOT,
                env=environment(TAREBOOK_BROKER_URL=broker, SIGNING_FOLDER=str(folder)),
                stdout=out,
                stderr=out,
                start_new_session=True,
            )

    def signings(self) -> list[int]:
        """Return the ids of the processes that began to sign, in order."""
        files = sorted(self.folder.glob("signing-*"), key=lambda file: file.name.split("-")[2])
        return [int(file.name.split("-")[1]) for file in files]

    def until(self, true: Callable[[], bool]) -> None:
        end = time.monotonic() + PATIENCE_S
        while not true():
            assert self.process.poll() is None, self.log.read_text()
            assert time.monotonic() < end, self.log.read_text()
            time.sleep(0.1)

    def kill_all(self) -> None:
        """Kill the worker and its child at once, as a power cut would."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(timeout=10)


@contextmanager
def _worker(broker: str, folder: Path) -> Iterator[Worker]:
    worker = Worker(broker, folder)
    try:
        yield worker
    finally:
        if worker.process.poll() is None:
            worker.kill_all()


def _release(broker: str) -> Release:
    connection.close()
    subprocess.run(
        [sys.executable, "-m", "tests.faults.release_now"],
        cwd=ROOT,
        env=environment(TAREBOOK_BROKER_URL=broker),
        timeout=60,
        check=True,
    )
    return Release.objects.get()


def test_the_worker_issues_what_was_released(broker: str, tmp_path: Path) -> None:
    released = _release(broker)
    assert not Certificate.objects.exists()  # nobody has taken it up yet
    assert [(row.attempts, row.last_error) for row in outbox_left()] == [(0, "")]
    told = manage("outbox", TAREBOOK_BROKER_URL=broker)  # sends it a second time
    assert told.returncode == 0, told.stderr
    assert "not done yet" in told.stdout
    with _worker(broker, tmp_path) as worker:
        worker.until(lambda: not outbox_left())
        worker.until(lambda: _queue_is_empty(broker))
        assert len(worker.signings()) == 1
    assert_one_good_paper(released.certificate_number)


def test_a_child_killed_in_the_middle_is_followed_by_another(broker: str, tmp_path: Path) -> None:
    (tmp_path / "hold").touch()
    released = _release(broker)
    with _worker(broker, tmp_path) as worker:
        worker.until(lambda: len(worker.signings()) == 1)
        assert outbox_left()[0].last_error == outbox.NO_WORD
        os.kill(worker.signings()[0], signal.SIGKILL)
        worker.until(lambda: len(worker.signings()) == 2)
        (tmp_path / "hold").unlink()
        worker.until(lambda: not outbox_left())
        one, two = worker.signings()
        assert one != two
    assert_one_good_paper(released.certificate_number)


def test_a_worker_killed_whole_is_made_good_when_the_next_one_starts(
    broker: str, tmp_path: Path
) -> None:
    (tmp_path / "hold").touch()
    released = _release(broker)
    with _worker(broker, tmp_path) as worker:
        worker.until(lambda: len(worker.signings()) == 1)
        worker.kill_all()
    (tmp_path / "hold").unlink()
    assert not Certificate.objects.exists()
    # Redis would hand the message out again after its visibility timeout, an hour; the outbox
    # doesn't wait for it
    with _worker(broker, tmp_path) as worker:
        worker.until(lambda: not outbox_left())
    assert_one_good_paper(released.certificate_number)


def test_a_task_that_kills_its_worker_each_time_does_not_go_round_for_ever(
    broker: str, tmp_path: Path
) -> None:
    (tmp_path / "kill").touch()
    released = _release(broker)
    with _worker(broker, tmp_path) as worker:
        worker.until(lambda: _queue_is_empty(broker) and len(worker.signings()) > 1)
        time.sleep(1)  # long enough for one more round, if there were to be one
        assert len(worker.signings()) == outbox.TRIES_AT_ONCE
        (left,) = outbox_left()
        assert (left.attempts, left.last_error) == (outbox.TRIES_AT_ONCE, outbox.NO_WORD)
        (tmp_path / "kill").unlink()
        manage("outbox", TAREBOOK_BROKER_URL=broker)
        worker.until(lambda: not outbox_left())
    assert_one_good_paper(released.certificate_number)


def _queue_is_empty(broker: str) -> bool:
    """Say whether no message waits in Redis, and none is with a worker that hasn't answered."""
    with redis.Redis.from_url(broker) as asked:
        return not asked.exists("celery", "unacked")
