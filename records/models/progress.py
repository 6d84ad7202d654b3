"""How far a task has come: changeable, since nothing is proven by it."""

from __future__ import annotations

from typing import ClassVar

from django.db import models


class TaskProgress(models.Model):
    """A task of the outbox by name and key: so many of so many done, and when it was seen last."""

    task = models.CharField(max_length=120)
    key = models.CharField(max_length=120)
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    started_at = models.DateTimeField()
    updated_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["task", "key"], name="one_progress_per_task")
        ]

    def __str__(self) -> str:
        return f"{self.task} {self.key}: {self.done} of {self.total}"
