"""Scales, their calibrations and checks, and check weights."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from rest_framework.request import Request

from api.serializers.scales import (
    CheckGiven,
    CheckRecorded,
    CheckWeightBooked,
    ScaleBooked,
)
from api.shapes import ListOf
from api.views.base import ForTheShop, Looking, Recording
from records.actions import scale_checks
from records.actions import scales as deeds
from records.queries.check_weights import CheckWeightRow, check_weights
from records.queries.scales import ScalePage, ScaleRow, scale_page, scales_with_status


class Scales(ForTheShop, Looking, Recording):
    """Scales with their standing."""

    shows = ListOf(ScaleRow)
    takes = ScaleBooked

    def look(self, request: Request, **named: Any) -> tuple[ScaleRow, ...]:
        """List the scales, each with its standing now and why."""
        return scales_with_status(datetime.now(UTC))

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Book a scale with its capacity and its step per unit."""
        return deeds.book_scale(by=by, **given)


class Scale(ForTheShop, Looking):
    """One scale."""

    shows = ScalePage

    def look(self, request: Request, **named: Any) -> ScalePage:
        """Show a scale with its calibrations and checks, newest first."""
        return scale_page(named["number"], datetime.now(UTC))


class Checks(ForTheShop, Recording):
    """Checks of a scale."""

    takes = CheckGiven
    gives = CheckRecorded

    def check_before(self, request: Request, **named: Any) -> None:
        scale_page(named["number"], datetime.now(UTC))

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Record a check; a failed one is recorded like any other."""
        return scale_checks.record_scale_check(by=by, scale=named["number"], **given)


class CheckWeights(ForTheShop, Looking, Recording):
    """Check weights of the shop."""

    shows = ListOf(CheckWeightRow)
    takes = CheckWeightBooked

    def look(self, request: Request, **named: Any) -> tuple[CheckWeightRow, ...]:
        """List the check weights, lightest first."""
        return check_weights()

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Book a check weight by its nominal mass and class (OIML R 111-1)."""
        return deeds.book_check_weight(by=by, **given)
