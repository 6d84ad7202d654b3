"""A task that kills its process, and a broker that is away: never in a circle, never lost."""

from __future__ import annotations

from typing import Any

import pytest
from celery import current_app
from celery.exceptions import OperationalError as BrokerAway
from django.core.management import CommandError, call_command

from records import outbox
from records.models import OutboxTask
from records.queries.shop import outbox_left
from tests.records.outbox_tasks import (
    OTHER,
    TASK,
    Killed,
    die,
    left_over,
    register,
    row_of,
    tried_ago,
)


@pytest.mark.django_db
class TestATaskThatKillsItsProcess:
    @pytest.fixture(autouse=True)
    def _killer(self, monkeypatch: pytest.MonkeyPatch) -> None:
        register(monkeypatch, TASK, die)

    def _start_the_server_until_it_stays_up(self) -> int:
        for starts in range(1, 20):
            try:
                outbox.sweep(unbidden=True)
            except Killed:
                continue
            return starts
        raise AssertionError("the server never came up")

    def test_the_server_comes_up_after_a_few_tries(self) -> None:
        left_over("1")
        assert self._start_the_server_until_it_stays_up() == outbox.TRIES_AT_ONCE + 1
        assert row_of("1").attempts == outbox.TRIES_AT_ONCE

    def test_it_is_still_listed_with_a_reason(self) -> None:
        left_over("1")
        self._start_the_server_until_it_stays_up()
        (left,) = outbox_left()
        assert "no word since" in left.last_error
        assert left.last_tried_at is not None

    def test_others_are_done_before_it(self, monkeypatch: pytest.MonkeyPatch) -> None:
        ran: list[str] = []
        register(monkeypatch, OTHER, ran.append)
        left_over("1")
        with pytest.raises(Killed):
            outbox.sweep()
        left_over("2", task=OTHER)
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
        tried_ago("1", minutes=minutes - 0.1)
        assert outbox.sweep(unbidden=True) == 0
        tried_ago("1", minutes=minutes + 0.1)
        with pytest.raises(Killed):
            outbox.sweep(unbidden=True)
        assert row_of("1").attempts == attempts + 1

    def test_a_broker_that_hands_it_out_again_at_once_is_told_no(self) -> None:
        left_over("1")
        answers = [outbox.begin(TASK, "1") for _ in range(5)]
        assert answers == [True, True, True, False, False]
        assert row_of("1").attempts == outbox.TRIES_AT_ONCE

    def test_somebody_who_asks_gets_one_more_try(self) -> None:
        OutboxTask.objects.create(task=TASK, key="1", attempts=7)
        tried_ago("1", seconds=1)
        with pytest.raises(Killed):
            outbox.sweep()
        assert row_of("1").attempts == 8
        assert not outbox.begin(TASK, "1")


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
        left_over("1", "2", "3")
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
        left_over("1")
        with pytest.raises(CommandError):
            call_command("outbox")
        told = capsys.readouterr().out
        assert told.startswith("0 started, 1 left\n")
        assert "tried 1 times: the broker can't be reached" in told

    def test_the_sweep_after_its_return_does_them_at_once(
        self, asked: list[str], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        left_over("1")
        for _ in range(6):
            outbox.sweep(unbidden=True)
        ran: list[str] = []
        register(monkeypatch, TASK, ran.append)
        outbox.sweep(unbidden=True)
        assert (len(asked), ran) == (6, ["1"])
