"""The shape of what comes in: every key known, every value checked, nothing assigned by itself."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any, cast

from rest_framework import serializers

LONGEST_LIST = 500


class Given(serializers.Serializer[Any]):
    """An object whose keys are all known; an unknown one is refused at its own pointer."""

    def to_internal_value(self, data: Any) -> dict[str, Any]:
        if isinstance(data, dict) and (unknown := set(data) - set(self.fields)):
            known = ", ".join(self.fields)
            raise serializers.ValidationError(
                {
                    key: [serializers.ErrorDetail(f"expected one of {known}", "unknown_key")]
                    for key in sorted(unknown, key=str)
                }
            )
        return cast(dict[str, Any], super().to_internal_value(data))


class Nothing(Given):
    """An empty object."""


def a_number(longest: int = 40, **options: Any) -> serializers.CharField:
    """Return the field for a number by which the record knows something."""
    return serializers.CharField(max_length=longest, **options)


def words(longest: int = 400, **options: Any) -> serializers.CharField:
    """Return the field for a sentence that may be left out."""
    return serializers.CharField(
        max_length=longest, **{"required": False, "default": "", "allow_blank": True, **options}
    )


def a_reason(longest: int = 400) -> serializers.CharField:
    """Return the field for a reason that must be given."""
    return serializers.CharField(max_length=longest)


def exact(
    places: int = 13, least: str | None = None, most: str = "1000000", **options: Any
) -> serializers.DecimalField:
    """Return the field for an exact decimal, given as a string or a number."""
    lowest: dict[str, Any] = {} if least is None else {"min_value": Decimal(least)}
    return serializers.DecimalField(
        max_digits=places + 7, decimal_places=places, max_value=Decimal(most), **lowest, **options
    )


def grams(**options: Any) -> serializers.DecimalField:
    """Return the field for a mass in grams, zero or more."""
    return exact(**{"least": "0", **options})


class Moment(serializers.DateTimeField):
    """A time with its zone; one without is refused, since nobody knows whose clock it was."""

    def enforce_timezone(self, value: datetime) -> datetime:
        if value.tzinfo is None:
            raise serializers.ValidationError(
                "expected a time with its zone, such as 2026-03-02T08:05:00Z", "no_zone"
            )
        return value


def moment(**options: Any) -> Moment:
    """Return the field for a time in the past or now."""
    return Moment(**{"required": False, "default": None, "allow_null": True, **options})


def row_id(**options: Any) -> serializers.IntegerField:
    """Return the field for the id of a row that a deed answered with."""
    return serializers.IntegerField(min_value=1, max_value=2**62, **options)


def several(shape: type[Given], **options: Any) -> serializers.ListField:
    """Return the field for a list of objects, of limited length."""
    return serializers.ListField(child=shape(), **{"max_length": LONGEST_LIST, **options})
