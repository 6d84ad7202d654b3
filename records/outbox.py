"""What must still happen: rows left by deeds, started on commit, swept until done.

With a broker the tasks run in a worker, without one in this process; either way a row stays until
its task has said that it is done, so a process killed in between loses nothing.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

from celery import current_app
from celery.exceptions import OperationalError as BrokerAway
from django.db import connection, transaction
from django.db.models import F

from records.models import OutboxTask

log = logging.getLogger("tarebook.outbox")

# A task that kills its process never says what went wrong, so this stands on its row beforehand.
NO_WORD = "begun, and no word since: still running, or its process was killed"
TRIES_AT_ONCE = 3
FIRST_WAIT = timedelta(minutes=1)
LONGEST_WAIT = timedelta(hours=6)
# Nobody asked for an unbidden sweep, and nobody should have to wait for it.
SECONDS_UNBIDDEN = 10.0


def leave(task: str, key: str, *, start_now: bool = True) -> OutboxTask:
    """Leave a task in the deed's transaction; when that commits it starts, and what else is left.

    Left twice it is one row. Without `start_now` it waits for the next sweep.
    """
    row, _ = OutboxTask.objects.get_or_create(task=task, key=key)
    if start_now:
        transaction.on_commit(lambda: _start_with_what_is_left(row), robust=True)
    return row


def sweep(*, unbidden: bool = False) -> int:
    """Start again what is left, and return how many were started.

    What was tried least comes first, so that a task which kills its process holds up no other.
    Unbidden (at server start, after a deed) it leaves out what was tried often and not long ago,
    and takes up nothing more after some seconds.
    """
    return _start_each(_left(unbidden=unbidden), SECONDS_UNBIDDEN if unbidden else None)


def sweep_at_server_start() -> None:
    """Sweep unbidden; a database that is away or not migrated yet is logged, and no more."""
    try:
        sweep(unbidden=True)
    except Exception as error:  # the server must come up whatever waits here
        log.warning("outbox not swept at server start: %s", error)
    finally:
        connection.close()


def begin(task: str, key: str) -> bool:
    """Count a try of a task, and say whether it is to run now; the task itself asks.

    No: it is done, another process began it at this very moment, or it was begun several times
    without an end and its turn has not come. A broker hands a task out again at once when its
    worker was killed; one that kills its worker each time would otherwise go round for ever.
    """
    now = datetime.now(UTC)
    row = OutboxTask.objects.filter(task=task, key=key, done_at__isnull=True).first()
    if row is None or not _may_run(row, now):
        return False
    seen = OutboxTask.objects.filter(pk=row.pk, attempts=row.attempts, done_at__isnull=True)
    counted = seen.update(attempts=row.attempts + 1, last_tried_at=now, last_error=NO_WORD)
    return counted == 1


def note_done(task: str, key: str) -> None:
    """Mark a task as done; doing so twice changes nothing."""
    OutboxTask.objects.filter(task=task, key=key, done_at__isnull=True).update(
        done_at=datetime.now(UTC), last_error=""
    )


def note_failure(task: str, key: str, error: Exception) -> None:
    """Keep what went wrong where the manager can read it."""
    log.warning("outbox %s %s: %s", task, key, error)
    OutboxTask.objects.filter(task=task, key=key, done_at__isnull=True).update(
        last_error=_said(error)
    )


def _start_with_what_is_left(row: OutboxTask) -> None:
    others = [other for other in _left(unbidden=True) if other.pk != row.pk]
    _start_each([row, *others], SECONDS_UNBIDDEN)


def _left(*, unbidden: bool) -> list[OutboxTask]:
    now = datetime.now(UTC)
    rows = OutboxTask.objects.filter(done_at__isnull=True).order_by("attempts", "pk")
    return [row for row in rows if not unbidden or _may_run(row, now)]


def _start_each(rows: list[OutboxTask], seconds: float | None) -> int:
    """Start rows in turn until time is up, and return how many were started.

    When the broker is away it says so on all that remain, and asks it no more.
    """
    began = time.monotonic()
    for place, row in enumerate(rows):
        if seconds is not None and time.monotonic() - began > seconds:
            return place
        try:
            _start(row)
        except BrokerAway as error:
            _note_broker_away(rows[place:], error)
            return place
    return len(rows)


def _start(row: OutboxTask) -> None:
    """Hand a row's task to a worker, or run it here; what it met earlier is then out of date."""
    waiting = OutboxTask.objects.filter(pk=row.pk, done_at__isnull=True)
    # a row without a time of trying is one that may run now
    if not waiting.update(last_tried_at=None, last_error=""):
        return
    try:
        current_app.tasks[row.task].apply_async(args=(row.key,))
    except BrokerAway:
        raise
    except Exception as error:  # whatever starting it met must not undo what was recorded
        note_failure(row.task, row.key, error)


def _note_broker_away(rows: Iterable[OutboxTask], error: Exception) -> None:
    log.warning("outbox: the broker can't be reached: %s", error)
    OutboxTask.objects.filter(pk__in=[row.pk for row in rows], done_at__isnull=True).update(
        attempts=F("attempts") + 1,
        last_error=f"the broker can't be reached: {_said(error)}"[:2000],
    )


def _may_run(row: OutboxTask, now: datetime) -> bool:
    if row.attempts < TRIES_AT_ONCE or row.last_tried_at is None:
        return True
    doublings: int = min(row.attempts - TRIES_AT_ONCE, 20)
    wait = min(FIRST_WAIT * 2.0**doublings, LONGEST_WAIT)
    return bool(row.last_tried_at + wait <= now)


def _said(error: Exception) -> str:
    return f"{type(error).__name__}: {error}"[:2000]
