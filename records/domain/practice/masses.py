"""Masses as sums of weighings, so that what two of them share cancels or piles up as it must.

A set is the sum of its parts' weighings; a small end is a whole less a big end; the difference of
two sets has each weighing once, with its sign, and a lock weighed once for all places not at all.
What is shared is decided only when the uncertainty is asked for (GUM, JCGM 100:2008, 5.2.2).
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from records.domain.measure.coverage import coverage_factor, effective_freedom
from records.domain.measure.rod_ends import Contact, hung_end
from records.domain.measure.scale import Scale
from records.domain.measure.sums import Term, combine
from records.domain.measure.weighing import Weighing, weigh
from records.domain.practice.default_rules import CONTACT_MM
from records.domain.practice.facts import BuildFacts, WeighingFacts
from records.domain.practice.facts_of_scales import ScaleFacts
from records.domain.practice.scale_model import calibration_at, error_g, range_of, scale_model
from records.domain.practice.shop_day import shop_day
from records.domain.practice.standing import hangings_of


@dataclass(frozen=True, slots=True)
class Weighed:
    """A weighing, corrected.

    `mass_g` exact; `shares` names what it has in common with others (scale, calibration, range);
    `u_own_g` is what it has of its own beyond the reading, as a rod end's contact.
    """

    id: int
    mass_g: Decimal
    weighing: Weighing
    shares: Hashable
    u_own_g: float = 0.0


@dataclass(frozen=True, slots=True)
class Uncertain:
    """The uncertainty of a mass, in g; all 0 where nothing is left that was weighed."""

    u_g: float
    U_g: float
    k: float


@dataclass(frozen=True, slots=True)
class Mass:
    """A sum of weighings, each counted c times; sums and differences of such are such again."""

    terms: Mapping[int, tuple[Decimal, Weighed]]

    @property
    def mass_g(self) -> Decimal:
        """Give the exact corrected mass."""
        return sum((c * w.mass_g for c, w in self.terms.values()), Decimal(0))

    @property
    def sources(self) -> tuple[int, ...]:
        """Name the weighings behind it, by id."""
        return tuple(sorted(self.terms))

    def plus(self, other: Mass, times: Decimal | int = 1) -> Mass:
        """Add another mass, counted so many times."""
        terms = dict(self.terms)
        for id, (c, weighed) in other.terms.items():
            before = terms[id][0] if id in terms else Decimal(0)
            terms[id] = (before + c * times, weighed)
        return Mass({id: term for id, term in terms.items() if term[0] != 0})

    def minus(self, other: Mass) -> Mass:
        """Take another mass off; what both have is gone."""
        return self.plus(other, -1)

    def uncertain(self) -> Uncertain:
        """Reckon the uncertainty: shared errors with their signs, private ones by squares."""
        if not self.terms:
            return Uncertain(0.0, 0.0, 2.0)
        summed = combine(Term(float(c), w.weighing, w.shares) for c, w in self.terms.values())
        own_g = math.hypot(*(float(c) * w.u_own_g for c, w in self.terms.values()))
        u_g = math.hypot(summed.u_g, own_g)
        k = coverage_factor(effective_freedom(u_g, ((summed.u_g, summed.nu_eff),)))
        return Uncertain(u_g, k * u_g, k)


NOTHING = Mass({})


def total(masses: list[Mass]) -> Mass:
    """Add up masses."""
    summed = NOTHING
    for mass in masses:
        summed = summed.plus(mass)
    return summed


def pan_mass(weighing: WeighingFacts, scale: ScaleFacts, timezone: str) -> Mass:
    """Correct a weighing of a whole part or a set.

    Raise BadValue for a scale without calibration, a mass above its certificate, a unit that the
    scale doesn't show.
    """
    return Mass({weighing.id: (Decimal(1), _weighed(weighing, scale, timezone))})


def end_mass(
    weighing: WeighingFacts, facts: BuildFacts, length_mm: Decimal, whole_g: Decimal | None
) -> Mass:
    """Correct a hung rod end; its contact with the fixture mostly decides its U.

    `whole_g` says what the other support carries; without it the other end is taken as heavy as
    this one, which never makes U too small for a big end. An end taken as whole less the other has
    the whole's reading in it too. Raise BadValue as `pan_mass` does.
    """
    scale = facts.scales[weighing.scale or ""]
    weighed = _weighed(weighing, scale, facts.shop.timezone)
    other_g = weighing.mean_g if whole_g is None else max(Decimal(0), whole_g - weighing.mean_g)
    end = hung_end(
        _model(weighing, scale, facts.shop.timezone),
        float(weighing.mean_g),
        float(other_g),
        float(length_mm),
        _contact(facts),
        is_big=weighing.what == "big end",
        hangings=hangings_of(weighing),
    )
    own_g = end.u_contact_g
    if weighing.how == "by difference":
        own_g = math.hypot(own_g, weighed.weighing.u_reading_g)
    hung = Weighed(weighed.id, weighed.mass_g, weighed.weighing, weighed.shares, own_g)
    return Mass({weighing.id: (Decimal(1), hung)})


def _contact(facts: BuildFacts) -> Contact:
    if facts.fixture is None:
        return Contact(float(CONTACT_MM), float(CONTACT_MM))
    return Contact(float(facts.fixture.big_mm), float(facts.fixture.small_mm))


def _weighed(weighing: WeighingFacts, scale: ScaleFacts, timezone: str) -> Weighed:
    model = _model(weighing, scale, timezone)
    calibration = calibration_at(scale, shop_day(weighing.measured_at, timezone))
    corrected = weigh(model, float(weighing.mean_g), max(1, len(weighing.readings)))
    off_g = Decimal(0) if calibration is None else error_g(calibration, weighing.mean_g)
    in_force = None if calibration is None else calibration.id
    shares = (scale.number, in_force, range_of(scale, weighing.mean_g))
    return Weighed(weighing.id, weighing.mean_g - off_g, corrected, shares)


def _model(weighing: WeighingFacts, scale: ScaleFacts, timezone: str) -> Scale:
    day = shop_day(weighing.measured_at, timezone)
    units = {reading.unit for reading in weighing.readings}
    return scale_model(scale, units, day, timezone, load_g=weighing.mean_g)
