"""What came off between two weighings of one part: a difference, with what cancels in it.

Two weighings on one scale under one calibration share its error; across scales, or across a
calibration, nothing cancels (GUM, JCGM 100:2008, 5.2.2).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from records.domain.errors import BadValue, Code
from records.domain.measure.difference import Difference, apart, difference
from records.domain.measure.weighing import Weighing, weigh
from records.domain.practice.facts import BuildFacts, ScaleFacts, WeighingFacts
from records.domain.practice.scale_model import calibration_at, error_g, scale_model
from records.domain.practice.shop_day import shop_day

PLACES = Decimal("0.0000000000001")


@dataclass(frozen=True, slots=True)
class MassTaken:
    """First minus second in exact grams, its standard and its expanded uncertainty."""

    mass_g: Decimal
    u_g: Decimal
    U_g: Decimal


def mass_taken(facts: BuildFacts, before: int, after: int) -> MassTaken:
    """Give what lies between two weighings of a build, by their ids.

    Errors: BadValue for a weighing that the facts don't hold, or one on no calibrated scale.
    """
    return between(facts, _weighing(facts, before), _weighing(facts, after))


def between(facts: BuildFacts, first: WeighingFacts, second: WeighingFacts) -> MassTaken:
    """Give first minus second, both corrected."""
    one = _difference(facts, first, second)
    exact = corrected_g(facts, first) - corrected_g(facts, second)
    return MassTaken(exact, _decimal(one.u_g), _decimal(one.U_g))


def corrected_g(facts: BuildFacts, weighing: WeighingFacts) -> Decimal:
    """Give a weighing's mean less the scale's error, exact."""
    calibration = calibration_at(_scale(facts, weighing), _day(facts, weighing))
    if calibration is None:
        return weighing.mean_g
    return (weighing.mean_g - error_g(calibration, weighing.mean_g)).quantize(PLACES)


def _difference(facts: BuildFacts, first: WeighingFacts, second: WeighingFacts) -> Difference:
    if first.scale != second.scale or first.calibration != second.calibration:
        return apart(_weighed(facts, first), _weighed(facts, second))
    units = {reading.unit for weighing in (first, second) for reading in weighing.readings}
    model = scale_model(
        _scale(facts, first),
        units,
        _day(facts, first),
        facts.shop.timezone,
        load_g=max(first.mean_g, second.mean_g),
    )
    return difference(
        model,
        float(first.mean_g),
        float(second.mean_g),
        n1=len(first.readings),
        n2=len(second.readings),
    )


def _weighed(facts: BuildFacts, weighing: WeighingFacts) -> Weighing:
    model = scale_model(
        _scale(facts, weighing),
        {reading.unit for reading in weighing.readings},
        _day(facts, weighing),
        facts.shop.timezone,
        load_g=weighing.mean_g,
    )
    return weigh(model, float(weighing.mean_g), len(weighing.readings))


def _weighing(facts: BuildFacts, number: int) -> WeighingFacts:
    for weighing in facts.weighings:
        if weighing.id == number:
            return weighing
    raise BadValue(Code.UNKNOWN_NUMBER, f"no weighing {number} stands on {facts.number}")


def _scale(facts: BuildFacts, weighing: WeighingFacts) -> ScaleFacts:
    if weighing.scale is None:
        raise BadValue(Code.BAD_VALUE, f"weighing {weighing.id} was declared, on no scale of ours")
    return facts.scales[weighing.scale]


def _day(facts: BuildFacts, weighing: WeighingFacts) -> date:
    return shop_day(weighing.measured_at, facts.shop.timezone)


def _decimal(value: float) -> Decimal:
    return round(Decimal(value), 9)
