"""The shop's own rules, as versioned rows: what was judged names the version it was judged by."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from records.models.base import GRAMS, Deed
from records.models.exact import ExactDecimalField


class ShopSettings(Deed):
    """The shop as it stands on paper; the newest version holds for new work."""

    ledger_fields: ClassVar = {
        1: (
            "version",
            "name",
            "place",
            "timezone",
            "demo",
            "self_release_street",
            "recorded_at",
            "recorded_by",
        )
    }

    version = models.PositiveIntegerField(primary_key=True)
    name = models.CharField(max_length=200)
    place = models.CharField(max_length=200, blank=True)
    timezone = models.CharField(max_length=60, default="UTC")
    # A demo shop may play under a set clock, and says so on every page and paper.
    demo = models.BooleanField(default=False)
    self_release_street = models.BooleanField(default=False)

    def __str__(self) -> str:
        return f"{self.name}, version {self.version}"


class ToleranceClass(Deed):
    """What a build is promised by default: tolerances (greatest minus least), rule, readings."""

    ledger_fields: ClassVar = {
        1: (
            "name",
            "version",
            "set_g",
            "big_end_g",
            "whole_rod_g",
            "guard_r",
            "readings",
            "hangings",
            "recorded_at",
            "recorded_by",
        )
    }

    name = models.CharField(max_length=40)
    version = models.PositiveIntegerField()
    set_g = ExactDecimalField(**GRAMS)
    big_end_g = ExactDecimalField(**GRAMS)
    whole_rod_g = ExactDecimalField(**GRAMS)
    guard_r = models.DecimalField(max_digits=6, decimal_places=3)
    readings = models.PositiveSmallIntegerField()
    hangings = models.PositiveSmallIntegerField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["name", "version"], name="one_tolerance_version")
        ]

    def __str__(self) -> str:
        return f"{self.name}, version {self.version}"


class BalanceRule(Deed):
    """Oil and fraction for bob weights, and how close the made-up weights must come."""

    ledger_fields: ClassVar = {
        1: ("version", "oil_g", "fraction", "range_g", "recorded_at", "recorded_by")
    }

    version = models.PositiveIntegerField(primary_key=True)
    oil_g = ExactDecimalField(**GRAMS)
    fraction = models.DecimalField(max_digits=6, decimal_places=4)
    range_g = ExactDecimalField(**GRAMS)

    def __str__(self) -> str:
        return f"balance rule {self.version}"


class Checklist(Deed):
    """A version of the safety checklist."""

    ledger_fields: ClassVar = {1: ("version", "recorded_at", "recorded_by")}

    version = models.PositiveIntegerField(primary_key=True)

    def __str__(self) -> str:
        return f"checklist {self.version}"


class ChecklistQuestion(Deed):
    """A question of a checklist; `key` is what the rules of domain/practice know it by."""

    ledger_fields: ClassVar = {
        1: ("checklist", "key", "text", "order", "recorded_at", "recorded_by")
    }

    checklist = models.ForeignKey(Checklist, models.PROTECT, related_name="questions")
    key = models.SlugField(max_length=40)
    text = models.CharField(max_length=400)
    order = models.PositiveSmallIntegerField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["checklist", "key"], name="one_question_per_key")
        ]

    def __str__(self) -> str:
        return self.key


class RodFixture(Deed):
    """A fixture that rods hang in: standard uncertainty of the contact at each end, per hanging."""

    ledger_fields: ClassVar = {
        1: ("number", "version", "big_mm", "small_mm", "recorded_at", "recorded_by")
    }

    number = models.CharField(max_length=20)
    version = models.PositiveIntegerField()
    big_mm = models.DecimalField(max_digits=8, decimal_places=4)
    small_mm = models.DecimalField(max_digits=8, decimal_places=4)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["number", "version"], name="one_fixture_version")
        ]

    def __str__(self) -> str:
        return f"{self.number}, version {self.version}"
