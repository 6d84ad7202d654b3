"""What happens to a scale between calibrations: adjusted, repaired, withdrawn, and so on."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from records.models.base import Deed
from records.models.scales import Scale, ScaleCheck


class ScaleEvent(Deed):
    """Something that happened to a scale; a cause names the failed check that it explains."""

    ledger_fields: ClassVar = {
        1: (
            "scale",
            "kind",
            "happened_at",
            "scale_check",
            "reason",
            "recorded_at",
            "recorded_by",
        )
    }

    class Kind(models.TextChoices):
        ADJUSTED = "adjusted"
        REPAIRED = "repaired"
        CAUSE = "cause recorded"
        WITHDRAWN = "withdrawn"
        RETURNED = "returned to use"

    scale = models.ForeignKey(Scale, models.PROTECT, related_name="events")
    kind = models.CharField(max_length=20, choices=Kind)
    happened_at = models.DateTimeField()
    scale_check = models.OneToOneField(
        ScaleCheck, models.PROTECT, null=True, blank=True, related_name="cause"
    )
    reason = models.CharField(max_length=400)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(kind="cause recorded", scale_check__isnull=False)
                | (~Q(kind="cause recorded") & Q(scale_check__isnull=True)),
                name="a_cause_names_its_check",
            ),
            models.CheckConstraint(
                condition=Q(
                    kind__in=[
                        "adjusted",
                        "repaired",
                        "cause recorded",
                        "withdrawn",
                        "returned to use",
                    ]
                ),
                name="scale_event_is_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.scale_id}: {self.kind}"
