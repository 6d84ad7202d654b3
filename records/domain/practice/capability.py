"""What the shop's scales can prove of a build's promise, said before any weighing.

r times U of the difference of two masses must leave an acceptance zone in the tolerance (JCGM
106:2012, 8). Sets are taken as weighed together; big ends as hung, with the fixture's contact.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from records.domain.errors import BadValue, Code
from records.domain.measure.capability import (
    MOST_READINGS,
    Capability,
    expanded_difference,
    judge_capability,
)
from records.domain.measure.coverage import coverage_factor, effective_freedom
from records.domain.measure.difference import difference
from records.domain.measure.scale import Scale
from records.domain.practice.default_rules import CONTACT_MM
from records.domain.practice.facts import BuildFacts
from records.domain.practice.facts_of_scales import ScaleFacts
from records.domain.practice.kinds import SET_KINDS
from records.domain.practice.promised import (
    BIG_ENDS,
    KINDS,
    SETS,
    WHOLE_RODS,
    readings_of,
    tolerance_of,
)
from records.domain.practice.scale_model import calibration_at, scale_model, shows

# What such parts weigh about, before one is on the pan: common practice, no source.
_ABOUT_G = {"set": Decimal(600), "big end": Decimal(430), "whole rod": Decimal(600)}
_SMALL_END_ABOUT_G = Decimal(180)


@dataclass(frozen=True, slots=True)
class Provable:
    """What one scale proves of one kind at the readings asked.

    `U_g` of the difference of two masses, `smallest_g` the least tolerance that r·U leaves,
    `needed` the fewest readings (hangings) that prove the promise, None when none does; all None
    where the scale can't be judged, and `text` says why. `U_apart_g`: sets weighed in three parts.
    """

    kind: str
    scale: str
    tolerance_g: Decimal
    readings: int
    proves: bool
    U_g: float | None
    smallest_g: float | None
    needed: int | None
    U_apart_g: float | None
    text: str


def provable(facts: BuildFacts) -> tuple[Provable, ...]:
    """Say for each kind and each scale of the shop whether the promise can be proven with it."""
    return tuple(
        _provable(facts, kind, scale) for kind in KINDS for _, scale in sorted(facts.scales.items())
    )


def unprovable(facts: BuildFacts) -> tuple[str, ...]:
    """Say for each kind that no scale of the shop proves what would do; empty when all can be.

    Where none can even be judged, as a big end before the rod's length is known, it says why.
    """
    every = provable(facts)
    found = ([p for p in every if p.kind == kind] for kind in KINDS)
    return tuple(
        _hopeless(facts, kind, of_kind)
        for kind, of_kind in zip(KINDS, found, strict=True)
        if not any(p.proves for p in of_kind)
    )


def _hopeless(facts: BuildFacts, kind: str, found: list[Provable]) -> str:
    if found and all(p.U_g is None for p in found):
        return found[0].text
    return (
        f"{kind}: no scale of the shop proves {tolerance_of(facts, kind):.10g} g at "
        f"{readings_of(facts, kind)} {_word(kind)} and r {facts.promise.guard_r.normalize():f}; "
        f"{what_would_do(facts, kind)}"
    )


def said_at_opening(facts: BuildFacts) -> tuple[str, ...]:
    """Say, before a part is weighed, on which scale which promise can't be proven, and what would.

    A kind that no scale proves is told as such; one that some do is told with those that don't.
    """
    every = provable(facts)
    found = ([p for p in every if p.kind == kind] for kind in KINDS)
    return tuple(
        _of_a_kind(facts, kind, of_kind)
        for kind, of_kind in zip(KINDS, found, strict=True)
        if not any(p.proves for p in of_kind) or _some_can_not(of_kind)
    )


def said_at_weighing(facts: BuildFacts, what: str, part: str | None, scale: str) -> tuple[str, ...]:
    """Say whether the scale at hand can't prove what is being weighed on it, and what would do."""
    kind = kind_of(facts, what, part)
    found = [p for p in provable(facts) if (p.kind, p.scale) == (kind, scale) and not p.proves]
    return tuple(f"{p.text}; {what_would_do(facts, p.kind)}" for p in found if p.U_g is not None)


def kind_of(facts: BuildFacts, what: str, part: str | None) -> str | None:
    """Name the promise that a weighing serves: a set's parts serve the set."""
    if what in (SETS, BIG_ENDS):
        return what
    if what != "whole" or part is None or part not in facts.parts:
        return None
    kind = facts.parts[part].kind
    return WHOLE_RODS if kind == "rod" else SETS if kind in SET_KINDS else None


def _some_can_not(found: list[Provable]) -> bool:
    return any(p.U_g is not None and not p.proves for p in found)


def _of_a_kind(facts: BuildFacts, kind: str, found: list[Provable]) -> str:
    if not any(p.proves for p in found):
        return _hopeless(facts, kind, found)
    bad = " and ".join(p.scale for p in found if p.U_g is not None and not p.proves)
    asked = f"{tolerance_of(facts, kind):.10g} g at {readings_of(facts, kind)} {_word(kind)}"
    r = f"r {facts.promise.guard_r.normalize():f}"
    return f"{kind}: {bad} can't prove {asked} and {r}; {what_would_do(facts, kind)}"


def what_would_do(facts: BuildFacts, kind: str) -> str:
    """Say what proves a kind: the scale and readings that do, or the promise that could be kept."""
    judged = [p for p in provable(facts) if p.kind == kind and p.smallest_g is not None]
    ways = [
        f"{max(p.needed, p.readings)} {_word(kind)} of each on {p.scale}"
        for p in judged
        if p.needed is not None
    ]
    together = " with each set weighed together" if kind == SETS else ""
    if ways:
        return f"what would do: {' or '.join(ways)}{together}"
    least = min((p.smallest_g for p in judged if p.smallest_g is not None), default=None)
    if least is None:
        return "what would do: a scale in calibration that reaches this mass"
    wider = math.ceil(least * 100) / 100
    return f"what would do: a finer scale, or a promise of {wider:g} g or more{together}"


def _provable(facts: BuildFacts, kind: str, scale: ScaleFacts) -> Provable:
    tolerance_g, n = tolerance_of(facts, kind), readings_of(facts, kind)
    try:
        U_at = _expanded_at(facts, kind, scale)
        found = judge_capability(U_at, float(tolerance_g), float(facts.promise.guard_r), n)
        apart = _apart_g(facts, scale, n) if kind == SETS else None
    except BadValue as refused:
        text = f"{kind}: {scale.number} can't be judged: {refused.message}"
        return Provable(kind, scale.number, tolerance_g, n, False, None, None, None, None, text)
    return Provable(
        kind=kind,
        scale=scale.number,
        tolerance_g=tolerance_g,
        readings=n,
        proves=found.proves,
        U_g=found.U_difference_g,
        smallest_g=found.smallest_tolerance_g,
        needed=found.readings_needed,
        U_apart_g=apart,
        text=_said(kind, scale.number, tolerance_g, n, found),
    )


def _said(kind: str, number: str, tolerance_g: Decimal, n: int, found: Capability) -> str:
    U = f"U of a difference is {found.U_difference_g:.2g} g at {n} {_word(kind)}"
    if found.proves:
        return f"{kind}: {number} can prove {tolerance_g:.10g} g: {U}"
    if found.readings_needed is not None:
        cure = f"{found.readings_needed} {_word(kind)} of each would do"
    else:
        cure = f"not even {MOST_READINGS} {_word(kind)} would do; use a finer scale"
    return (
        f"{kind}: {number} can't prove {tolerance_g:.10g} g, at best "
        f"{found.smallest_tolerance_g:.2g} g: {U}; {cure}"
    )


def _word(kind: str) -> str:
    return "hangings" if kind == BIG_ENDS else "readings"


def _expanded_at(facts: BuildFacts, kind: str, scale: ScaleFacts) -> Callable[[int], float]:
    load_g = float(_load_g(facts, kind))
    model = _model(facts, scale, load_g)
    if kind != BIG_ENDS:
        return lambda n: expanded_difference(model, load_g, n)
    if facts.rod_length_mm is None:
        raise BadValue(
            Code.MISSING,
            "expected the rod's centre distance, got none; no end has a U without it",
            field="rod_length_mm",
            expected="a centre distance in mm",
            got="none",
        )
    contact_g = _contact_g(facts, load_g, float(facts.rod_length_mm))
    return lambda n: _expanded_hung(model, load_g, contact_g, n)


def _expanded_hung(model: Scale, load_g: float, contact_g: float, n: int) -> float:
    one = difference(model, load_g, load_g, n1=n, n2=n)
    u_g = math.hypot(one.u_g, contact_g * math.sqrt(2 / n))
    return coverage_factor(effective_freedom(u_g, ((one.u_g, one.nu_eff),))) * u_g


def _contact_g(facts: BuildFacts, big_g: float, length_mm: float) -> float:
    """Give the standard uncertainty that one hanging's contact brings to a big end."""
    fixture = facts.fixture
    big_mm, small_mm = (
        (fixture.big_mm, fixture.small_mm) if fixture is not None else (CONTACT_MM, CONTACT_MM)
    )
    small_g = float(_largest_g(facts, "small end", ()) or _SMALL_END_ABOUT_G)
    return math.hypot(big_g * float(big_mm), small_g * float(small_mm)) / length_mm


def _apart_g(facts: BuildFacts, scale: ScaleFacts, n: int) -> float:
    load_g = float(_load_g(facts, SETS))
    return expanded_difference(_model(facts, scale, load_g), load_g, n, weighings=3)


def _model(facts: BuildFacts, scale: ScaleFacts, load_g: float) -> Scale:
    # The newest calibration, due or not: whether it is in date is the weighing's question.
    newest = date.max
    units = {"g"} if shows(scale, "g") or not scale.steps else {scale.steps[0].unit}
    if calibration_at(scale, newest) is not None and load_g > scale.capacity_g:
        raise BadValue(
            Code.OUT_OF_RANGE,
            f"expected a mass within its capacity of {scale.capacity_g:.10g} g, got {load_g:.4g} g",
            field="scale",
            expected=f"at most {scale.capacity_g:.10g} g",
            got=f"{load_g:.4g} g",
        )
    return scale_model(scale, units, newest, facts.shop.timezone, load_g=Decimal(load_g))


def _load_g(facts: BuildFacts, kind: str) -> Decimal:
    """Give about what such a mass weighs: the heaviest weighed, else a usual one."""
    if kind == SETS:
        parts = [_largest_g(facts, "whole", (k,)) for k in SET_KINDS]
        apart = sum(parts, Decimal(0)) if parts[0] and parts[1] else Decimal(0)
        known = _largest_g(facts, "set", ()) or apart
    elif kind == BIG_ENDS:
        known = _largest_g(facts, "big end", ())
    else:
        known = _largest_g(facts, "whole", ("rod",))
    return known or _ABOUT_G[kind]


def _largest_g(facts: BuildFacts, what: str, kinds: tuple[str, ...]) -> Decimal:
    masses = (
        w.mean_g
        for w in facts.weighings
        if w.what == what and (not kinds or facts.parts[w.part or ""].kind in kinds)
    )
    return max(masses, default=Decimal(0))
