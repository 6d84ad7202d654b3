"""Gauge studies and technicians' repeatability."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from rest_framework.request import Request

from api.authentication import viewer
from api.serializers.gauge_studies import (
    StudyEnded,
    StudyPlanned,
    StudyReadingCorrected,
    StudyReadingGiven,
    StudyReadingRecorded,
    StudyRecorded,
)
from api.shapes import ListOf
from api.views.base import ForTheShop, Looking, Recording
from records.actions import gauge_studies as deeds
from records.queries.gauge_studies import (
    GaugeStudyPage,
    GaugeStudyRow,
    gauge_studies,
    gauge_study_page,
)
from records.queries.repeatability import Repeatability, repeatability


class GaugeStudies(ForTheShop, Looking, Recording):
    """Gauge studies of the shop."""

    shows = ListOf(GaugeStudyRow)
    takes = StudyPlanned
    gives = StudyRecorded

    def look(self, request: Request, **named: Any) -> tuple[GaugeStudyRow, ...]:
        """List the studies, newest first, with how far each is read."""
        return gauge_studies()

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Plan a study; the order in which it is to be read is drawn at random."""
        return deeds.plan_study(by=by, **given)


class GaugeStudy(ForTheShop, Looking):
    """One gauge study."""

    shows = GaugeStudyPage

    def look(self, request: Request, **named: Any) -> GaugeStudyPage:
        """Show a study: its order, its readings, and both methods once every turn is read."""
        return gauge_study_page(named["number"])


class OfAStudy(ForTheShop, Recording):
    """A deed at a study: one that isn't there is answered 404 first."""

    def check_before(self, request: Request, **named: Any) -> None:
        gauge_study_page(named["number"])


class StudyReadings(OfAStudy):
    """Readings of a study."""

    takes = StudyReadingGiven
    gives = StudyReadingRecorded

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Enter the reading of the next turn; any other turn is refused."""
        return deeds.enter_study_reading(by=by, study=named["number"], **given)


class StudyReadingCorrections(OfAStudy):
    """Readings of a study taken back."""

    takes = StudyReadingCorrected

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Take a reading back and say why; without the right one its turn is read again."""
        return deeds.correct_study_reading(
            by=by, study=named["number"], reading=named["reading"], **given
        )


class StudyEnds(OfAStudy):
    """The end of a study."""

    takes = StudyEnded

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Close a study in which every turn is read, or give one up with the reason."""
        if given["outcome"] == "closed":
            return deeds.close_study(by=by, study=named["number"])
        return deeds.give_up_study(by=by, study=named["number"], reason=given["reason"])


class TechnicianRepeatability(ForTheShop, Looking):
    """What everyday double weighings say of who weighs."""

    shows = Repeatability

    def look(self, request: Request, **named: Any) -> Repeatability:
        """Show the pooled s by person, kind of work and scale; others' to a manager alone."""
        return repeatability(viewer(request), datetime.now(UTC))
