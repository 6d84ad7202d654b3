"""Parts: each with the shop's own number, and what was seen when it came in."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from records.models.base import GRAMS, Deed
from records.models.exact import ExactDecimalField
from records.models.specs import PartSpec, Zone


class Part(Deed):
    """One part; it has a life of its own and may be in several builds over the years."""

    ledger_fields: ClassVar = {
        1: (
            "number",
            "spec",
            "serial",
            "marking",
            "recorded_at",
            "recorded_by",
        )
    }

    number = models.CharField(primary_key=True, max_length=40)
    spec = models.ForeignKey(PartSpec, models.PROTECT, related_name="parts")
    # A maker's serial is unique only with its spec; some parts bear none.
    serial = models.CharField(max_length=80, blank=True)
    # How and where it is marked: some rods may not be stamped.
    marking = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["spec", "serial"],
                condition=~models.Q(serial=""),
                name="one_part_per_serial_of_a_spec",
            )
        ]

    def __str__(self) -> str:
        return self.number


class IntakeNote(Deed):
    """A part's condition as it came in: colour, cracks, earlier cuts."""

    ledger_fields: ClassVar = {
        1: (
            "part",
            "build",
            "heat",
            "cracks",
            "earlier_cuts",
            "note",
            "recorded_at",
            "recorded_by",
        )
    }

    part = models.ForeignKey(Part, models.PROTECT, related_name="intake_notes")
    build = models.ForeignKey("records.Build", models.PROTECT, related_name="intake_notes")
    heat = models.CharField(max_length=20, default="none")
    cracks = models.BooleanField(default=False)
    earlier_cuts = models.BooleanField(default=False)
    note = models.CharField(max_length=400, blank=True)

    def __str__(self) -> str:
        return f"{self.part_id} as it came in"


class AllowanceRuling(Deed):
    """An inspector's word on what may still come off a zone of a part with earlier cuts."""

    ledger_fields: ClassVar = {
        1: ("part", "zone", "remaining_g", "reason", "recorded_at", "recorded_by")
    }

    part = models.ForeignKey(Part, models.PROTECT, related_name="rulings")
    zone = models.ForeignKey(Zone, models.PROTECT, related_name="+")
    remaining_g = ExactDecimalField(**GRAMS)
    reason = models.CharField(max_length=400)

    def __str__(self) -> str:
        return f"{self.part_id}: {self.remaining_g} g may still come off"


class DamperRating(Deed):
    """A damper's rating as its label says; free data, judged on the event day."""

    ledger_fields: ClassVar = {
        1: ("part", "label", "body", "spec", "expires_on", "recorded_at", "recorded_by")
    }

    part = models.ForeignKey(Part, models.PROTECT, related_name="ratings")
    label = models.CharField(max_length=80)
    body = models.CharField(max_length=120)
    spec = models.CharField(max_length=80)
    expires_on = models.DateField()

    def __str__(self) -> str:
        return f"{self.part_id}: {self.label}"
