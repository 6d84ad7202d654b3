"""`manage.py outbox`: do what deeds left to be done, such as issuing certificates."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from records import outbox
from records.queries.shop import TaskRow, outbox_left


class Command(BaseCommand):
    help = "Start again what is left in the outbox, and say what is still left afterwards."

    def handle(self, *_args: Any, **_options: Any) -> None:
        started = outbox.sweep()
        left = outbox_left()
        self.stdout.write(f"{started} started, {len(left)} left")
        for row in left:
            reason = row.last_error or "not done yet"
            self.stdout.write(f"  {row.task} {row.key}, tried {row.attempts} times: {reason}")
        if any(_went_wrong(row) for row in left):
            raise CommandError("what is left went wrong; the reason stands beside it")


def _went_wrong(row: TaskRow) -> bool:
    """With a broker, what was handed over may still be done; without, it would have been by now."""
    in_this_process: bool = settings.CELERY_TASK_ALWAYS_EAGER
    return in_this_process or row.last_error not in ("", outbox.NO_WORD)
