"""Parts as they are booked in, fitted, looked at, rated, and ruled on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from rest_framework import serializers

from api.answers import Recorded
from api.serializers.base import Given, a_number, a_reason, grams, moment, row_id, words
from records.actions.parts import Condition


class PartBooked(Given):
    number = a_number(40)
    spec = a_number(40)
    place = serializers.IntegerField(
        min_value=1, max_value=100, required=False, allow_null=True, default=None
    )
    serial = words(120)
    marking = words(200)


class PartFitted(Given):
    part = a_number(40)
    place = serializers.IntegerField(
        min_value=1, max_value=100, required=False, allow_null=True, default=None
    )
    fitted_at = moment()


class PartTakenOut(Given):
    part = a_number(40)
    reason = a_reason()
    ended_at = moment()


class ConditionShape(Given):
    heat = serializers.CharField(max_length=20, default="none")
    cracks = serializers.BooleanField(default=False)
    earlier_cuts = serializers.BooleanField(default=False)
    note = words()

    def to_internal_value(self, data: Any) -> Any:
        return Condition(**super().to_internal_value(data))


class IntakeNoted(Given):
    """What was seen on all parts of a kind, with exceptions by part number."""

    kind = serializers.CharField(max_length=40)
    condition = ConditionShape()
    exceptions = serializers.DictField(child=ConditionShape(), required=False, default=dict)

    def validate_exceptions(self, value: dict[str, Any]) -> dict[str, Any]:
        if len(value) > 200:
            raise serializers.ValidationError("expected at most 200 exceptions")
        return value


class RatingGiven(Given):
    # the metaclass takes declared fields away, so that no attribute of the class is hidden
    label = serializers.CharField(max_length=80)  # type: ignore[assignment]
    body = serializers.CharField(max_length=120)
    spec = serializers.CharField(max_length=80)
    expires_on = serializers.DateField()


class RulingGiven(Given):
    """What may still come off a zone of a part with earlier cuts."""

    zone = row_id()
    remaining_g = grams()
    reason = a_reason()


@dataclass(frozen=True, slots=True)
class IntakeRecorded(Recorded):
    """The notes that were made, and on which parts."""

    parts: tuple[str, ...]
