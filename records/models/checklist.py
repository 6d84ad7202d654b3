"""Answers to the safety checklist."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from records.models.base import Deed
from records.models.builds import Build
from records.models.shop import ChecklistQuestion


class ChecklistAnswer(Deed):
    """An answer to a safety question; the newest of a question holds, if not overtaken."""

    ledger_fields: ClassVar = {
        1: (
            "build",
            "question",
            "answer",
            "detail",
            "operator",
            "answered_at",
            "recorded_at",
            "recorded_by",
        )
    }

    build = models.ForeignKey(Build, models.PROTECT, related_name="answers")
    question = models.ForeignKey(ChecklistQuestion, models.PROTECT, related_name="answers")
    answer = models.CharField(max_length=20)
    detail = models.CharField(max_length=400, blank=True)
    operator = models.ForeignKey("records.Person", models.PROTECT, related_name="+")
    answered_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.question_id}: {self.answer}"
