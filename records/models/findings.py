"""Findings that block a release, and what was decided about them."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from records.models.base import Deed
from records.models.builds import Build
from records.models.parts import Part


class Finding(Deed):
    """Something that stands in the way; `key` names the rule and the evidence it speaks of."""

    ledger_fields: ClassVar = {
        1: ("build", "part", "key", "code", "text", "recorded_at", "recorded_by")
    }

    build = models.ForeignKey(Build, models.PROTECT, related_name="findings")
    part = models.ForeignKey(Part, models.PROTECT, null=True, blank=True, related_name="findings")
    key = models.CharField(max_length=200)
    code = models.CharField(max_length=60)
    text = models.TextField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["build", "key"], name="one_finding_per_key")
        ]

    def __str__(self) -> str:
        return self.text


class Disposition(Deed):
    """What an inspector decided about a finding; the newest holds."""

    ledger_fields: ClassVar = {
        1: ("finding", "decision", "reason", "evidence", "recorded_at", "recorded_by")
    }

    class Decision(models.TextChoices):
        REWORK = "rework"
        SCRAP = "scrap"
        CONCESSION = "concession"
        LOOKED = "looked at"
        TESTED = "tested"  # hardness and crack test, both results in `evidence`
        EXPLAINED = "explained"

    finding = models.ForeignKey(Finding, models.PROTECT, related_name="dispositions")
    decision = models.CharField(max_length=12, choices=Decision)
    reason = models.TextField()
    evidence = models.JSONField(default=dict)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=~models.Q(reason=""), name="a_reason_is_given")
        ]

    def __str__(self) -> str:
        return f"{self.decision}: {self.reason}"
