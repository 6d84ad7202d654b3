"""A pairing as it would be accepted now, for who chooses the aim."""

from __future__ import annotations

from records.domain.practice.pairing import Proposal, propose
from records.queries.build_facts import facts_of
from records.queries.viewer import Viewer, check_build_is_theirs

__all__ = ["Proposal", "match_proposal"]


def match_proposal(number: str, aim: str, viewer: Viewer) -> Proposal:
    """Return the best pairing for an aim (`spread` or `metal`) from what stands on record.

    Errors: NotFound for a build that isn't there or isn't the viewer's; BadValue for another aim;
    Conflict while a part is unweighed, a place is empty, or cutting has begun.
    """
    check_build_is_theirs(number, viewer)
    return propose(facts_of(number), aim)
