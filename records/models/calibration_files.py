"""The certificate itself, as a photo or a PDF beside what was typed of it."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from records.models.base import Deed
from records.models.scales import Calibration


class CalibrationFile(Deed):
    """A file attached to a calibration; its bytes stand in the ledger as their SHA-256."""

    ledger_fields: ClassVar = {
        1: (
            "calibration",
            "name",
            "media_type",
            "size_bytes",
            "sha256",
            "content",
            "recorded_at",
            "recorded_by",
        )
    }

    calibration = models.ForeignKey(Calibration, models.PROTECT, related_name="files")
    name = models.CharField(max_length=100)
    media_type = models.CharField(max_length=40)
    size_bytes = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64)
    content = models.BinaryField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["calibration", "sha256"], name="a_file_once_per_calibration"
            ),
            models.CheckConstraint(condition=Q(size_bytes__gt=0), name="a_file_holds_something"),
        ]

    def __str__(self) -> str:
        return self.name
