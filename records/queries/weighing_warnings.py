"""What to say at once: why a weighing doesn't count, and what the scale at hand can't prove."""

from __future__ import annotations

from records.domain.practice.capability import said_at_opening, said_at_weighing
from records.domain.practice.facts import BuildFacts
from records.domain.practice.standing import standing_of
from records.queries.build_facts import facts_of


def warnings_of_weighing(build: str, weighing: int) -> tuple[str, ...]:
    """Return a sentence for each thing that who weighs should know before the next part."""
    facts = facts_of(build)
    told = []
    for row in facts.weighings:
        if row.id == weighing:
            standing = standing_of(row, facts)
            told += [f"does not count: {text}" for _, text in standing.reasons]
            told += [text for _, text in standing.warnings]
            if row.scale is not None:
                told += said_at_weighing(facts, row.what, row.part, row.scale)
    return tuple(told)


def warnings_of_opening(build: str) -> tuple[str, ...]:
    """Return a sentence for each promise of a build that a scale of the shop can't prove."""
    return said_at_opening(facts_of(build))


def warnings_before(facts: BuildFacts, what: str, part: str, scale: str) -> tuple[str, ...]:
    """Return what to say of a scale before something is weighed on it; `part` empty for a set."""
    return said_at_weighing(facts, what, part or None, scale)
