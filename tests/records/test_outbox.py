"""What must still happen is done once, tried again, and never in a circle."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any
from unittest.mock import Mock

import pytest
from celery import current_app
from celery.exceptions import OperationalError as BrokerAway
from django.core.management import CommandError, call_command
from django.db import DatabaseError, transaction

from records import outbox
from records.models import OutboxTask
from records.queries.shop import outbox_left

TASK = "tests.a_task"
OTHER = "tests.another_task"


class Killed(BaseException):
    """The end of a process, as far as one test can play it: nothing afterwards is run."""


@pytest.fixture
def done(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Register a task that notes the keys it was run with."""
    keys: list[str] = []

    def run(key: str) -> None:
        keys.append(key)
        outbox.note_done(TASK, key)

    _register(monkeypatch, TASK, run)
    return keys


def _register(patch: pytest.MonkeyPatch, name: str, run: Callable[[str], None]) -> None:
    """Let the outbox start a function by this name, in this process, as it does without a broker.

    It asks `begin` first, as records/tasks.py does.
    """

    class Task:
        def apply_async(self, *, args: tuple[str]) -> None:
            if not outbox.begin(name, args[0]):
                return
            try:
                run(args[0])
            except Exception as error:
                outbox.note_failure(name, args[0], error)

    patch.setitem(current_app.tasks, name, Task())


def _row(key: str, task: str = TASK) -> OutboxTask:
    return OutboxTask.objects.get(task=task, key=key)


def _left(*keys: str, task: str = TASK) -> None:
    for key in keys:
        OutboxTask.objects.create(task=task, key=key)


def _tried_ago(key: str, **ago: float) -> None:
    then = datetime.now(UTC) - timedelta(**ago)
    OutboxTask.objects.filter(key=key).update(last_tried_at=then)


def _fail(_key: str) -> None:
    raise OSError("no key to sign with")


def _die(_key: str) -> None:
    raise Killed


@pytest.mark.django_db
class TestLeaving:
    """The test's own transaction stands for the deed's; its commit is played where it says so."""

    def test_a_task_starts_when_the_deed_commits_and_not_before(
        self, done: list[str], django_capture_on_commit_callbacks: Any
    ) -> None:
        with django_capture_on_commit_callbacks(execute=True):
            outbox.leave(TASK, "1")
            assert done == []
        assert done == ["1"]
        row = _row("1")
        assert (row.attempts, row.last_error) == (1, "")
        assert row.done_at is not None

    def test_a_deed_that_fails_leaves_nothing(
        self, done: list[str], django_capture_on_commit_callbacks: Any
    ) -> None:
        def fail() -> None:
            with transaction.atomic():
                outbox.leave(TASK, "1")
                raise OSError("no power")

        commit = django_capture_on_commit_callbacks(execute=True)
        with commit, pytest.raises(OSError, match="no power"):
            fail()
        assert done == []
        assert not OutboxTask.objects.exists()

    def test_left_twice_it_is_one_row(
        self, done: list[str], django_capture_on_commit_callbacks: Any
    ) -> None:
        with django_capture_on_commit_callbacks(execute=True):
            assert outbox.leave(TASK, "1").pk == outbox.leave(TASK, "1").pk
        assert done == ["1"]
        assert _row("1").attempts == 1

    def test_what_an_earlier_deed_left_is_taken_up_as_well(
        self, done: list[str], django_capture_on_commit_callbacks: Any
    ) -> None:
        _left("1", "2")
        with django_capture_on_commit_callbacks(execute=True):
            outbox.leave(TASK, "3")
        assert done == ["3", "1", "2"]

    def test_a_deed_stands_whatever_its_task_meets(
        self, monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: Any
    ) -> None:
        _register(monkeypatch, TASK, _fail)
        with django_capture_on_commit_callbacks(execute=True):
            outbox.leave(TASK, "1")
        assert _row("1").last_error == "OSError: no key to sign with"

    def test_a_task_that_waits_for_the_sweep(
        self, done: list[str], django_capture_on_commit_callbacks: Any
    ) -> None:
        with django_capture_on_commit_callbacks(execute=True):
            outbox.leave(TASK, "1", start_now=False)
        assert done == []
        assert outbox.sweep() == 1
        assert done == ["1"]


@pytest.mark.django_db
class TestSweeping:
    def test_all_that_is_left_is_done_oldest_first(self, done: list[str]) -> None:
        _left("1", "2", "3")
        assert outbox.sweep() == 3
        assert done == ["1", "2", "3"]
        assert outbox.sweep() == 0
        assert outbox_left() == ()

    def test_what_was_done_in_between_is_not_done_again(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        ran: list[str] = []

        def run(key: str) -> None:
            ran.append(key)
            outbox.note_done(TASK, key)
            outbox.note_done(TASK, "2")  # as another process would

        _register(monkeypatch, TASK, run)
        _left("1", "2")
        outbox.sweep()
        assert ran == ["1"]
        assert _row("2").attempts == 0

    def test_a_task_that_fails_stays_with_its_reason_and_is_counted(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        _register(monkeypatch, TASK, _fail)
        _left("1")
        for tries in (1, 2):
            outbox.sweep()
            assert _row("1").attempts == tries
        (left,) = outbox_left()
        assert left.last_error == "OSError: no key to sign with"

    def test_a_failure_holds_up_no_other(
        self, done: list[str], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        _register(monkeypatch, OTHER, _fail)
        _left("1", task=OTHER)
        _left("2")
        outbox.sweep()
        assert done == ["2"]

    def test_a_task_of_no_known_name_is_left_with_its_reason(self, done: list[str]) -> None:
        _left("1", task="records.gone_with_an_update")
        _left("2")
        outbox.sweep()
        assert done == ["2"]
        assert "records.gone_with_an_update" in _row("1", "records.gone_with_an_update").last_error


@pytest.mark.django_db
class TestATaskThatKillsItsProcess:
    @pytest.fixture(autouse=True)
    def _killer(self, monkeypatch: pytest.MonkeyPatch) -> None:
        _register(monkeypatch, TASK, _die)

    def _start_the_server_until_it_stays_up(self) -> int:
        for starts in range(1, 20):
            try:
                outbox.sweep(unbidden=True)
            except Killed:
                continue
            return starts
        raise AssertionError("the server never came up")

    def test_the_server_comes_up_after_a_few_tries(self) -> None:
        _left("1")
        assert self._start_the_server_until_it_stays_up() == outbox.TRIES_AT_ONCE + 1
        assert _row("1").attempts == outbox.TRIES_AT_ONCE

    def test_it_is_still_listed_with_a_reason(self) -> None:
        _left("1")
        self._start_the_server_until_it_stays_up()
        (left,) = outbox_left()
        assert "no word since" in left.last_error
        assert left.last_tried_at is not None

    def test_others_are_done_before_it(self, monkeypatch: pytest.MonkeyPatch) -> None:
        ran: list[str] = []
        _register(monkeypatch, OTHER, ran.append)
        _left("1")
        with pytest.raises(Killed):
            outbox.sweep()
        _left("2", task=OTHER)
        with pytest.raises(Killed):
            outbox.sweep()
        assert ran == ["2"]

    @pytest.mark.parametrize(
        ("attempts", "minutes"), [(3, 1), (4, 2), (5, 4), (11, 256), (12, 360), (90, 360)]
    )
    def test_its_next_turn_comes_after_a_wait_that_doubles(
        self, attempts: int, minutes: int
    ) -> None:
        OutboxTask.objects.create(task=TASK, key="1", attempts=attempts)
        _tried_ago("1", minutes=minutes - 0.1)
        assert outbox.sweep(unbidden=True) == 0
        _tried_ago("1", minutes=minutes + 0.1)
        with pytest.raises(Killed):
            outbox.sweep(unbidden=True)
        assert _row("1").attempts == attempts + 1

    def test_a_broker_that_hands_it_out_again_at_once_is_told_no(self) -> None:
        _left("1")
        answers = [outbox.begin(TASK, "1") for _ in range(5)]
        assert answers == [True, True, True, False, False]
        assert _row("1").attempts == outbox.TRIES_AT_ONCE

    def test_somebody_who_asks_gets_one_more_try(self) -> None:
        OutboxTask.objects.create(task=TASK, key="1", attempts=7)
        _tried_ago("1", seconds=1)
        with pytest.raises(Killed):
            outbox.sweep()
        assert _row("1").attempts == 8
        assert not outbox.begin(TASK, "1")


@pytest.mark.django_db
class TestBeginning:
    def test_what_is_done_is_not_begun(self) -> None:
        OutboxTask.objects.create(task=TASK, key="1", done_at=datetime.now(UTC))
        assert not outbox.begin(TASK, "1")
        assert _row("1").attempts == 0

    def test_what_nobody_left_is_not_begun(self) -> None:
        assert not outbox.begin(TASK, "1")
        assert not OutboxTask.objects.exists()

    def test_a_failure_told_after_it_was_done_changes_nothing(self) -> None:
        OutboxTask.objects.create(task=TASK, key="1", done_at=datetime.now(UTC))
        outbox.note_failure(TASK, "1", OSError("the loser of a race"))
        assert _row("1").last_error == ""


@pytest.mark.django_db
class TestWithABrokerThatIsAway:
    @pytest.fixture
    def asked(self, monkeypatch: pytest.MonkeyPatch) -> list[str]:
        keys: list[str] = []

        class Away:
            def apply_async(self, *, args: tuple[str]) -> None:
                keys.append(args[0])
                raise BrokerAway("connection refused")

        monkeypatch.setitem(current_app.tasks, TASK, Away())
        return keys

    def test_it_is_asked_once_and_every_row_says_why(self, asked: list[str]) -> None:
        _left("1", "2", "3")
        assert outbox.sweep() == 0
        assert asked == ["1"]
        left = outbox_left()
        assert [row.attempts for row in left] == [1, 1, 1]
        assert all("the broker can't be reached: " in row.last_error for row in left)
        assert all("connection refused" in row.last_error for row in left)

    def test_the_command_fails_and_tells_the_reason(
        self, asked: list[str], settings: Any, capsys: pytest.CaptureFixture[str]
    ) -> None:
        settings.CELERY_TASK_ALWAYS_EAGER = False
        _left("1")
        with pytest.raises(CommandError):
            call_command("outbox")
        told = capsys.readouterr().out
        assert told.startswith("0 started, 1 left\n")
        assert "tried 1 times: the broker can't be reached" in told

    def test_the_sweep_after_its_return_does_them_at_once(
        self, asked: list[str], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        _left("1")
        for _ in range(6):
            outbox.sweep(unbidden=True)
        ran: list[str] = []
        _register(monkeypatch, TASK, ran.append)
        outbox.sweep(unbidden=True)
        assert (len(asked), ran) == (6, ["1"])


@pytest.mark.django_db
class TestUnbidden:
    def test_it_takes_up_nothing_new_when_its_time_is_over(
        self, done: list[str], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        _left("1", "2", "3")
        monkeypatch.setattr(outbox, "SECONDS_UNBIDDEN", 0.0)
        assert outbox.sweep(unbidden=True) == 0
        assert done == []
        assert outbox.sweep() == 3

    def test_a_database_that_is_away_stops_no_server(
        self, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
    ) -> None:
        def away(**_: Any) -> int:
            raise DatabaseError("no such table: records_outboxtask")

        monkeypatch.setattr(outbox, "sweep", away)
        monkeypatch.setattr("records.outbox.connection", Mock())  # the test's own stays open
        outbox.sweep_at_server_start()
        assert "not swept at server start: no such table" in caplog.text


@pytest.mark.django_db
class TestTheCommand:
    def test_it_says_what_it_started_and_that_nothing_is_left(
        self, done: list[str], capsys: pytest.CaptureFixture[str]
    ) -> None:
        _left("1", "2")
        call_command("outbox")
        assert capsys.readouterr().out == "2 started, 0 left\n"
        assert done == ["1", "2"]

    def test_it_fails_and_tells_the_reason_of_what_is_left(
        self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        _register(monkeypatch, TASK, _fail)
        _left("1")
        with pytest.raises(CommandError, match="the reason stands beside it"):
            call_command("outbox")
        assert capsys.readouterr().out == (
            "1 started, 1 left\n  tests.a_task 1, tried 1 times: OSError: no key to sign with\n"
        )

    def test_what_a_worker_still_has_is_no_failure(
        self, monkeypatch: pytest.MonkeyPatch, settings: Any, capsys: pytest.CaptureFixture[str]
    ) -> None:
        class HandedOver:
            def apply_async(self, *, args: tuple[str]) -> None: ...

        monkeypatch.setitem(current_app.tasks, TASK, HandedOver())
        settings.CELERY_TASK_ALWAYS_EAGER = False
        _left("1")
        call_command("outbox")
        assert "1 started, 1 left\n  tests.a_task 1, tried 0 times: not done yet" in (
            capsys.readouterr().out
        )
