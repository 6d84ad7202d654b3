"""Certificates of check weights: what each weighed, and how surely."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from records.models.base import GRAMS, Deed
from records.models.exact import ExactDecimalField
from records.models.scales import CheckWeight


class CheckWeightCertificate(Deed):
    """A calibration of a check weight: its conventional mass with U and k."""

    ledger_fields: ClassVar = {
        1: (
            "weight",
            "certificate_number",
            "calibrated_on",
            "due_on",
            "laboratory",
            "mass_g",
            "U_g",
            "k",
            "recorded_at",
            "recorded_by",
        )
    }

    weight = models.ForeignKey(CheckWeight, models.PROTECT, related_name="certificates")
    certificate_number = models.CharField(max_length=80)
    calibrated_on = models.DateField()
    due_on = models.DateField()
    laboratory = models.CharField(max_length=200, blank=True)
    mass_g = ExactDecimalField(**GRAMS)
    U_g = ExactDecimalField(**GRAMS)
    k = models.DecimalField(max_digits=6, decimal_places=3)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["weight", "certificate_number"], name="one_certificate_per_weight"
            ),
            models.CheckConstraint(
                condition=Q(due_on__gt=F("calibrated_on")), name="weight_due_after_calibration"
            ),
            models.CheckConstraint(
                condition=Q(mass_g__gt=0) & Q(U_g__gt=0) & Q(k__gt=0),
                name="weight_mass_U_and_k_above_zero",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.weight_id}: {self.certificate_number}"
