"""Weighings: recorded, taken back."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from rest_framework.request import Request

from api.answers import Recorded, recorded
from api.authentication import WEIGH, person, viewer
from api.serializers.weighings import (
    WeighingCorrected,
    WeighingRecorded,
    WeighingShape,
    WeighingTakenBack,
)
from api.shapes import ListOf
from api.views.base import Looking, OfABuild, Recording
from records.actions import weighings as deeds
from records.domain.errors import Code, NotAllowed
from records.queries.build_page import WeighingShown, build_page
from records.queries.people import TokenRow
from records.queries.weighing_warnings import warnings_of_weighing

BRIDGE = ("readings:write",)


class Weighings(OfABuild, Looking, Recording):
    """Weighings of a build's parts."""

    scopes = WEIGH
    shows = ListOf(WeighingShown)
    takes = WeighingShape
    gives = WeighingRecorded

    def look(self, request: Request, **named: Any) -> tuple[WeighingShown, ...]:
        """List the weighings that stand, each with whether it counts and if not, why."""
        return build_page(named["number"], datetime.now(UTC), viewer(request)).weighings

    def key_of(self, row: WeighingShown) -> object:
        return row.weighing.id

    def check_before(self, request: Request, **named: Any) -> None:
        check_who_weighed(request, request.data)

    def record(self, by: str, given: Any, **named: Any) -> Any:
        """Record a weighing of a part, or of the set of a place."""
        return deeds.record_weighing(by=by, build=named["number"], given=given)

    def answer(self, row: Any) -> Recorded:
        warnings = warnings_of_weighing(row.build_id, row.pk)
        return recorded(row, WeighingRecorded, warnings=warnings)


class WeighingCorrections(OfABuild, Recording):
    """Weighings taken back."""

    takes = WeighingCorrected
    gives = WeighingTakenBack

    def check_before(self, request: Request, **named: Any) -> None:
        data = request.data
        check_who_weighed(request, data.get("right") if isinstance(data, dict) else None)

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Take a wrong weighing back, saying why, with the right one in its place if there is."""
        return deeds.correct_weighing(
            by=by,
            build=named["number"],
            weighing=named["weighing"],
            reason=given["reason"],
            given=given["right"],
        )

    def answer(self, row: Any) -> Recorded:
        return recorded(row, WeighingTakenBack, wrong=row.wrong_id, right=row.right_id)


def check_who_weighed(request: Request, data: Any) -> None:
    """Let only a scale bridge's token say who stood at the scale; others weigh themselves."""
    named = isinstance(data, dict) and data.get("operator") not in (None, person(request))
    bridge = isinstance(request.auth, TokenRow) and request.auth.scopes == BRIDGE
    if named and not bridge:
        raise NotAllowed(
            Code.NOT_ALLOWED,
            "expected no operator: who is signed in weighed; a scale bridge's token names another",
            field="operator",
        )
