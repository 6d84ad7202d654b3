"""All findings that stand on a build now, in the order of the work."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from records.domain.practice.card import card_state
from records.domain.practice.checklist import checklist_findings
from records.domain.practice.damper import damper_findings
from records.domain.practice.evidence import Evidence
from records.domain.practice.facts import BuildFacts
from records.domain.practice.finding import Finding, FindingCode, finding
from records.domain.practice.fitted import parts_now
from records.domain.practice.heat import heat_findings
from records.domain.practice.judgement import judgements
from records.domain.practice.matched import match_findings
from records.domain.practice.metal_gone import metal_findings
from records.domain.practice.not_asked import not_asked
from records.domain.practice.recalled import recall_findings
from records.domain.practice.zones import zone_findings


def findings_of(facts: BuildFacts, *, today: date) -> tuple[Finding, ...]:
    """Return every finding of the parts now in the build and of the build itself, each once.

    A part that was taken out takes its findings with it. `today` is the shop's day, for a rating
    of a build without an event day.
    """
    parts = parts_now(facts)
    evidence = Evidence(facts)
    found = (
        *not_asked(facts, parts),
        *heat_findings(facts, parts),
        *zone_findings(facts, parts),
        *metal_findings(facts, parts),
        *recall_findings(facts, evidence),
        *match_findings(judgements(facts, evidence), evidence),
        *_of_the_card(facts, evidence),
        *damper_findings(facts, today=today),
        *checklist_findings(facts),
    )
    return tuple({item.key: item for item in found}.values())


def _of_the_card(facts: BuildFacts, evidence: Evidence) -> Iterator[Finding]:
    """A crank that is spun here needs a card that holds; a card that went stale always blocks."""
    state = card_state(facts, evidence)
    if not state.needed:
        return
    if not state.exists and facts.crank_in_job is not False:
        text = f"no bob-weight card yet, {state.why}; issue one"
        yield finding(FindingCode.CARD_MISSING, text)
    if state.stale and facts.card is not None:
        text = (
            f"bob-weight card {facts.card.revision} is stale: {'; '.join(state.stale)}; issue anew"
        )
        yield finding(FindingCode.CARD_STALE, text, facts.card.id, *state.stale)
