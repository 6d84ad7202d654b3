"""Builds: one engine for one customer, with what was promised; and which part stands where."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from records.models.base import GRAMS, MILLIMETRES, Deed, Record
from records.models.exact import ExactDecimalField
from records.models.parts import Part
from records.models.people import Customer
from records.models.shop import BalanceRule, Checklist, RodFixture, ShopSettings, ToleranceClass


class Build(Deed):
    """An engine in the shop: layout, use, promise, and the versions of the rules it is under."""

    ledger_fields: ClassVar = {
        1: (
            "number",
            "customer",
            "engine",
            "layout",
            "use",
            "balance",
            "set_g",
            "big_end_g",
            "whole_rod_g",
            "promised_as",
            "guard_r",
            "settings",
            "tolerance_class",
            "balance_rule",
            "checklist",
            "recorded_at",
            "recorded_by",
        )
    }

    class Use(models.TextChoices):
        STREET = "street"
        COMPETITION = "competition"

    class Balance(models.TextChoices):
        NEUTRAL = "neutral"
        EXTERNAL = "external"

    class PromisedAs(models.TextChoices):
        SPREAD = "spread"
        PLUS_MINUS = "plus or minus"

    number = models.CharField(primary_key=True, max_length=30)
    customer = models.ForeignKey(
        Customer, models.PROTECT, null=True, blank=True, related_name="builds"
    )
    engine = models.CharField(max_length=200)
    layout = models.CharField(max_length=40)
    use = models.CharField(max_length=12, choices=Use)
    balance = models.CharField(max_length=10, choices=Balance)
    # Tolerances as greatest minus least, whatever the promise was made as.
    set_g = ExactDecimalField(**GRAMS)
    big_end_g = ExactDecimalField(**GRAMS)
    whole_rod_g = ExactDecimalField(**GRAMS)
    promised_as = models.CharField(max_length=14, choices=PromisedAs, default=PromisedAs.SPREAD)
    guard_r = models.DecimalField(max_digits=6, decimal_places=3)
    settings = models.ForeignKey(ShopSettings, models.PROTECT, related_name="+")
    tolerance_class = models.ForeignKey(ToleranceClass, models.PROTECT, related_name="+")
    balance_rule = models.ForeignKey(BalanceRule, models.PROTECT, related_name="+")
    checklist = models.ForeignKey(Checklist, models.PROTECT, related_name="+")

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(set_g__gt=0) & Q(big_end_g__gt=0) & Q(whole_rod_g__gt=0),
                name="tolerances_above_zero",
            ),
            models.CheckConstraint(condition=Q(guard_r__gte=0), name="guard_r_not_negative"),
        ]

    def __str__(self) -> str:
        return self.number


class BuildCylinder(Record):
    """A cylinder as entered: throw angle, bank angle, place along the crank, and its crankpin."""

    ledger_fields: ClassVar = {1: ("build", "place", "throw_deg", "bank_deg", "z_mm", "pin")}

    build = models.ForeignKey(Build, models.PROTECT, related_name="cylinders")
    place = models.PositiveSmallIntegerField()
    throw_deg = models.DecimalField(max_digits=8, decimal_places=3)
    bank_deg = models.DecimalField(max_digits=8, decimal_places=3)
    z_mm = models.DecimalField(**MILLIMETRES)
    pin = models.PositiveSmallIntegerField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["build", "place"], name="one_cylinder_per_place")
        ]

    def __str__(self) -> str:
        return f"{self.build_id}, place {self.place}"


class BuildDetail(Deed):
    """What may be learnt after opening; the newest row of a key holds."""

    ledger_fields: ClassVar = {1: ("build", "key", "value", "reason", "recorded_at", "recorded_by")}

    class Key(models.TextChoices):
        ROD_LENGTH = "rod_length_mm"
        STROKE = "stroke_mm"
        EVENT_DAY = "event_day"
        CRANK_IN_JOB = "crank_in_job"  # yes or no: else "damper not seen by us" and why

    build = models.ForeignKey(Build, models.PROTECT, related_name="details")
    key = models.CharField(max_length=20, choices=Key)
    value = models.CharField(max_length=80)
    reason = models.CharField(max_length=400, blank=True)

    def __str__(self) -> str:
        return f"{self.build_id}: {self.key} {self.value}"


class BuildFixture(Deed):
    """Which version of which rod fixture a build's ends hang in."""

    ledger_fields: ClassVar = {1: ("build", "fixture", "recorded_at", "recorded_by")}

    build = models.ForeignKey(Build, models.PROTECT, related_name="fixtures")
    fixture = models.ForeignKey(RodFixture, models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.build_id}: {self.fixture_id}"


class Fitment(Deed):
    """A part put in a build; without a place, one piece stands for every place."""

    ledger_fields: ClassVar = {
        1: (
            "build",
            "part",
            "place",
            "fitted_at",
            "at_booking",
            "operator",
            "recorded_at",
            "recorded_by",
        )
    }

    build = models.ForeignKey(Build, models.PROTECT, related_name="fitments")
    part = models.ForeignKey(Part, models.PROTECT, related_name="fitments")
    place = models.PositiveSmallIntegerField(null=True, blank=True)
    fitted_at = models.DateTimeField()
    at_booking = models.BooleanField(default=False)  # booking in is not the work
    operator = models.ForeignKey("records.Person", models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.part_id} in {self.build_id}"


class FitmentEnd(Deed):
    """A part taken from its place."""

    ledger_fields: ClassVar = {
        1: ("fitment", "ended_at", "operator", "reason", "recorded_at", "recorded_by")
    }

    fitment = models.OneToOneField(Fitment, models.PROTECT, related_name="end")
    ended_at = models.DateTimeField()
    operator = models.ForeignKey("records.Person", models.PROTECT, related_name="+")
    reason = models.CharField(max_length=400)

    def __str__(self) -> str:
        return f"end of {self.fitment_id}"


class Match(Deed):
    """A pairing that was accepted: who goes with whom, and how good it was said to be."""

    ledger_fields: ClassVar = {
        1: (
            "build",
            "kinds",
            "aim",
            "sets",
            "spread_g",
            "removed_g",
            "bound_spread_g",
            "proven",
            "matched_at",
            "operator",
            "recorded_at",
            "recorded_by",
        )
    }

    build = models.ForeignKey(Build, models.PROTECT, related_name="matches")
    kinds = models.JSONField()
    aim = models.CharField(max_length=10)
    sets = models.JSONField()  # [{"place": 1, "parts": ["P-1", …], "total_g": "602.10"}, …]
    spread_g = ExactDecimalField(**GRAMS)
    removed_g = ExactDecimalField(**GRAMS)
    bound_spread_g = ExactDecimalField(**GRAMS)
    proven = models.BooleanField()
    matched_at = models.DateTimeField()
    operator = models.ForeignKey("records.Person", models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"match {self.pk} of {self.build_id}"
