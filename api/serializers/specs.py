"""Part specs, tolerance classes, rod fixtures and the shop's settings as they are set."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from rest_framework import serializers

from api.answers import Recorded
from api.serializers.base import Given, a_number, exact, grams, several, words
from records.actions.specs import DefaultZone


class ZoneShape(Given):
    """A zone; `limit_g` over a part's whole life, null where no number is known."""

    key = serializers.CharField(max_length=40)
    name = serializers.CharField(max_length=120)
    rule = serializers.ChoiceField(["allowed", "limited", "forbidden"])
    why = words()
    methods = serializers.ListField(
        child=serializers.CharField(max_length=40), default=list, max_length=30
    )
    limit_g = grams(required=False, allow_null=True, default=None)
    step_g = grams(required=False, allow_null=True, default=None)
    spread = serializers.ChoiceField(["any", "all round", "both sides"], default="any")
    x_mm = exact(4, required=False, allow_null=True, default=None)
    maker_leave = serializers.BooleanField(default=False)

    def to_internal_value(self, data: Any) -> Any:
        values = super().to_internal_value(data)
        return DefaultZone(**{**values, "methods": tuple(values["methods"])})


class SpecSet(Given):
    number = a_number(40)
    kind = serializers.CharField(max_length=40)
    name = serializers.CharField(max_length=200)
    metal = serializers.CharField(max_length=20)
    density_g_cm3 = exact(4, "0.1", "30")
    zones = several(ZoneShape, max_length=100)


class ToleranceSet(Given):
    """Tolerances as greatest minus least."""

    name = serializers.CharField(max_length=40)
    set_g = grams()
    big_end_g = grams()
    whole_rod_g = grams()
    guard_r = exact(3, "0", "10")
    readings = serializers.IntegerField(min_value=1, max_value=20)
    hangings = serializers.IntegerField(min_value=1, max_value=20)


class FixtureSet(Given):
    number = a_number(20)
    big_mm = exact(4, "0", "100")
    small_mm = exact(4, "0", "100")


class SettingsSet(Given):
    name = serializers.CharField(max_length=200)
    place = words(200)
    timezone = serializers.CharField(max_length=60)
    self_release_street = serializers.BooleanField()


@dataclass(frozen=True, slots=True)
class VersionRecorded(Recorded):
    """The new version of a rule."""

    version: int
