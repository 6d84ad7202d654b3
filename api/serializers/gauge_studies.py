"""Gauge studies as they come in: a plan, a reading, a correction, an end."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from rest_framework import serializers

from api.answers import Recorded
from api.serializers.base import Given, a_number, a_reason, grams, moment, words
from api.serializers.weighings import ReadingShape

WHAT = ("whole", "set", "big end", "small end")
OUTCOMES = ("closed", "given up")
LONGEST_PLAN = 100


class StudyPlanned(Given):
    number = a_number(20)
    scale = a_number(20)
    parts = serializers.ListField(
        child=serializers.CharField(max_length=40), allow_empty=False, max_length=LONGEST_PLAN
    )
    people = serializers.ListField(
        child=serializers.CharField(max_length=20), allow_empty=False, max_length=LONGEST_PLAN
    )
    trials = serializers.IntegerField(min_value=1, max_value=100)
    what = serializers.ChoiceField(WHAT, default="whole")
    tolerance_g = grams(required=False, allow_null=True, default=None)
    note = words()
    seed = serializers.IntegerField(
        min_value=0,
        max_value=2**31 - 1,
        required=False,
        allow_null=True,
        default=None,
        help_text="what the order is drawn by; drawn itself when left out",
    )


class StudyReadingGiven(Given):
    turn = serializers.IntegerField(min_value=1, max_value=100_000)
    reading = ReadingShape()
    read_at = moment()


class StudyReadingCorrected(Given):
    """Why a reading is taken back, and the right one if there is one; else its turn comes again."""

    reason = a_reason()
    right = ReadingShape(required=False, allow_null=True, default=None)
    read_at = moment()


class StudyEnded(Given):
    outcome = serializers.ChoiceField(OUTCOMES)
    reason = words()


@dataclass(frozen=True, slots=True)
class StudyRecorded(Recorded):
    """A planned study and the seed that its order was drawn by."""

    seed: int


@dataclass(frozen=True, slots=True)
class StudyReadingRecorded(Recorded):
    """A reading of a study in exact grams."""

    grams: Decimal
    late: bool
