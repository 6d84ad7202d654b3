"""Parts: booked in, fitted, looked at as they came in, rated, ruled on; and their history."""

from __future__ import annotations

from typing import Any

from rest_framework.request import Request

from api.answers import Recorded, recorded
from api.authentication import RELEASE, viewer
from api.serializers.parts import (
    IntakeNoted,
    IntakeRecorded,
    PartBooked,
    PartFitted,
    PartTakenOut,
    RatingGiven,
    RulingGiven,
)
from api.shapes import ListOf
from api.views.base import Looking, OfABuild, Recording
from records.actions import parts as deeds
from records.queries.part_history import HistoryLine, part_history
from records.queries.parts import (
    FittedPart,
    PartPage,
    PartRow,
    check_part_is_theirs,
    find_parts,
    part_page,
    parts_of,
)

SERIAL = {"name": "serial", "type": str, "description": "a piece of a serial or of a number"}


class PartsOfBuild(OfABuild, Looking, Recording):
    """Parts that stand in a build."""

    shows = ListOf(FittedPart)
    takes = PartBooked

    def look(self, request: Request, **named: Any) -> tuple[FittedPart, ...]:
        """List the parts that stand in a build now, by kind and place."""
        return parts_of(named["number"], viewer(request))

    def key_of(self, row: FittedPart) -> object:
        return row.part.number

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Book a part in by the shop's number and put it in the build."""
        build = named["number"]
        return deeds.book_part(by=by, build=build, **given)


class Fitments(OfABuild, Recording):
    """Parts put in a build."""

    takes = PartFitted

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Put a part that is on record in a place of the build."""
        return deeds.fit_part(by=by, build=named["number"], **given)


class FitmentEnds(OfABuild, Recording):
    """Parts taken out of a build."""

    takes = PartTakenOut

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Take a part from its place."""
        return deeds.take_out_part(by=by, build=named["number"], **given)


class Intake(OfABuild, Recording):
    """Condition as parts came in."""

    takes = IntakeNoted
    gives = IntakeRecorded

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Record what was seen on all parts of a kind as they came in, with exceptions by part."""
        return deeds.note_intake(by=by, build=named["number"], **given)

    def answer(self, row: Any) -> Recorded:
        return recorded(row[0], IntakeRecorded, parts=tuple(note.part_id for note in row))


class OfAPart(Recording):
    """An address below a part."""

    def check_before(self, request: Request, **named: Any) -> None:
        check_part_is_theirs(named["number"], viewer(request))


class Ratings(OfAPart):
    """Ratings of a damper."""

    takes = RatingGiven

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Record a damper's rating as its label says."""
        return deeds.rate_damper(by=by, part=named["number"], **given)


class Rulings(OfAPart):
    """Rulings on what may still come off."""

    scopes = RELEASE
    takes = RulingGiven

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Record an inspector's word on what may still come off a part with earlier cuts."""
        return deeds.rule_allowance(by=by, part=named["number"], **given)


class Parts(Looking):
    """Parts by serial or number."""

    shows = ListOf(PartRow)
    asks = (SERIAL,)

    def look(self, request: Request, **named: Any) -> tuple[PartRow, ...]:
        """Find parts whose serial or number holds a piece of text, at most 50."""
        return find_parts(request.query_params.get("serial", "")[:120], viewer(request))


class Part(Looking):
    """One part."""

    shows = PartPage

    def look(self, request: Request, **named: Any) -> PartPage:
        """Show a part with its zones: what was taken over its life, and what may still come off."""
        return part_page(named["number"], viewer(request))


class PartHistory(Looking):
    """A part's life."""

    shows = ListOf(HistoryLine)

    def look(self, request: Request, **named: Any) -> tuple[HistoryLine, ...]:
        """List all that is on record of a part, oldest first, whichever builds it was in."""
        return part_history(named["number"], viewer(request))

    def key_of(self, row: HistoryLine) -> object:
        return f"{row.at.isoformat()} {row.kind} {row.sentence}"
