"""Gauge study: how much of what is read comes from the scale, the people and the parts.

AIAG MSA (4th edition), crossed and without holes: every appraiser weighs every part as often.
Standard deviations throughout; a negative variance becomes 0. ev is repeatability, av the
appraisers, grr both (with their interaction), pv the parts, tv all.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

from records.domain.errors import BadValue, Code
from records.domain.measure.coverage import beyond_f
from records.domain.measure.gauge_rows import Study
from records.domain.measure.range_constants import range_constants

# The interaction is taken into repeatability where it isn't significant at this level (AIAG MSA,
# ANOVA method; the level from memory).
POOLING_P = 0.05
# √2 rounded down as the manual prints it: ndc = 1.41·pv/grr.
NDC = 1.41


@dataclass(frozen=True, slots=True)
class Spread:
    """The standard deviations of a study and what follows from them."""

    ev: float
    av: float
    grr: float
    pv: float

    @property
    def tv(self) -> float:
        """Return the total variation."""
        return math.hypot(self.grr, self.pv)

    @property
    def grr_percent(self) -> float:
        """Return grr in per cent of the total variation."""
        return 100 * self.grr / self.tv

    @property
    def ndc(self) -> int | None:
        """Return how many kinds of part the study tells apart, truncated; None if grr is 0."""
        return None if self.grr == 0 else math.floor(NDC * self.pv / self.grr)

    def percent_of_tolerance(self, tolerance: float) -> float:
        """Return six grr in per cent of a tolerance."""
        return 600 * self.grr / tolerance


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the table of variance: sum of squares and degrees of freedom."""

    ss: float
    df: int

    @property
    def ms(self) -> float:
        """Return the mean square."""
        return self.ss / self.df


@dataclass(frozen=True, slots=True)
class Anova:
    """The spread by analysis of variance, the interaction's p, and whether it was pooled."""

    spread: Spread
    interaction_p: float
    pooled: bool
    lines: Mapping[str, Line]


def average_and_range(study: Study) -> Spread:
    """Return the spread by the average-and-range method, its constants unrounded.

    EV = R/d2 of the trials; AV from the difference of the appraisers' means and PV from that of
    the parts' means, each over d2* of one range.
    """
    parts, trials = len(study.parts), study.trials
    ranges = [max(cell) - min(cell) for cell in study.cells.values()]
    ev = fmean(ranges) / range_constants(trials).d2
    between = (
        _width(study.appraiser_means(), study.noise)
        / range_constants(len(study.appraisers)).d2_single
    )
    av = _root(between**2 - ev**2 / (parts * trials))
    pv = _width(study.part_means(), study.noise) / range_constants(parts).d2_single
    return _known(Spread(ev, av, math.hypot(ev, av), pv))


def anova(study: Study, *, pooling_p: float = POOLING_P) -> Anova:
    """Return the spread by the analysis of variance of the crossed study, all effects random.

    The interaction is pooled with repeatability where its p exceeds pooling_p.
    """
    lines = _lines(study)
    interaction, error = lines["interaction"], lines["repeatability"]
    p = _p_of(interaction, error)
    pooled = p > pooling_p
    if pooled:
        error = Line(interaction.ss + error.ss, interaction.df + error.df)
    base = error.ms if pooled else interaction.ms
    parts, appraisers, trials = len(study.parts), len(study.appraisers), study.trials
    ev = math.sqrt(error.ms)
    av = _root((lines["appraiser"].ms - base) / (parts * trials))
    pv = _root((lines["part"].ms - base) / (appraisers * trials))
    shared = 0.0 if pooled else _root((interaction.ms - error.ms) / trials)
    spread = _known(Spread(ev, av, math.hypot(ev, av, shared), pv))
    return Anova(spread, p, pooled, lines)


def _lines(study: Study) -> dict[str, Line]:
    parts, appraisers, trials = len(study.parts), len(study.appraisers), study.trials
    grand, noise = fmean(study.part_means()), study.noise
    means = {key: fmean(cell) for key, cell in study.cells.items()}
    by_part = dict(zip(study.parts, study.part_means(), strict=True))
    by_appraiser = dict(zip(study.appraisers, study.appraiser_means(), strict=True))
    # the interaction as a sum of squares of its own: a difference of sums could fall below 0
    mixed = _squares(
        (m - by_part[p] - by_appraiser[a] + grand for (p, a), m in means.items()), noise
    )
    within = (value - means[key] for key, cell in study.cells.items() for value in cell)
    of_parts = _squares((mean - grand for mean in by_part.values()), noise)
    of_appraisers = _squares((mean - grand for mean in by_appraiser.values()), noise)
    return {
        "part": Line(appraisers * trials * of_parts, parts - 1),
        "appraiser": Line(parts * trials * of_appraisers, appraisers - 1),
        "interaction": Line(trials * mixed, (parts - 1) * (appraisers - 1)),
        "repeatability": Line(_squares(within, noise), parts * appraisers * (trials - 1)),
    }


def _p_of(upper: Line, lower: Line) -> float:
    """Return the p of an F ratio; with nothing below, whatever lies above is significant."""
    if lower.ss == 0:
        return 1.0 if upper.ss == 0 else 0.0
    return beyond_f(upper.ms / lower.ms, upper.df, lower.df)


def _known(spread: Spread) -> Spread:
    if spread.tv == 0:
        raise BadValue(
            Code.OUT_OF_RANGE,
            "expected values of which some differ, got the same everywhere; weigh parts that "
            "differ, or on a scale with finer steps",
            field="rows",
            expected="values of which some differ",
            got="the same value everywhere",
        )
    return spread


def _width(means: Sequence[float], noise: float) -> float:
    width = max(means) - min(means)
    return width if width > noise else 0.0


def _root(variance: float) -> float:
    return math.sqrt(max(0.0, variance))


def _squares(values: Iterable[float], noise: float) -> float:
    return math.fsum(value * value for value in values if abs(value) > noise)
