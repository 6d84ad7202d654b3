"""A build as a recall must judge it: as it was when its certificate went out, else as it is."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from records.domain.practice.facts import BuildFacts
from records.domain.practice.recall import Decision, decisions
from records.domain.practice.recall_facts import as_of, touched_in
from records.domain.practice.recall_window import FoundOut
from records.models import CertificateState, Release
from records.queries.build_facts import card_of, facts_of

ENDED = (CertificateState.State.REPLACED, CertificateState.State.WITHDRAWN)


@dataclass(frozen=True, slots=True)
class AtStake:
    """What a scale found out means for a build.

    `release` is the certificate that rests on it, None where none does; `parts` are those that
    were weighed on it, with how often; `weighings` how many in all, sets included.
    """

    facts: BuildFacts
    release: Release | None
    decisions: tuple[Decision, ...]
    parts: tuple[tuple[str, int], ...]
    weighings: int


def at_stake(build: str, found: FoundOut) -> AtStake:
    """Reckon a build's decisions again: those of its standing certificate, else those of now."""
    facts = facts_of(build)
    release = _standing(build)
    touched = touched_in(facts, found)
    parts, weighings = _counted(facts, touched)
    if release is not None:
        card = card_of(build, release.released_at)
        reckoned = decisions(as_of(facts, release.released_at, card), found)
        if reckoned:
            return AtStake(facts, release, reckoned, parts, weighings)
    return AtStake(facts, None, decisions(facts, found), parts, weighings)


def _standing(build: str) -> Release | None:
    release = Release.objects.filter(build=build).order_by("-revision").first()
    if release is None:
        return None
    newest = release.states.order_by("-pk").first()
    return None if newest is not None and newest.state in ENDED else release


def _counted(facts: BuildFacts, touched: frozenset[int]) -> tuple[tuple[tuple[str, int], ...], int]:
    here = [w for w in facts.weighings if w.id in touched and w.build in (None, facts.number)]
    parts = Counter(part for w in here for part in ((w.part,) if w.part else w.members) if part)
    return tuple(sorted(parts.items())), len(here)
