"""What must still happen: rows left by deeds, started on commit, swept until done.

With a broker the tasks run in a worker, without one in this process; either way a row stays until
its task has said that it is done, so a process killed in between loses nothing.
"""

from __future__ import annotations

import logging
from datetime import UTC, datetime

from celery import current_app
from django.db import transaction
from django.db.models import F

from records.models import OutboxTask

log = logging.getLogger("tarebook.outbox")
MOST_AT_ONCE = 100


def leave(task: str, key: str, *, start_now: bool = True) -> OutboxTask:
    """Leave a task in the deed's transaction; it starts when that commits."""
    row, _ = OutboxTask.objects.get_or_create(task=task, key=key)
    if start_now:
        transaction.on_commit(lambda: start(row), robust=True)
    return row


def start(row: OutboxTask) -> None:
    """Start a left task; what goes wrong is noted on the row, which the next sweep takes up."""
    tried = OutboxTask.objects.filter(pk=row.pk, done_at__isnull=True)
    if not tried.update(attempts=F("attempts") + 1, last_tried_at=datetime.now(UTC)):
        return
    try:
        current_app.tasks[row.task].apply_async(args=(row.key,))
    except Exception as error:  # a broker that is away must not undo what was recorded
        note_failure(row.task, row.key, error)


def note_done(task: str, key: str) -> None:
    """Mark a task as done; doing so twice changes nothing."""
    OutboxTask.objects.filter(task=task, key=key, done_at__isnull=True).update(
        done_at=datetime.now(UTC), last_error=""
    )


def note_failure(task: str, key: str, error: Exception) -> None:
    """Keep what went wrong where the manager can read it."""
    log.warning("outbox %s %s: %s", task, key, error)
    OutboxTask.objects.filter(task=task, key=key).update(
        last_error=f"{type(error).__name__}: {error}"[:2000]
    )


def sweep() -> int:
    """Start again what is left, oldest first, and return how much there was."""
    rows = list(OutboxTask.objects.filter(done_at__isnull=True).order_by("pk")[:MOST_AT_ONCE])
    for row in rows:
        start(row)
    return len(rows)
