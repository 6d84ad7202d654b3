"""What to say of a weighing at once: why it doesn't count, and what the scale can't prove."""

from __future__ import annotations

from records.domain.practice.capability import unprovable
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
    return (*told, *unprovable(facts))
