"""Gauge studies: planned with their order, read turn by turn, corrected by rows, ended."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from records.models.base import GRAMS, Deed, Record
from records.models.exact import ExactDecimalField
from records.models.scales import Scale
from records.models.weighings import Weighing


class GaugeStudy(Deed):
    """A study of one scale and the people at it; `seed` is what its order was drawn by."""

    ledger_fields: ClassVar = {
        1: (
            "number",
            "scale",
            "what",
            "tolerance_g",
            "trials",
            "seed",
            "note",
            "recorded_at",
            "recorded_by",
        )
    }

    number = models.CharField(primary_key=True, max_length=20)
    scale = models.ForeignKey(Scale, models.PROTECT, related_name="studies")
    what = models.CharField(max_length=10, choices=Weighing.What)
    tolerance_g = ExactDecimalField(**GRAMS, null=True, blank=True)
    trials = models.PositiveSmallIntegerField()
    seed = models.PositiveIntegerField()
    note = models.CharField(max_length=400, blank=True)

    class Meta:
        verbose_name = "gauge study"
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(tolerance_g__isnull=True) | Q(tolerance_g__gt=0),
                name="study_tolerance_above_zero",
            ),
            models.CheckConstraint(condition=Q(trials__gte=2), name="two_trials_or_more"),
        ]

    def __str__(self) -> str:
        return f"gauge study {self.number} of {self.scale_id}"


class GaugeTurn(Record):
    """A reading that is planned: the how-manieth, of which part, by whom, in which trial.

    `part` is the name that lies with the part at the bench; it need not be on record.
    """

    ledger_fields: ClassVar = {1: ("study", "order", "part", "person", "trial")}

    study = models.ForeignKey(GaugeStudy, models.PROTECT, related_name="turns")
    order = models.PositiveSmallIntegerField()
    part = models.CharField(max_length=40)
    person = models.ForeignKey("records.Person", models.PROTECT, related_name="+")
    trial = models.PositiveSmallIntegerField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["study", "order"], name="one_turn_per_order"),
            models.UniqueConstraint(
                fields=["study", "part", "person", "trial"], name="one_turn_per_reading"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.study_id}, turn {self.order}: {self.part} by {self.person_id}"


class GaugeReading(Deed):
    """What the scale showed in a turn, as it was given, with exact grams beside."""

    ledger_fields: ClassVar = {
        1: ("turn", "text", "unit", "grams", "read_at", "late", "recorded_at", "recorded_by")
    }

    turn = models.ForeignKey(GaugeTurn, models.PROTECT, related_name="readings")
    text = models.CharField(max_length=80)
    unit = models.CharField(max_length=10)
    grams = ExactDecimalField(**GRAMS)
    read_at = models.DateTimeField()
    late = models.BooleanField(default=False)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(grams__gt=0), name="study_reading_above_zero")
        ]

    def __str__(self) -> str:
        return f"{self.text} {self.unit}"


class GaugeReadingCorrection(Deed):
    """A reading that was wrong, why, and the right one (none: its turn is read again)."""

    ledger_fields: ClassVar = {1: ("wrong", "right", "reason", "recorded_at", "recorded_by")}

    wrong = models.OneToOneField(GaugeReading, models.PROTECT, related_name="correction")
    right = models.ForeignKey(GaugeReading, models.PROTECT, null=True, related_name="+")
    reason = models.CharField(max_length=400)

    def __str__(self) -> str:
        return f"correction of {self.wrong_id}"


class GaugeStudyEnd(Deed):
    """The end of a study: closed with every turn read, or given up and why."""

    ledger_fields: ClassVar = {1: ("study", "outcome", "reason", "recorded_at", "recorded_by")}

    class Outcome(models.TextChoices):
        CLOSED = "closed"
        GIVEN_UP = "given up"

    study = models.OneToOneField(GaugeStudy, models.PROTECT, related_name="end")
    outcome = models.CharField(max_length=10, choices=Outcome)
    reason = models.CharField(max_length=400, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(outcome="closed") | (Q(outcome="given up") & ~Q(reason="")),
                name="given_up_with_a_reason",
            )
        ]

    def __str__(self) -> str:
        return f"{self.study_id} {self.outcome}"
