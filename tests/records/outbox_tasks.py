"""What tests of the outbox share: tasks that work, fail or kill, and rows left over."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from celery import current_app

from records import outbox
from records.models import OutboxTask

TASK = "tests.a_task"
OTHER = "tests.another_task"


class Killed(BaseException):
    """The end of a process, as far as one test can play it: nothing afterwards is run."""


def register(patch: pytest.MonkeyPatch, name: str, run: Callable[[str], None]) -> None:
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


def row_of(key: str, task: str = TASK) -> OutboxTask:
    return OutboxTask.objects.get(task=task, key=key)


def left_over(*keys: str, task: str = TASK) -> None:
    for key in keys:
        OutboxTask.objects.create(task=task, key=key)


def tried_ago(key: str, **ago: float) -> None:
    then = datetime.now(UTC) - timedelta(**ago)
    OutboxTask.objects.filter(key=key).update(last_tried_at=then)


def fail(_key: str) -> None:
    raise OSError("no key to sign with")


def die(_key: str) -> None:
    raise Killed
