"""What a gauge study says in plain words: whether it will do, what dominates, what would help.

Bands for grr: AIAG MSA (4th edition), below 10 % good, to 30 % conditional, above not acceptable;
ndc of 5 or more. What helps: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from statistics import fmean

from records.domain.measure.gauge_rows import Study
from records.domain.measure.gauge_study import Spread
from records.domain.measure.gauge_table import interaction_of

GOOD, CONDITIONAL = 10.0, 30.0
ENOUGH_KINDS = 5
# The step is blamed where rounding alone, d²/12, makes half of the repeatability's variance.
HALF = 0.5

Said = tuple[str, str]


def advice(
    study: Study,
    spread: Spread,
    tolerance_g: float | None,
    step_g: float,
    names: Mapping[str, str] | None = None,
) -> list[Said]:
    """Return (code, sentence) of what the study says and what to do; most important first.

    `spread` is that of the method which speaks, `step_g` the scale's step at these loads, `names`
    what the appraisers are called. Codes: of_tolerance, of_total, no_scatter, step, scale, people,
    mixed, too_alike.
    """
    return [
        *_will_it_do(spread, tolerance_g),
        *_what_dominates(study, spread, step_g, names or {}),
        *_kinds_told_apart(spread, tolerance_g),
    ]


def band(percent: float) -> str:
    """Return the manual's word for a grr in per cent."""
    if percent < GOOD:
        return "good"
    return "conditional" if percent <= CONDITIONAL else "not acceptable"


def _will_it_do(spread: Spread, tolerance_g: float | None) -> Iterator[Said]:
    if tolerance_g is not None:
        percent = spread.percent_of_tolerance(tolerance_g)
        yield (
            "of_tolerance",
            f"scale and people together scatter over {percent:.1f} % of the tolerance of "
            f"{tolerance_g:g} g: {band(percent)} (below 10 % is good, above 30 % won't do)",
        )
    percent = spread.grr_percent
    yield (
        "of_total",
        f"they make {percent:.1f} % of the total variation in this study: {band(percent)}",
    )


def _what_dominates(
    study: Study, spread: Spread, step_g: float, names: Mapping[str, str]
) -> Iterator[Said]:
    if spread.grr == 0:
        yield (
            "no_scatter",
            f"no reading of a part differed from another: the scatter hides within the step of "
            f"{step_g:g} g, so this says no more than that",
        )
        return
    shares = {
        "repeatability": spread.ev**2,
        "people": spread.av**2,
        "mixed": interaction_of(spread) ** 2,
    }
    most = max(shares, key=lambda name: shares[name])
    percent = 100 * shares[most] / spread.grr**2
    if most == "repeatability":
        yield _repeatability(spread, step_g, percent)
    elif most == "people":
        yield _people(study, percent, names)
    else:
        yield _mixed(study, percent, names)


def _repeatability(spread: Spread, step_g: float, percent: float) -> Said:
    told = f"most of it, {percent:.0f} % of its variance, is repeatability: one person, one part"
    if step_g**2 / 12 >= HALF * spread.ev**2:
        return (
            "step",
            f"{told}; the step of {step_g:g} g alone makes half of that or more: a scale with a "
            "finer step helps, more readings don't",
        )
    return (
        "scale",
        f"{told}; level the scale, keep draughts off, look at the fixture, lay each part on the "
        "middle of the pan; the mean of more readings scatters less",
    )


def _people(study: Study, percent: float, names: Mapping[str, str]) -> Said:
    means = dict(zip(study.appraisers, study.appraiser_means(), strict=True))
    high, low = max(means, key=lambda name: means[name]), min(means, key=lambda name: means[name])
    return (
        "people",
        f"most of it, {percent:.0f} % of its variance, lies between people: "
        f"{names.get(high, high)} reads {_grams(means[high] - means[low])} more than "
        f"{names.get(low, low)} on the mean; agree on one way to zero, lay on or hang and read, "
        "train it, and study again",
    )


def _mixed(study: Study, percent: float, names: Mapping[str, str]) -> Said:
    part, high, low, width = _widest(study)
    return (
        "mixed",
        f"most of it, {percent:.0f} % of its variance, is people differing by part, widest at "
        f"part {part}, where {names.get(high, high)} reads {_grams(width)} more than "
        f"{names.get(low, low)}; see how each lays on or hangs that part",
    )


def _widest(study: Study) -> tuple[str, str, str, float]:
    """Return the part whose means by person lie widest apart, the two people, and how wide."""
    found = []
    for part in study.parts:
        means = {name: fmean(study.cells[part, name]) for name in study.appraisers}
        high = max(means, key=lambda name: means[name])
        low = min(means, key=lambda name: means[name])
        found.append((part, high, low, means[high] - means[low]))
    return max(found, key=lambda one: one[3])


def _grams(width_g: float) -> str:
    """Write a width with two digits, never with an exponent."""
    return f"{Decimal(f'{width_g:.2g}'):f} g"


def _kinds_told_apart(spread: Spread, tolerance_g: float | None) -> Iterator[Said]:
    kinds = spread.ndc
    if kinds is None or kinds >= ENOUGH_KINDS:
        return
    alike = (
        "; parts matched on purpose are alike, so that the per cent of the tolerance is what counts"
        if tolerance_g is not None
        else "; give a tolerance where parts are matched on purpose"
    )
    yield (
        "too_alike",
        f"these parts fall into {kinds} kinds that can be told apart, expected {ENOUGH_KINDS}: "
        f"they are too alike for this scatter; take parts over the whole range of the work{alike}",
    )
