"""The front's own table: keys by which a request that is sent twice is done once."""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.db import models


class IdempotencyKey(models.Model):
    """A request's key and fingerprint, and the answer that it got; kept for thirty days."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="+")
    key = models.CharField(max_length=80)
    fingerprint = models.CharField(max_length=64)
    status = models.PositiveSmallIntegerField(null=True)
    body = models.JSONField(null=True)
    created_at = models.DateTimeField(auto_now_add=True, db_index=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["user", "key"], name="one_answer_per_key")
        ]

    def __str__(self) -> str:
        return self.key
