"""The words that a deed may be told in, for who offers them to choose from."""

from __future__ import annotations

from records.domain.balance.layout import NAMES
from records.domain.measure.units import GRAMS
from records.domain.practice.checklist import NO, accepted_answers
from records.domain.practice.facts import BuildFacts
from records.domain.practice.heat import heat_words
from records.domain.practice.kinds import KINDS, Kind

__all__ = ["answers_to", "heat_words", "kinds", "layouts", "units_of_mass"]


def layouts() -> tuple[str, ...]:
    """Return the names of the layouts that are known by name."""
    return NAMES


def kinds() -> tuple[Kind, ...]:
    """Return the kinds of part, in the order of the work."""
    return KINDS


def units_of_mass() -> tuple[str, ...]:
    """Return the units that a reading may be given in."""
    return tuple(GRAMS)


def answers_to(question: str, facts: BuildFacts) -> tuple[str, ...]:
    """Return the answers that a checklist question of this build may have; a "no" is kept too."""
    return (*accepted_answers(question, facts), NO)
