"""Part specs with their zone maps: where metal may come off, how much, and why not elsewhere."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from records.models.base import GRAMS, MILLIMETRES, Deed, Record
from records.models.exact import ExactDecimalField


class PartSpec(Deed):
    """A kind of part as made, in versions; the part maker's data comes first."""

    ledger_fields: ClassVar = {
        1: (
            "number",
            "version",
            "kind",
            "name",
            "metal",
            "density_g_cm3",
            "recorded_at",
            "recorded_by",
        )
    }

    class Metal(models.TextChoices):
        STEEL = "steel"
        ALUMINIUM = "aluminium"
        TITANIUM = "titanium"
        IRON = "iron"
        OTHER = "other"

    number = models.CharField(max_length=40)
    version = models.PositiveIntegerField()
    kind = models.CharField(max_length=30)
    name = models.CharField(max_length=200)
    metal = models.CharField(max_length=12, choices=Metal)
    density_g_cm3 = models.DecimalField(max_digits=8, decimal_places=4)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["number", "version"], name="one_spec_version"),
            models.CheckConstraint(
                condition=models.Q(density_g_cm3__gt=0), name="density_above_zero"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number}, version {self.version}"


class Zone(Record):
    """One zone of a spec: its rule, methods, limit over a part's life, largest step, spread."""

    ledger_fields: ClassVar = {
        1: (
            "spec",
            "key",
            "name",
            "rule",
            "methods",
            "limit_g",
            "step_g",
            "spread",
            "x_mm",
            "maker_leave",
            "why",
        )
    }

    class Rule(models.TextChoices):
        ALLOWED = "allowed"
        LIMITED = "limited"
        FORBIDDEN = "forbidden"

    class Spread(models.TextChoices):
        ANY = "any"
        ALL_ROUND = "all round"
        BOTH_SIDES = "both sides"

    spec = models.ForeignKey(PartSpec, models.PROTECT, related_name="zones")
    key = models.SlugField(max_length=40)
    name = models.CharField(max_length=120)
    rule = models.CharField(max_length=10, choices=Rule)
    methods = models.JSONField(default=list)
    limit_g = ExactDecimalField(**GRAMS, null=True, blank=True)
    step_g = ExactDecimalField(**GRAMS, null=True, blank=True)
    spread = models.CharField(max_length=10, choices=Spread, default=Spread.ANY)
    # Rods: place from the small-end centre towards the big end; may lie past either centre.
    x_mm = models.DecimalField(**MILLIMETRES, null=True, blank=True)
    maker_leave = models.BooleanField(default=False)
    why = models.CharField(max_length=400)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["spec", "key"], name="one_zone_per_key"),
            models.CheckConstraint(
                condition=models.Q(rule__in=["allowed", "limited", "forbidden"]),
                name="zone_rule_is_known",
            ),
        ]

    def __str__(self) -> str:
        return self.name
