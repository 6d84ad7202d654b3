"""Readings and weighings as they come in."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from rest_framework import serializers

from api.answers import Recorded
from api.serializers.base import Given, a_number, a_reason, moment, several, words
from records.actions.reading import ReadingGiven
from records.actions.weighings import WeighingGiven

SOURCES = ("typed", "wedge", "bridge", "tablet", "declared")  # a sheet comes by its own address


class ReadingShape(Given):
    """One reading: the figure as the scale showed it, and its unit."""

    value = serializers.CharField(max_length=30)
    unit = serializers.CharField(max_length=10, default="g")
    text = words(80)
    hanging = serializers.IntegerField(
        min_value=1, max_value=100, required=False, allow_null=True, default=None
    )
    read_at = moment()

    def to_internal_value(self, data: Any) -> Any:
        return ReadingGiven(**super().to_internal_value(data))


class WeighingShape(Given):
    """A weighing of a part, or of the set of a place."""

    what = serializers.ChoiceField(["whole", "set", "big end", "small end"])
    readings = several(ReadingShape, allow_empty=False, max_length=100)
    part = a_number(40, required=False, allow_null=True, default=None)
    place = serializers.IntegerField(
        min_value=1, max_value=100, required=False, allow_null=True, default=None
    )
    scale = a_number(20, required=False, allow_null=True, default=None)
    how = serializers.CharField(max_length=20, required=False, allow_null=True, default=None)
    measured_at = moment()
    # the metaclass takes declared fields away, so that no attribute of the class is hidden
    source = serializers.ChoiceField(SOURCES, default="typed")  # type: ignore[assignment]
    purpose = serializers.ChoiceField(["evidence", "progress", "verification"], default="evidence")
    operator = a_number(
        20, required=False, allow_null=True, default=None, help_text="from a scale bridge alone"
    )
    device_time = moment()
    device_offset_ms = serializers.IntegerField(
        min_value=-(2**31), max_value=2**31 - 1, required=False, allow_null=True, default=None
    )
    remark = words()

    def to_internal_value(self, data: Any) -> Any:
        return WeighingGiven(**super().to_internal_value(data))


class WeighingCorrected(Given):
    """Why a weighing is taken back, and the right one in its place if there is one."""

    reason = a_reason()
    right = WeighingShape(required=False, allow_null=True, default=None)


@dataclass(frozen=True, slots=True)
class WeighingRecorded(Recorded):
    """A weighing: the mean of its readings, uncorrected, and what to know about it at once."""

    mean_g: Decimal
    late: bool
    ahead: bool
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WeighingTakenBack(Recorded):
    """The correction: which weighing was wrong, and which stands in its place."""

    wrong: int
    right: int | None
