"""Builds as they are opened, and what is learnt of them later."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from rest_framework import serializers

from api.answers import Recorded
from api.serializers.base import Given, a_number, exact, grams, several, words
from records.actions.builds import Cylinder, Promise


class PromiseShape(Given):
    """Tolerances of one build; what is left out follows the tolerance class of its use."""

    set_g = grams(required=False, allow_null=True, default=None)
    big_end_g = grams(required=False, allow_null=True, default=None)
    whole_rod_g = grams(required=False, allow_null=True, default=None)
    guard_r = exact(3, "0", "10", required=False, allow_null=True, default=None)
    promised_as = serializers.ChoiceField(["spread", "plus or minus"], default="spread")


class CylinderShape(Given):
    place = serializers.IntegerField(min_value=1, max_value=100)
    throw_deg = serializers.FloatField(min_value=-720, max_value=720)
    bank_deg = serializers.FloatField(min_value=-720, max_value=720)
    z_mm = serializers.FloatField(min_value=-10_000, max_value=10_000)
    pin = serializers.IntegerField(min_value=1, max_value=100)


class BuildOpened(Given):
    number = a_number(30)
    engine = serializers.CharField(max_length=200)
    layout = serializers.CharField(max_length=40)
    use = serializers.ChoiceField(["street", "competition"])
    balance = serializers.ChoiceField(["neutral", "external"], default="neutral")
    customer = a_number(20, required=False, allow_null=True, default=None)
    cylinders = several(
        CylinderShape, required=False, allow_null=True, default=None, max_length=100
    )
    promise = PromiseShape(required=False, allow_null=True, default=None)
    rod_length_mm = exact(4, required=False, allow_null=True, default=None)
    stroke_mm = exact(4, required=False, allow_null=True, default=None)
    event_day = serializers.DateField(required=False, allow_null=True, default=None)

    def validate_cylinders(self, value: list[dict[str, Any]] | None) -> list[Cylinder] | None:
        return [Cylinder(**one) for one in value] if value else None

    def validate_promise(self, value: dict[str, Any] | None) -> Promise | None:
        return Promise(**value) if value else None


@dataclass(frozen=True, slots=True)
class BuildRecorded(Recorded):
    """A build opened; `warnings` say which scale can't prove its promise, and what would do."""

    warnings: tuple[str, ...]


class DetailNoted(Given):
    key = serializers.ChoiceField(["rod_length_mm", "stroke_mm", "event_day", "crank_in_job"])
    value = serializers.CharField(max_length=80)
    reason = words()


@dataclass(frozen=True, slots=True)
class DetailRecorded(Recorded):
    """A detail as it now holds."""

    key: str
    value: str
