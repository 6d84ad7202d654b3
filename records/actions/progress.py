"""How far a task has come, for who waits; it proves nothing, so it has no entry."""

from __future__ import annotations

from datetime import datetime

from records.models import TaskProgress


def begin_progress(task: str, key: str, total: int, now: datetime) -> TaskProgress:
    """Note that a task begins, or begins again from nothing."""
    row, _ = TaskProgress.objects.update_or_create(
        task=task,
        key=key,
        defaults={
            "done": 0,
            "total": total,
            "started_at": now,
            "updated_at": now,
            "finished_at": None,
        },
    )
    return row


def note_progress(progress: TaskProgress, now: datetime, *, finished: bool = False) -> None:
    """Note one more done, or the end; a count made beforehand may have been too low."""
    if finished:
        progress.total = progress.done
        progress.finished_at = now
    else:
        progress.done += 1
        progress.total = max(progress.total, progress.done)
    progress.updated_at = now
    progress.save(update_fields=["done", "total", "updated_at", "finished_at"])
