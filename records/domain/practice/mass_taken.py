"""What came off between two weighings of one part: a difference, with what cancels in it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from records.domain.errors import BadValue, Code
from records.domain.practice.facts import BuildFacts, WeighingFacts
from records.domain.practice.masses import Mass, pan_mass


@dataclass(frozen=True, slots=True)
class MassTaken:
    """First minus second in exact grams, its standard and its expanded uncertainty."""

    mass_g: Decimal
    u_g: Decimal
    U_g: Decimal


def mass_taken(facts: BuildFacts, before: int, after: int) -> MassTaken:
    """Give what lies between two whole weighings of a build, by their ids.

    Errors: BadValue for a weighing that the facts don't hold, or one on no calibrated scale.
    """
    return between(facts, _weighing(facts, before), _weighing(facts, after))


def between(facts: BuildFacts, first: WeighingFacts, second: WeighingFacts) -> MassTaken:
    """Give first minus second, both corrected; under one calibration the scale's error goes."""
    change = _mass(facts, first).minus(_mass(facts, second))
    uncertain = change.uncertain()
    return MassTaken(
        round(change.mass_g, 9), round(Decimal(uncertain.u_g), 9), round(Decimal(uncertain.U_g), 9)
    )


def _mass(facts: BuildFacts, weighing: WeighingFacts) -> Mass:
    if weighing.scale is None:
        raise BadValue(
            Code.BAD_VALUE,
            f"weighing {weighing.id} was declared; weigh the part on a scale of the shop",
        )
    return pan_mass(weighing, facts.scales[weighing.scale], facts.shop.timezone)


def _weighing(facts: BuildFacts, number: int) -> WeighingFacts:
    for weighing in facts.weighings:
        if weighing.id == number:
            return weighing
    raise BadValue(Code.UNKNOWN_NUMBER, f"no weighing {number} stands on {facts.number}")
