"""Builds: opened, listed, looked at from each side, and details that are learnt later."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from rest_framework.request import Request

from api.answers import Recorded, recorded
from api.authentication import viewer
from api.serializers.builds import BuildOpened, BuildRecorded, DetailNoted, DetailRecorded
from api.shapes import ListOf, PartOf
from api.views.base import ForTheShop, Looking, OfABuild, Recording
from records.actions import builds as deeds
from records.queries.build_page import BuildPage, build_page
from records.queries.builds import (
    BuildRow,
    EntryRow,
    all_builds,
    entries_of_build,
    open_builds,
)
from records.queries.weighing_warnings import warnings_of_opening

OPEN = {"name": "open", "type": bool, "description": "true: only builds with work left"}


class Builds(Looking, Recording):
    """Builds that one may see."""

    shows = ListOf(BuildRow)
    takes = BuildOpened
    gives = BuildRecorded
    asks = (OPEN,)

    def look(self, request: Request, **named: Any) -> tuple[BuildRow, ...]:
        """List builds, newest first."""
        only_open = request.query_params.get("open") == "true"
        return open_builds(viewer(request)) if only_open else all_builds(viewer(request))

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Open a build under the newest rules; `warnings` say what no scale proves."""
        return deeds.open_build(by=by, **given)

    def answer(self, row: Any) -> Recorded:
        return recorded(row, BuildRecorded, warnings=warnings_of_opening(row.pk))


class OfThePage(OfABuild, Looking):
    """One side of a build's page."""

    def look(self, request: Request, **named: Any) -> BuildPage:
        """Show one side of a build, judged now."""
        return build_page(named["number"], datetime.now(UTC), viewer(request))


class BuildState(OfThePage):
    """A build with its state."""

    shows = PartOf(
        BuildPage,
        "BuildState",
        "row",
        "today",
        "promise=facts.promise",
        "rod_length_mm=facts.rod_length_mm",
        "stroke_mm=facts.stroke_mm",
        "event_day=facts.event_day",
        "crank_in_job=facts.crank_in_job",
        "next_step=plan.step",
        "judgements",
        "blocks",
        "blocks_for_competition_waived",
        "conditional",
        "card_state",
        "unprovable",
        "provable",
    )

    def look(self, request: Request, **named: Any) -> BuildPage:
        """Show what a build is, what is judged, what blocks its release and what is next."""
        return super().look(request, **named)


class BuildFacts(ForTheShop, OfThePage):
    """All facts of a build."""

    shows = PartOf(BuildPage, "BuildRecord", "facts")

    def look(self, request: Request, **named: Any) -> BuildPage:
        """Show everything on record of a build that the rules look at."""
        return super().look(request, **named)


class Plan(OfThePage):
    """What to cut next."""

    shows = PartOf(BuildPage, "BuildPlanShown", "step=plan.step", "steps=plan.steps")

    def look(self, request: Request, **named: Any) -> BuildPage:
        """Show the plan: sets, then big ends, then whole rods, each toward its lightest."""
        return super().look(request, **named)


class Details(OfABuild, Recording):
    """Details of a build."""

    takes = DetailNoted
    gives = DetailRecorded

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Record rod length, stroke, event day, or whether crank and damper are in the job."""
        return deeds.note_detail(by=by, build=named["number"], **given)


class Entries(OfABuild, Looking):
    """A build's history in the ledger."""

    shows = ListOf(EntryRow)

    def look(self, request: Request, **named: Any) -> tuple[EntryRow, ...]:
        """List the entries of a build's stream in order."""
        return entries_of_build(named["number"], viewer(request))

    def key_of(self, row: EntryRow) -> object:
        return row.seq
