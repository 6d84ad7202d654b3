"""Weighings: readings as the scale gave them, with the scale's standing at that moment."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from records.models.base import GRAMS, Deed, Record
from records.models.builds import Build
from records.models.exact import ExactDecimalField
from records.models.parts import Part
from records.models.scales import Calibration, Scale, ScaleCheck
from records.models.shop import RodFixture


class Weighing(Deed):
    """One weighing of a part or of a place's set, as one or more readings."""

    ledger_fields: ClassVar = {
        1: (
            "build",
            "part",
            "place",
            "what",
            "how",
            "scale",
            "calibration",
            "check_before",
            "fixture",
            "operator",
            "source",
            "purpose",
            "measured_at",
            "device_time",
            "device_offset_ms",
            "late",
            "ahead",
            "mean_g",
            "remark",
            "recorded_at",
            "recorded_by",
        )
    }

    class What(models.TextChoices):
        WHOLE = "whole"
        SET = "set"
        BIG_END = "big end"
        SMALL_END = "small end"

    class How(models.TextChoices):
        ON_PAN = "on the pan"
        HUNG = "hung"
        BY_DIFFERENCE = "by difference"  # total minus the other end: its closure says nothing

    class Source(models.TextChoices):
        TYPED = "typed"
        WEDGE = "wedge"
        BRIDGE = "bridge"
        SHEET = "sheet"
        TABLET = "tablet"
        DECLARED = "declared"  # by the customer or another shop: never evidence

    class Purpose(models.TextChoices):
        EVIDENCE = "evidence"
        PROGRESS = "progress"
        VERIFICATION = "verification"  # a reviewer's, which is not the work

    build = models.ForeignKey(
        Build, models.PROTECT, null=True, blank=True, related_name="weighings"
    )
    part = models.ForeignKey(Part, models.PROTECT, null=True, blank=True, related_name="weighings")
    place = models.PositiveSmallIntegerField(null=True, blank=True)  # of a set
    what = models.CharField(max_length=10, choices=What)
    how = models.CharField(max_length=14, choices=How, default=How.ON_PAN)
    scale = models.ForeignKey(
        Scale, models.PROTECT, null=True, blank=True, related_name="weighings"
    )
    # The calibration and the last check at the moment of weighing, as the record then stood.
    calibration = models.ForeignKey(Calibration, models.PROTECT, null=True, related_name="+")
    check_before = models.ForeignKey(ScaleCheck, models.PROTECT, null=True, related_name="+")
    fixture = models.ForeignKey(RodFixture, models.PROTECT, null=True, related_name="+")
    operator = models.ForeignKey("records.Person", models.PROTECT, related_name="+")
    source = models.CharField(max_length=10, choices=Source)
    purpose = models.CharField(max_length=12, choices=Purpose, default=Purpose.EVIDENCE)
    measured_at = models.DateTimeField()
    device_time = models.DateTimeField(null=True, blank=True)
    device_offset_ms = models.IntegerField(null=True, blank=True)
    late = models.BooleanField(default=False)  # entered after the fact, and marked so
    ahead = models.BooleanField(default=False)  # still in the future after correction: not counted
    mean_g = ExactDecimalField(**GRAMS)
    remark = models.CharField(max_length=400, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(part__isnull=False, place__isnull=True)
                | Q(part__isnull=True, place__isnull=False, build__isnull=False, what="set"),
                name="weighing_of_a_part_or_of_a_set",
            ),
            models.CheckConstraint(
                condition=Q(scale__isnull=False) | Q(source="declared"),
                name="a_scale_unless_declared",
            ),
            models.CheckConstraint(condition=Q(mean_g__gt=0), name="mass_above_zero"),
        ]

    def __str__(self) -> str:
        return f"{self.what} of {self.part_id or self.place}: {self.mean_g} g"


class Reading(Record):
    """One reading: raw text and unit as given, exact grams beside."""

    ledger_fields: ClassVar = {
        1: ("weighing", "order", "text", "unit", "grams", "hanging", "read_at")
    }

    weighing = models.ForeignKey(Weighing, models.PROTECT, related_name="readings")
    order = models.PositiveSmallIntegerField()
    text = models.CharField(max_length=80)
    unit = models.CharField(max_length=10)
    grams = ExactDecimalField(**GRAMS)
    hanging = models.PositiveSmallIntegerField(null=True, blank=True)
    read_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["weighing", "order"], name="one_reading_per_order"),
            models.CheckConstraint(condition=Q(grams__gt=0), name="reading_above_zero"),
        ]

    def __str__(self) -> str:
        return f"{self.text} {self.unit}"


class SetMember(Record):
    """A part that lay on the pan when a set was weighed together."""

    ledger_fields: ClassVar = {1: ("weighing", "part")}

    weighing = models.ForeignKey(Weighing, models.PROTECT, related_name="members")
    part = models.ForeignKey(Part, models.PROTECT, related_name="+")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["weighing", "part"], name="once_in_a_set")
        ]

    def __str__(self) -> str:
        return str(self.part_id)


class WeighingCorrection(Deed):
    """A weighing that was wrong, why, and what stands in its place (nothing when taken back)."""

    ledger_fields: ClassVar = {1: ("wrong", "right", "reason", "recorded_at", "recorded_by")}

    wrong = models.OneToOneField(Weighing, models.PROTECT, related_name="correction")
    right = models.ForeignKey(Weighing, models.PROTECT, null=True, blank=True, related_name="+")
    reason = models.CharField(max_length=400)

    def __str__(self) -> str:
        return f"correction of {self.wrong_id}"
