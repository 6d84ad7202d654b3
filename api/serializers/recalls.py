"""Recalls and the ends of their cases as they come in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from rest_framework import serializers

from api.answers import Recorded
from api.serializers.base import Given, a_number, a_reason, exact, moment, row_id, words
from records.actions.recalls import FoundBy


class RecallGiven(Given):
    """A scale found out by one of the two: a calibration's certificate, or a failed check."""

    scale = a_number(20)
    certificate = words(80)
    check = row_id(required=False, allow_null=True, default=None)
    cause = a_reason(400)
    withdrawn_at = moment()

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        attrs["found_by"] = FoundBy(attrs.pop("certificate"), attrs.pop("check"))
        return attrs


class WeightGiven(Given):
    """A check weight found out: so much heavier than it was taken for, lighter below zero."""

    weight = a_number(20)
    heavier_g = exact(13, "-1000", "1000")
    cause = a_reason(400)


class CaseEnded(Given):
    outcome = serializers.ChoiceField(["cleared", "re-measured", "replaced", "withdrawn"])
    reason = a_reason(2000)


@dataclass(frozen=True, slots=True)
class RecallRecorded(Recorded):
    """A recall: until when the scale is in doubt; what it touched is reckoned in the background."""

    until: datetime


@dataclass(frozen=True, slots=True)
class WeightRecalled:
    """The recalls of the scales that it had let pass; none where every check still passes."""

    recalls: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class CaseEndRecorded(Recorded):
    """How the case of a build ended."""

    outcome: str
