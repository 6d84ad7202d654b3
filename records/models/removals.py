"""Removals: metal taken off a part, enclosed by two whole weighings of it."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from records.models.base import GRAMS, Deed, Record
from records.models.builds import Build
from records.models.exact import ExactDecimalField
from records.models.parts import Part
from records.models.specs import Zone
from records.models.weighings import Weighing


class Removal(Deed):
    """A cut, from the whole weighing before it; closed by a row with the weighing after it."""

    ledger_fields: ClassVar = {
        1: (
            "build",
            "part",
            "method",
            "spread",
            "operator",
            "before",
            "cut_at",
            "late",
            "remark",
            "recorded_at",
            "recorded_by",
        )
    }

    class Spread(models.TextChoices):
        ALL_ROUND = "all round"
        BOTH_SIDES = "both sides"
        ONE_SPOT = "one spot"

    build = models.ForeignKey(Build, models.PROTECT, null=True, blank=True, related_name="removals")
    part = models.ForeignKey(Part, models.PROTECT, related_name="removals")
    method = models.CharField(max_length=40)
    spread = models.CharField(max_length=10, choices=Spread)
    operator = models.ForeignKey("records.Person", models.PROTECT, related_name="+")
    before = models.ForeignKey(Weighing, models.PROTECT, related_name="+")
    cut_at = models.DateTimeField()
    late = models.BooleanField(default=False)
    remark = models.CharField(max_length=400, blank=True)

    def __str__(self) -> str:
        return f"removal {self.pk} from {self.part_id}"


class RemovalZone(Record):
    """A zone that a removal touched; of several, the whole mass counts against each limit."""

    ledger_fields: ClassVar = {1: ("removal", "zone")}

    removal = models.ForeignKey(Removal, models.PROTECT, related_name="zones")
    zone = models.ForeignKey(Zone, models.PROTECT, related_name="+")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["removal", "zone"], name="a_zone_once_in_a_removal")
        ]

    def __str__(self) -> str:
        return str(self.zone_id)


class RemovalPass(Deed):
    """A quick single reading between passes of one removal: progress, never evidence."""

    ledger_fields: ClassVar = {
        1: (
            "removal",
            "what",
            "text",
            "unit",
            "grams",
            "passed_at",
            "recorded_at",
            "recorded_by",
        )
    }

    removal = models.ForeignKey(Removal, models.PROTECT, related_name="passes")
    what = models.CharField(max_length=10)
    text = models.CharField(max_length=80)
    unit = models.CharField(max_length=10)
    grams = ExactDecimalField(**GRAMS)
    passed_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.text} {self.unit}"


class RemovalClose(Deed):
    """The weighing after a removal, and the mass worked out from the pair."""

    ledger_fields: ClassVar = {
        1: (
            "removal",
            "after",
            "mass_g",
            "U_g",
            "heat",
            "recorded_at",
            "recorded_by",
        )
    }

    removal = models.OneToOneField(Removal, models.PROTECT, related_name="close")
    after = models.ForeignKey(Weighing, models.PROTECT, related_name="+")
    mass_g = ExactDecimalField(**GRAMS)
    U_g = ExactDecimalField(**GRAMS)
    heat = models.CharField(max_length=20)

    def __str__(self) -> str:
        return f"{self.mass_g} g off"


class RemovalCorrection(Deed):
    """A removal that was entered wrongly (never made, wrong zone), and why."""

    ledger_fields: ClassVar = {1: ("wrong", "reason", "recorded_at", "recorded_by")}

    wrong = models.OneToOneField(Removal, models.PROTECT, related_name="correction")
    reason = models.CharField(max_length=400)

    def __str__(self) -> str:
        return f"correction of removal {self.wrong_id}"
