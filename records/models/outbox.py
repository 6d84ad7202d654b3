"""What must still happen: left in the deed's transaction, swept until it is done."""

from __future__ import annotations

from typing import ClassVar

from django.db import models


class OutboxTask(models.Model):
    """A named task with its key; doing it twice must change nothing."""

    task = models.CharField(max_length=120)
    key = models.CharField(max_length=120)
    created_at = models.DateTimeField(auto_now_add=True)
    attempts = models.PositiveIntegerField(default=0)
    last_error = models.TextField(blank=True)
    last_tried_at = models.DateTimeField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["task", "key"], name="one_task_per_key")
        ]

    def __str__(self) -> str:
        return f"{self.task} {self.key}"
