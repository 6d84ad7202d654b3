"""Which check weights to put on a scale before or after the work, which limit holds, and why.

The loads reach the heaviest part and lie near every part: within half to twice its mass. Where the
shop's weights can't do that, it is advice to get one, never a refusal.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import combinations

from records.domain.measure.check_weights import CheckWeight, build_up
from records.domain.measure.scale import Scale
from records.domain.measure.scale_check import check_scale
from records.domain.practice.facts_of_scales import ScaleFacts
from records.domain.practice.scale_model import checks_of, scale_model

MOST_TOGETHER = 3
TWICE = 2


@dataclass(frozen=True, slots=True)
class WeightAtHand:
    """A check weight by its shop number, with what is known of its mass."""

    number: str
    weight: CheckWeight


@dataclass(frozen=True, slots=True)
class LoadAdvised:
    """Weights to put on together, the limit they will be held to, and why."""

    weights: tuple[str, ...]
    load_g: Decimal
    limit_g: float
    why: str
    limit_why: str


@dataclass(frozen=True, slots=True)
class CheckAdvice:
    """The loads to check at, lightest first, and what the shop's weights can't do."""

    loads: tuple[LoadAdvised, ...]
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Load:
    weights: tuple[WeightAtHand, ...]
    load_g: Decimal

    def near(self, mass_g: Decimal) -> bool:
        return self.load_g <= TWICE * mass_g and mass_g <= TWICE * self.load_g

    def away_from(self, mass_g: Decimal) -> Decimal:
        low, high = sorted((self.load_g, mass_g))
        return high / low


def advise_check(
    scale: ScaleFacts,
    weights: Sequence[WeightAtHand],
    masses_g: Sequence[Decimal],
    day: date,
    timezone: str,
) -> CheckAdvice:
    """Advise the loads for a check on a day, for parts of these masses (g).

    Raise BadValue for a scale that was never calibrated.
    """
    model = scale_model(scale, {"g"}, day, timezone, with_drift=False)
    loads = _possible(scale, model, weights)
    if not loads:
        return CheckAdvice((), (_no_weight(scale),))
    masses = sorted({mass for mass in masses_g if mass > 0}) or [_highest_g(scale, model)]
    chosen: dict[_Load, str] = {}
    missing = [*_near_each(loads, masses, chosen), *_reaching(loads, masses[-1], chosen)]
    advised = (_advised(model, load, why) for load, why in chosen.items())
    return CheckAdvice(tuple(sorted(advised, key=lambda one: one.load_g)), tuple(missing))


def not_near(
    scale: ScaleFacts, masses_g: Sequence[Decimal], day: date, timezone: str
) -> tuple[str, ...]:
    """Say which masses of a day no load of its passed checks lay near: advice, they still count."""
    passed = [check for check in checks_of(scale, day, timezone) if check.passed]
    loads = sorted({load.load_g for check in passed for load in check.loads})
    far = [m for m in sorted(masses_g) if not any(_Load((), load).near(m) for load in loads)]
    if not loads or not far:
        return ()
    tried = ", ".join(f"{load:.10g}" for load in loads)
    return (
        f"checked on {day} at {tried} g, none of it near {_span(far)}, which was weighed that day; "
        "it counts, but a check within half to twice says more",
    )


def _possible(scale: ScaleFacts, model: Scale, weights: Sequence[WeightAtHand]) -> list[_Load]:
    most = _highest_g(scale, model)
    sums = (
        _Load(together, sum((one.weight.reference_g for one in together), Decimal(0)))
        for count in range(1, MOST_TOGETHER + 1)
        for together in combinations(weights, count)
    )
    # Where weights add up to the same, the fewest are the surest: they came first.
    fewest: dict[Decimal, _Load] = {}
    for load in sums:
        # a weight certified a trace above its nominal mass still belongs to the last point
        if sum(one.weight.nominal_g for one in load.weights) <= most:
            fewest.setdefault(load.load_g, load)
    return sorted(fewest.values(), key=lambda load: load.load_g)


def _highest_g(scale: ScaleFacts, model: Scale) -> Decimal:
    last = Decimal(str(model.certificate[-1].load_g)) if model.certificate else scale.capacity_g
    return min(scale.capacity_g, last)


def _near_each(
    loads: list[_Load], masses: list[Decimal], chosen: dict[_Load, str]
) -> Iterable[str]:
    """Take for the lightest part not yet covered the load that covers most parts, and go on."""
    left, bare = list(masses), []
    while left:
        near = [load for load in loads if load.near(left[0])]
        if not near:
            bare.append(left.pop(0))
            continue
        best = max(near, key=lambda load: _worth(load, left))
        covered = [mass for mass in left if best.near(mass)]
        chosen[best] = f"near {_span(covered)}: within half to twice"
        left = [mass for mass in left if not best.near(mass)]
    if bare:
        yield _none_near(bare, loads)


def _worth(load: _Load, masses: list[Decimal]) -> tuple[int, int, Decimal]:
    covered = [mass for mass in masses if load.near(mass)]
    return len(covered), -len(load.weights), -load.away_from(covered[-1])


def _reaching(loads: list[_Load], heaviest: Decimal, chosen: dict[_Load, str]) -> Iterable[str]:
    if any(load.load_g >= heaviest for load in chosen):
        return
    reaching = [load for load in loads if load.load_g >= heaviest]
    if not reaching:
        yield (
            f"no check weights of the shop reach {heaviest:.10g} g on this scale, at most "
            f"{loads[-1].load_g:.10g} g; what is heavier won't count: get a heavier weight"
        )
        return
    best = min(reaching, key=lambda load: (len(load.weights), load.load_g))
    chosen[best] = f"reaches the heaviest, {heaviest:.10g} g"


def _advised(model: Scale, load: _Load, why: str) -> LoadAdvised:
    together = build_up([one.weight for one in load.weights])
    # the last point holds for a trace above it, as in the check itself
    reading = min(float(load.load_g), model.certificate[-1].load_g)
    held = check_scale(model, reading, together)
    return LoadAdvised(
        weights=tuple(one.number for one in load.weights),
        load_g=load.load_g,
        limit_g=held.limit_g,
        why=why,
        limit_why=(
            f"the scale's U of one corrected reading, {held.U_scale_g:.2g} g, and the weights' U, "
            f"{held.U_weight_g:.2g} g, by root of squares"
        ),
    )


def _span(masses: list[Decimal]) -> str:
    if len(masses) == 1:
        return f"{masses[0]:.10g} g"
    return f"{masses[0]:.10g} to {masses[-1]:.10g} g"


def _none_near(masses: list[Decimal], loads: list[_Load]) -> str:
    nearest = min(loads, key=lambda load: min(load.away_from(mass) for mass in masses))
    return (
        f"no check weights near {_span(masses)}, within half to twice; the nearest is "
        f"{nearest.load_g:.10g} g: a check there says little of such parts"
    )


def _no_weight(scale: ScaleFacts) -> str:
    return f"no check weight of the shop fits on scale {scale.number}; book one"
