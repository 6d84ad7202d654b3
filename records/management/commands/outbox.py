"""`manage.py outbox`: do what deeds left to be done, such as issuing certificates."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from records import outbox
from records.queries.shop import outbox_left


class Command(BaseCommand):
    help = "Start again what is left in the outbox, and say what is still left afterwards."

    def handle(self, *_args: Any, **_options: Any) -> None:
        tried = outbox.sweep()
        left = outbox_left()
        self.stdout.write(f"{tried} started, {len(left)} left")
        for row in left:
            self.stdout.write(f"  {row.task} {row.key}: {row.last_error or 'not done yet'}")
        if any(row.last_error for row in left):
            raise CommandError("what is left failed; the reason stands beside it")
