"""What must still happen is done once, and tried again until it is."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any
from unittest.mock import Mock

import pytest
from celery import current_app
from django.core.management import CommandError, call_command
from django.db import DatabaseError, transaction

from records import outbox
from records.models import OutboxTask
from records.queries.shop import outbox_left
from tests.records.outbox_tasks import OTHER, TASK, fail, left_over, register, row_of


@pytest.fixture
def done(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Register a task that notes the keys it was run with."""
    keys: list[str] = []

    def run(key: str) -> None:
        keys.append(key)
        outbox.note_done(TASK, key)

    register(monkeypatch, TASK, run)
    return keys


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
        row = row_of("1")
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

    def test_left_twice_it_is_onerow_of(
        self, done: list[str], django_capture_on_commit_callbacks: Any
    ) -> None:
        with django_capture_on_commit_callbacks(execute=True):
            assert outbox.leave(TASK, "1").pk == outbox.leave(TASK, "1").pk
        assert done == ["1"]
        assert row_of("1").attempts == 1

    def test_what_an_earlier_deed_left_is_taken_up_as_well(
        self, done: list[str], django_capture_on_commit_callbacks: Any
    ) -> None:
        left_over("1", "2")
        with django_capture_on_commit_callbacks(execute=True):
            outbox.leave(TASK, "3")
        assert done == ["3", "1", "2"]

    def test_a_deed_stands_whatever_its_task_meets(
        self, monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: Any
    ) -> None:
        register(monkeypatch, TASK, fail)
        with django_capture_on_commit_callbacks(execute=True):
            outbox.leave(TASK, "1")
        assert row_of("1").last_error == "OSError: no key to sign with"

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
        left_over("1", "2", "3")
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

        register(monkeypatch, TASK, run)
        left_over("1", "2")
        outbox.sweep()
        assert ran == ["1"]
        assert row_of("2").attempts == 0

    def test_a_task_that_fails_stays_with_its_reason_and_is_counted(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        register(monkeypatch, TASK, fail)
        left_over("1")
        for tries in (1, 2):
            outbox.sweep()
            assert row_of("1").attempts == tries
        (left,) = outbox_left()
        assert left.last_error == "OSError: no key to sign with"

    def test_a_failure_holds_up_no_other(
        self, done: list[str], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        register(monkeypatch, OTHER, fail)
        left_over("1", task=OTHER)
        left_over("2")
        outbox.sweep()
        assert done == ["2"]

    def test_a_task_of_no_known_name_is_left_with_its_reason(self, done: list[str]) -> None:
        left_over("1", task="records.gone_with_an_update")
        left_over("2")
        outbox.sweep()
        assert done == ["2"]
        assert (
            "records.gone_with_an_update" in row_of("1", "records.gone_with_an_update").last_error
        )


@pytest.mark.django_db
class TestBeginning:
    def test_what_is_done_is_not_begun(self) -> None:
        OutboxTask.objects.create(task=TASK, key="1", done_at=datetime.now(UTC))
        assert not outbox.begin(TASK, "1")
        assert row_of("1").attempts == 0

    def test_what_nobody_left_is_not_begun(self) -> None:
        assert not outbox.begin(TASK, "1")
        assert not OutboxTask.objects.exists()

    def test_a_failure_told_after_it_was_done_changes_nothing(self) -> None:
        OutboxTask.objects.create(task=TASK, key="1", done_at=datetime.now(UTC))
        outbox.note_failure(TASK, "1", OSError("the loser of a race"))
        assert row_of("1").last_error == ""


@pytest.mark.django_db
class TestUnbidden:
    def test_it_takes_up_nothing_new_when_its_time_is_over(
        self, done: list[str], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        left_over("1", "2", "3")
        monkeypatch.setattr(outbox, "SECONDS_UNBIDDEN", 0.0)
        assert outbox.sweep(unbidden=True) == 0
        assert done == []
        assert outbox.sweep() == 3

    def test_a_database_that_is_away_stops_no_server(self, monkeypatch: pytest.MonkeyPatch) -> None:
        told: list[str] = []
        # other tests set logging up anew, which may silence a logger that was there before
        monkeypatch.setattr(outbox.log, "warning", lambda text, *more: told.append(text % more))

        def away(**_: Any) -> int:
            raise DatabaseError("no such table: records_outboxtask")

        monkeypatch.setattr(outbox, "sweep", away)
        monkeypatch.setattr("records.outbox.connection", Mock())  # the test's own stays open
        outbox.sweep_at_server_start()
        assert told == ["outbox not swept at server start: no such table: records_outboxtask"]


@pytest.mark.django_db
class TestTheCommand:
    def test_it_says_what_it_started_and_that_nothing_isleft_over(
        self, done: list[str], capsys: pytest.CaptureFixture[str]
    ) -> None:
        left_over("1", "2")
        call_command("outbox")
        assert capsys.readouterr().out == "2 started, 0 left\n"
        assert done == ["1", "2"]

    def test_it_fails_and_tells_the_reason_of_what_isleft_over(
        self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        register(monkeypatch, TASK, fail)
        left_over("1")
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
        left_over("1")
        call_command("outbox")
        assert "1 started, 1 left\n  tests.a_task 1, tried 0 times: not done yet" in (
            capsys.readouterr().out
        )
