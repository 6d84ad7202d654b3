"""Matching, bob-weight cards, the checklist, findings: what is reckoned and what is decided."""

from __future__ import annotations

from typing import Any

from rest_framework.request import Request

from api.answers import Recorded, recorded
from api.authentication import RELEASE, viewer
from api.serializers.base import Given, moment
from api.serializers.work import (
    AnswerGiven,
    Disposed,
    MatchAccepted,
    MatchRecorded,
    SetMatched,
)
from api.shapes import PartOf
from api.views.base import Looking, OfABuild, Recording
from api.views.builds import OfThePage
from records.actions import cards
from records.actions.checklist import answer_question
from records.actions.findings import dispose
from records.actions.matching import accept_match
from records.queries.build_page import BuildPage
from records.queries.pairing import Proposal, match_proposal


class MatchProposal(OfABuild, Looking):
    """A pairing as it would be accepted now."""

    shows = Proposal
    asks = (
        {
            "name": "aim",
            "type": str,
            "enum": ["spread", "metal"],
            "description": "least spread (unless said), or least metal removed",
        },
    )

    def look(self, request: Request, **named: Any) -> Proposal:
        """Propose the best pairing of pistons, pins, locks and rings for an aim."""
        aim = request.query_params.get("aim", "spread")
        return match_proposal(named["number"], aim, viewer(request))


class Matches(OfABuild, Recording):
    """Pairings accepted."""

    takes = MatchAccepted
    gives = MatchRecorded

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Pair the sets for an aim and move the parts; reckoned here, never taken from the body."""
        return accept_match(by=by, build=named["number"], **given)

    def answer(self, row: Any) -> Recorded:
        sets = tuple(
            SetMatched(one["place"], tuple(one["parts"]), one["total_g"]) for one in row.sets
        )
        return recorded(row, MatchRecorded, sets=sets)


class CardAsked(Given):
    issued_at = moment()


class Cards(OfThePage, Recording):
    """Bob-weight cards."""

    shows = PartOf(BuildPage, "BobWeights", "issued=facts.card", "now=card", "state=card_state")
    takes = CardAsked

    def look(self, request: Request, **named: Any) -> BuildPage:
        """Show the card as it would be written now, and whether the newest written one holds."""
        return super().look(request, **named)

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Issue the bob-weight card, or its next revision, from what stands on record."""
        return cards.issue_card(by=by, build=named["number"], **given)


class Checklist(OfThePage, Recording):
    """The safety checklist of a build."""

    shows = PartOf(BuildPage, "Checklist", "questions=facts.questions", "answers=facts.answers")
    takes = AnswerGiven

    def look(self, request: Request, **named: Any) -> BuildPage:
        """Show the questions of the build's checklist, and the newest answer to each."""
        return super().look(request, **named)

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Answer one question; a newer answer takes its place."""
        return answer_question(by=by, build=named["number"], **given)


class Findings(OfThePage):
    """Findings of a build."""

    shows = PartOf(BuildPage, "Findings", "findings", "gone")

    def look(self, request: Request, **named: Any) -> BuildPage:
        """List what stands in a release's way, what was decided, and what an inspector may."""
        return super().look(request, **named)


class Dispositions(OfABuild, Recording):
    """What an inspector decided."""

    scopes = RELEASE
    takes = Disposed

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Record what an inspector decided about a finding that stands."""
        return dispose(by=by, build=named["number"], **given)
