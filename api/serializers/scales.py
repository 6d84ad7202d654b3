"""Scales, calibrations, check weights and scale checks as they come in."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from rest_framework import serializers

from api.answers import Recorded
from api.serializers.base import (
    Given,
    a_number,
    a_reason,
    exact,
    grams,
    moment,
    row_id,
    several,
    words,
)
from api.serializers.weighings import ReadingShape
from records.actions.scale_checks import Load
from records.actions.scales import PointGiven, Repeatability, Step


class StepShape(Given):
    unit = serializers.CharField(max_length=10)
    step = exact()
    up_to_g = grams(required=False, allow_null=True, default=None)


class ScaleBooked(Given):
    number = a_number(20)
    capacity_g = grams()
    steps = several(StepShape, allow_empty=False, max_length=20)
    note = words()
    made_on = serializers.DateField(required=False, allow_null=True, default=None)

    def validate_steps(self, value: list[dict[str, Any]]) -> list[Step]:
        return [Step(**one) for one in value]


class PointShape(Given):
    load_g = grams()
    error_g = exact()
    U_g = grams()
    k = exact(3, "0", "10", default=Decimal(2))


class RepeatabilityShape(Given):
    load_g = grams()
    s_g = grams()


class EccentricityShape(Given):
    load_g = grams()
    max_diff_g = grams()


class CalibrationGiven(Given):
    certificate_number = serializers.CharField(max_length=80)
    calibrated_on = serializers.DateField()
    due_on = serializers.DateField()
    as_left = several(PointShape, allow_empty=False, max_length=100)
    as_found = several(PointShape, required=False, default=list, max_length=100)
    repeatability = several(RepeatabilityShape, allow_empty=False, max_length=100)
    repeatability_nu = serializers.IntegerField(
        min_value=1, max_value=10_000, required=False, allow_null=True, default=None
    )
    eccentricity = EccentricityShape(required=False, allow_null=True, default=None)
    laboratory = words(200)
    adjusted = serializers.BooleanField(default=False)

    def validate_as_left(self, value: list[dict[str, Any]]) -> list[PointGiven]:
        return [PointGiven(**one) for one in value]

    def validate_as_found(self, value: list[dict[str, Any]]) -> list[PointGiven]:
        return [PointGiven(**one) for one in value]

    def validate_repeatability(self, value: list[dict[str, Any]]) -> list[Repeatability]:
        return [Repeatability(**one) for one in value]

    def validate_eccentricity(self, value: dict[str, Any] | None) -> tuple[Decimal, Decimal] | None:
        return None if value is None else (value["load_g"], value["max_diff_g"])


class CheckWeightBooked(Given):
    number = a_number(20)
    nominal_g = grams()
    accuracy_class = serializers.CharField(max_length=4)


class WeightCertificateGiven(Given):
    certificate_number = serializers.CharField(max_length=80)
    calibrated_on = serializers.DateField()
    due_on = serializers.DateField()
    mass_g = grams()
    U_g = grams()
    k = exact(3, "0", "10", default=Decimal(2))
    laboratory = words(200)


class EventGiven(Given):
    kind = serializers.ChoiceField(
        ["adjusted", "repaired", "cause recorded", "withdrawn", "returned to use"]
    )
    reason = a_reason()
    happened_at = moment()
    check = row_id(required=False, allow_null=True, default=None)


class FileGiven(Given):
    """A file; the body is the file itself, its name stands in the query."""

    file = serializers.FileField(help_text="the body")
    name = serializers.CharField(max_length=100)

    def to_internal_value(self, data: Any) -> Any:
        sent = data.pop("file")
        name = self.fields["name"].run_validation(data.get("name", serializers.empty))
        return {"content": sent.content, "name": name}


class LoadShape(Given):
    weights = serializers.ListField(
        child=serializers.CharField(max_length=20), allow_empty=False, max_length=20
    )
    reading = ReadingShape()


class CheckGiven(Given):
    loads = several(LoadShape, allow_empty=False, max_length=20)
    measured_at = moment()
    remark = words()

    def validate_loads(self, value: list[dict[str, Any]]) -> list[Load]:
        return [Load(one["weights"], one["reading"]) for one in value]


@dataclass(frozen=True, slots=True)
class CheckRecorded(Recorded):
    """A check: passed when every load lay within its limit."""

    passed: bool
