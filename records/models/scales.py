"""Scales, their calibrations, and the check weights put on before weighing."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from records.models.base import GRAMS, Deed, Record
from records.models.exact import ExactDecimalField


class Scale(Deed):
    """A scale of the shop, with its capacity; steps and ranges are rows of their own."""

    ledger_fields: ClassVar = {
        1: ("number", "capacity_g", "note", "recorded_at", "recorded_by"),
        2: ("number", "capacity_g", "note", "made_on", "recorded_at", "recorded_by"),
    }

    number = models.CharField(primary_key=True, max_length=20)
    capacity_g = ExactDecimalField(**GRAMS)
    note = models.CharField(max_length=400, blank=True)
    made_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(capacity_g__gt=0), name="capacity_above_zero")
        ]

    def __str__(self) -> str:
        return self.number


class ScaleStep(Record):
    """The step a scale shows in one unit, up to a load (the whole range when null)."""

    ledger_fields: ClassVar = {1: ("scale", "unit", "step", "step_g", "up_to_g")}

    scale = models.ForeignKey(Scale, models.PROTECT, related_name="steps")
    unit = models.CharField(max_length=10)
    step = ExactDecimalField(**GRAMS)
    step_g = ExactDecimalField(**GRAMS)
    up_to_g = ExactDecimalField(**GRAMS, null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["scale", "unit", "up_to_g"], name="one_step_per_unit_and_range"
            ),
            # nulls are distinct to a database, so the whole range has a constraint of its own
            models.UniqueConstraint(
                fields=["scale", "unit"],
                condition=Q(up_to_g__isnull=True),
                name="one_step_per_unit_over_the_whole_range",
            ),
            models.CheckConstraint(condition=Q(step__gt=0), name="step_above_zero"),
        ]

    def __str__(self) -> str:
        return f"{self.scale_id}: {self.step} {self.unit}"


class Calibration(Deed):
    """A calibration certificate of a scale, as found and as left."""

    ledger_fields: ClassVar = {
        1: (
            "scale",
            "certificate_number",
            "calibrated_on",
            "due_on",
            "laboratory",
            "adjusted",
            "repeatability_nu",
            "eccentricity_load_g",
            "eccentricity_diff_g",
            "recorded_at",
            "recorded_by",
        )
    }

    scale = models.ForeignKey(Scale, models.PROTECT, related_name="calibrations")
    certificate_number = models.CharField(max_length=80)
    calibrated_on = models.DateField()
    due_on = models.DateField()
    laboratory = models.CharField(max_length=200, blank=True)
    adjusted = models.BooleanField(default=False)
    repeatability_nu = models.PositiveSmallIntegerField(null=True, blank=True)
    eccentricity_load_g = ExactDecimalField(**GRAMS, null=True, blank=True)
    eccentricity_diff_g = ExactDecimalField(**GRAMS, null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["scale", "certificate_number"], name="one_certificate_per_scale"
            ),
            models.CheckConstraint(
                condition=Q(due_on__gt=F("calibrated_on")), name="due_after_calibration"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.scale_id}: {self.certificate_number}"


class CalibrationPoint(Record):
    """Error and expanded uncertainty at one load, as found or as left."""

    ledger_fields: ClassVar = {1: ("calibration", "state", "load_g", "error_g", "U_g", "k")}

    class State(models.TextChoices):
        AS_FOUND = "as found"
        AS_LEFT = "as left"

    calibration = models.ForeignKey(Calibration, models.PROTECT, related_name="points")
    state = models.CharField(max_length=10, choices=State)
    load_g = ExactDecimalField(**GRAMS)
    error_g = ExactDecimalField(**GRAMS)
    U_g = ExactDecimalField(**GRAMS)
    k = models.DecimalField(max_digits=6, decimal_places=3)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["calibration", "state", "load_g"], name="one_point_per_load"
            ),
            models.CheckConstraint(condition=Q(U_g__gt=0) & Q(k__gt=0), name="U_and_k_above_zero"),
        ]

    def __str__(self) -> str:
        return f"{self.state} at {self.load_g} g"


class CalibrationRepeatability(Record):
    """The scale's own scatter at one load, from its certificate."""

    ledger_fields: ClassVar = {1: ("calibration", "load_g", "s_g")}

    calibration = models.ForeignKey(Calibration, models.PROTECT, related_name="repeatability")
    load_g = ExactDecimalField(**GRAMS)
    s_g = ExactDecimalField(**GRAMS)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["calibration", "load_g"], name="one_s_per_load")
        ]

    def __str__(self) -> str:
        return f"s at {self.load_g} g"


class CheckWeight(Deed):
    """A check weight, known by its class (OIML R 111-1)."""

    ledger_fields: ClassVar = {
        1: ("number", "nominal_g", "accuracy_class", "recorded_at", "recorded_by")
    }

    number = models.CharField(primary_key=True, max_length=20)
    nominal_g = ExactDecimalField(**GRAMS)
    accuracy_class = models.CharField(max_length=4)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(nominal_g__gt=0), name="nominal_above_zero")
        ]

    def __str__(self) -> str:
        return self.number


class ScaleCheck(Deed):
    """Check weights put on a scale; it passed if every load lay within its limit."""

    ledger_fields: ClassVar = {
        1: (
            "scale",
            "calibration",
            "operator",
            "measured_at",
            "passed",
            "remark",
            "recorded_at",
            "recorded_by",
        )
    }

    scale = models.ForeignKey(Scale, models.PROTECT, related_name="checks")
    calibration = models.ForeignKey(Calibration, models.PROTECT, null=True, related_name="+")
    operator = models.ForeignKey("records.Person", models.PROTECT, related_name="+")
    measured_at = models.DateTimeField()
    passed = models.BooleanField()
    remark = models.CharField(max_length=400, blank=True)

    def __str__(self) -> str:
        return f"{self.scale_id}: {'passed' if self.passed else 'failed'}"


class ScaleCheckLoad(Record):
    """One load of a check: which weights, what the scale showed, the limit it was held to."""

    ledger_fields: ClassVar = {
        1: (
            "scale_check",
            "weights",
            "load_g",
            "text",
            "unit",
            "grams",
            "error_g",
            "limit_g",
            "passed",
        )
    }

    scale_check = models.ForeignKey(ScaleCheck, models.PROTECT, related_name="loads")
    weights = models.JSONField()
    load_g = ExactDecimalField(**GRAMS)
    text = models.CharField(max_length=80)
    unit = models.CharField(max_length=10)
    grams = ExactDecimalField(**GRAMS)
    error_g = ExactDecimalField(**GRAMS)
    limit_g = ExactDecimalField(**GRAMS)
    passed = models.BooleanField()

    def __str__(self) -> str:
        return f"{self.load_g} g: {self.text} {self.unit}"
