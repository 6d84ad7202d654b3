"""Removals, matching, the checklist, findings, cards and releases as they come in."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from rest_framework import serializers

from api.answers import Recorded
from api.serializers.base import Given, a_number, a_reason, moment, row_id, several, words
from api.serializers.weighings import ReadingShape
from records.actions.releases import Seal
from records.actions.removals import Cut


class RemovalOpened(Given):
    """A cut as it is made, from the newest whole weighing unless `before` names another."""

    part = a_number(40)
    zones = serializers.ListField(
        child=serializers.CharField(max_length=40), allow_empty=False, max_length=30
    )
    method = serializers.CharField(max_length=40)
    spread = serializers.ChoiceField(["all round", "both sides", "one spot"])
    cut_at = moment()
    remark = words()
    before = row_id(required=False, allow_null=True, default=None)


class LateRemoval(RemovalOpened):
    """A cut that was made between two weighings on record."""

    before = row_id()
    after = row_id()
    heat = serializers.CharField(max_length=20)


class PassNoted(Given):
    reading = ReadingShape()
    what = serializers.ChoiceField(["whole", "big end", "small end"], default="whole")


class RemovalClosed(Given):
    heat = serializers.CharField(max_length=20)
    after = row_id(required=False, allow_null=True, default=None)


class RemovalTakenBack(Given):
    reason = a_reason()


class MatchAccepted(Given):
    aim = serializers.ChoiceField(["spread", "metal"])
    matched_at = moment()


class AnswerGiven(Given):
    question = serializers.CharField(max_length=40)
    answer = serializers.CharField(max_length=40)
    detail = words()
    answered_at = moment()


class Disposed(Given):
    key = serializers.CharField(max_length=200)
    decision = serializers.CharField(max_length=40)
    reason = a_reason(2000)
    evidence = serializers.DictField(
        child=serializers.CharField(max_length=400), required=False, default=dict
    )


class SealShape(Given):
    number = a_number(80)
    where = words(120)

    def to_internal_value(self, data: Any) -> Any:
        return Seal(**super().to_internal_value(data))


class Released(Given):
    """A release; the password of who signs is asked once more."""

    password = serializers.CharField(max_length=400, trim_whitespace=False, write_only=True)
    seals = several(SealShape, required=False, default=list, max_length=50)
    no_seals_reason = words()
    seen_conditional = serializers.BooleanField(default=False)
    not_for_competition = serializers.BooleanField(default=False)


class StateChanged(Given):
    state = serializers.ChoiceField(["stands", "in doubt", "withdrawn"])
    reason = a_reason(2000)


def cut_of(given: dict[str, Any]) -> Cut:
    """Return the cut that a body tells of."""
    keys = ("part", "zones", "method", "spread", "cut_at", "remark")
    return Cut(**{key: given[key] for key in keys})


@dataclass(frozen=True, slots=True)
class RemovalRecorded(Recorded):
    """An open removal, and the weighing it starts from."""

    before: int
    late: bool


@dataclass(frozen=True, slots=True)
class CloseRecorded(Recorded):
    """A closed removal: the mass worked out from the two weighings, with U of the difference."""

    removal: int
    after: int
    mass_g: Decimal
    U_g: Decimal


@dataclass(frozen=True, slots=True)
class SetMatched:
    """A set as it was paired."""

    place: int
    parts: tuple[str, ...]
    total_g: str


@dataclass(frozen=True, slots=True)
class MatchRecorded(Recorded):
    """A pairing with how good it is, and the best that any could be."""

    sets: tuple[SetMatched, ...]
    spread_g: Decimal
    removed_g: Decimal
    bound_spread_g: Decimal
    proven: bool


@dataclass(frozen=True, slots=True)
class ReleaseRecorded(Recorded):
    """A release: the certificate's number, revision and check code, and the hash of its facts."""

    certificate_number: str
    revision: int
    check_code: str
    facts_sha256: str
