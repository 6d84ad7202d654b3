"""The match of sets, big ends and whole rods: each place's difference to the lightest, judged.

JCGM 106:2012 and ILAC-G8:09/2019 by measure's decision rule, with the unrounded u of the
difference: on one scale under one calibration what is shared cancels, and a set weighed together
is better evidence than the sum of its parts. The lightest passes by definition.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from records.domain.errors import BadValue, Code
from records.domain.measure.decision import Verdict, conformance_probability, judge
from records.domain.practice.capability import what_would_do
from records.domain.practice.evidence import BIG_END, WHOLE, Evidence
from records.domain.practice.facts import BuildFacts
from records.domain.practice.masses import Mass, total
from records.domain.practice.promised import BIG_ENDS, KINDS, SETS, WHOLE_RODS, tolerance_of

__all__ = [
    "BIG_ENDS",
    "GOOD",
    "KINDS",
    "SETS",
    "WHOLE_RODS",
    "KindJudgement",
    "PlaceJudgement",
    "judgement_of",
    "judgements",
]

GOOD = (Verdict.PASSED, Verdict.CONDITIONALLY_PASSED)
# From best to worst.
_ORDER = (*GOOD, Verdict.CONDITIONALLY_FAILED, Verdict.FAILED)


@dataclass(frozen=True, slots=True)
class PlaceJudgement:
    """One place against the lightest; masses exact in g, u and U of the difference unrounded.

    `verdict` None: within the tolerance, but the guard band leaves no acceptance zone, so that
    nothing can pass. `sources` are the ids of the weighings behind the mass. `note` says where a
    set weighed together disagrees with the sum of its parts.
    """

    place: int
    parts: tuple[str, ...]
    before_g: Decimal | None
    mass_g: Decimal
    sources: tuple[int, ...]
    weighed_together: bool
    is_lightest: bool
    difference_g: Decimal
    u_g: float
    U_g: float
    verdict: Verdict | None
    conformance_probability: float
    note: str = ""


@dataclass(frozen=True, slots=True)
class KindJudgement:
    """How one kind of mass matches over the build.

    `missing` says in words what must still be weighed, `waits_for` what must match first,
    `no_zone` why nothing can be proven; each empty when there is nothing to say. `apart` are the
    places whose set was not weighed together, which competition requires and street prefers.
    """

    kind: str
    tolerance_g: Decimal
    guard_r: Decimal
    places: tuple[PlaceJudgement, ...]
    spread_before_g: Decimal | None
    spread_after_g: Decimal | None
    missing: tuple[str, ...]
    waits_for: str
    no_zone: str
    apart: tuple[int, ...]
    together_required: bool

    @property
    def verdict(self) -> Verdict | None:
        """Give the worst verdict; None while something is missing or nothing can be proven."""
        verdicts = [place.verdict for place in self.places if place.verdict is not None]
        if self.missing or self.no_zone or not verdicts:
            return None
        return max(verdicts, key=_ORDER.index)

    @property
    def matches(self) -> bool:
        """Tell whether every place passes, or passes with the condition that it is printed."""
        return self.verdict in GOOD

    @property
    def lightest(self) -> PlaceJudgement | None:
        """Give the place that the others are compared with."""
        return next((place for place in self.places if place.is_lightest), None)


def judgements(facts: BuildFacts, evidence: Evidence | None = None) -> tuple[KindJudgement, ...]:
    """Judge sets, big ends and whole rods, in this order, on the evidence there is."""
    known = evidence or Evidence(facts)
    sets = _judged(facts, SETS, _sets(facts, known), apart=True)
    big_ends = _judged(facts, BIG_ENDS, _rods(facts, known, BIG_END))
    wait = "" if big_ends.matches else _wait(big_ends)
    return sets, big_ends, _judged(facts, WHOLE_RODS, _rods(facts, known, WHOLE), waits_for=wait)


def judgement_of(facts: BuildFacts, kind: str, evidence: Evidence | None = None) -> KindJudgement:
    """Judge one kind: set, big end or whole rod."""
    return judgements(facts, evidence)[KINDS.index(kind)]


@dataclass(frozen=True, slots=True)
class _Candidate:
    """A place with what is known of its mass."""

    place: int
    parts: tuple[str, ...]
    before: Mass | None
    mass: Mass | None
    together: bool
    missing: tuple[str, ...]
    note: str = ""


def _sets(facts: BuildFacts, known: Evidence) -> list[_Candidate]:
    return [_set_at(place, known) for place in facts.places]


def _set_at(place: int, known: Evidence) -> _Candidate:
    parts = known.set_parts(place)
    lacking = tuple(f"place {place}: no {kind} fitted" for kind in known.kinds_missing(place))
    before = _all_of([known.mass(known.first(part, WHOLE)) for part in parts])
    together = known.mass(known.together(place))
    masses = {part: known.newest_mass(part, WHOLE) for part in parts}
    if together is not None and not lacking:
        note = _disagreement(place, together, _all_of(list(masses.values())))
        return _Candidate(place, parts, before, together, True, (), note)
    unweighed = tuple(known.why_missing(part, WHOLE) for part, m in masses.items() if m is None)
    mass = None if lacking else _all_of(list(masses.values()))
    return _Candidate(place, parts, before, mass, False, (*lacking, *unweighed))


def _disagreement(place: int, together: Mass, apart: Mass | None) -> str:
    if apart is None:
        return ""
    off = together.minus(apart)
    U_g = off.uncertain().U_g
    if abs(off.mass_g) <= U_g:
        return ""
    return (
        f"set {place}: weighed together it is {off.mass_g:+.2f} g off the sum of its parts, "
        f"expected within U of {U_g:.2g} g; look for a wrong part on the pan and weigh again"
    )


def _rods(facts: BuildFacts, known: Evidence, what: str) -> list[_Candidate]:
    return [_rod_at(place, what, known) for place in facts.places]


def _rod_at(place: int, what: str, known: Evidence) -> _Candidate:
    rod = known.fitted(place, "rod")
    if rod is None:
        return _Candidate(place, (), None, None, False, (f"place {place}: no rod fitted",))
    newest = known.newest(rod, what)
    mass = known.mass(newest)
    missing: tuple[str, ...] = ()
    if newest is None:
        missing = (known.why_missing(rod, what),)
    elif mass is None:
        missing = ("rod length not given: without the centre distance no end has a U; enter it",)
    return _Candidate(place, (rod,), known.mass(known.first(rod, what)), mass, False, missing)


def _all_of(masses: list[Mass | None]) -> Mass | None:
    known = [mass for mass in masses if mass is not None]
    return total(known) if known and len(known) == len(masses) else None


def _judged(
    facts: BuildFacts,
    kind: str,
    candidates: list[_Candidate],
    *,
    waits_for: str = "",
    apart: bool = False,
) -> KindJudgement:
    masses = {c.place: c.mass for c in candidates if c.mass is not None}
    least = min(masses, key=lambda place: masses[place].mass_g, default=None)
    places = tuple(
        _place(facts, kind, c, c.mass, masses[least])
        for c in candidates
        if c.mass is not None and least is not None
    )
    missing = dict.fromkeys(text for c in candidates for text in c.missing)
    return KindJudgement(
        kind=kind,
        tolerance_g=tolerance_of(facts, kind),
        guard_r=facts.promise.guard_r,
        places=places,
        spread_before_g=_spread([_grams(c.before) for c in candidates]),
        spread_after_g=_spread([_grams(c.mass) for c in candidates]),
        missing=tuple(missing),
        waits_for=waits_for,
        no_zone=_no_zone(facts, kind, places),
        apart=tuple(c.place for c in candidates if apart and not c.together),
        together_required=apart and facts.use == "competition",
    )


def _place(
    facts: BuildFacts, kind: str, candidate: _Candidate, mass: Mass, least: Mass
) -> PlaceJudgement:
    difference = mass.minus(least)
    uncertain = difference.uncertain()
    verdict, probability = _verdict(
        float(difference.mass_g),
        uncertain.u_g,
        uncertain.U_g,
        float(tolerance_of(facts, kind)),
        float(facts.promise.guard_r),
    )
    return PlaceJudgement(
        place=candidate.place,
        parts=candidate.parts,
        before_g=_grams(candidate.before),
        mass_g=mass.mass_g,
        sources=mass.sources,
        weighed_together=candidate.together,
        is_lightest=mass is least,
        difference_g=difference.mass_g,
        u_g=uncertain.u_g,
        U_g=uncertain.U_g,
        verdict=verdict,
        conformance_probability=probability,
        note=candidate.note,
    )


def _verdict(
    value: float, u: float, U: float, tolerance: float, r: float
) -> tuple[Verdict | None, float]:
    if u <= 0:  # the lightest itself, or the very same weighings
        return Verdict.PASSED, 1.0
    try:
        judged = judge(value, u, high=tolerance, r=r, U=U, never_below=0.0)
    except BadValue as refused:
        if refused.code is not Code.NO_ACCEPTANCE_ZONE:
            raise
        return _without_zone(value, U, tolerance, r), conformance_probability(
            value, u, high=tolerance
        )
    return judged.verdict, judged.conformance_probability


def _without_zone(value: float, U: float, tolerance: float, r: float) -> Verdict | None:
    """Say what is still clear where nothing can pass: a mass outside is outside."""
    if value <= tolerance:
        return None
    return Verdict.CONDITIONALLY_FAILED if value <= tolerance + r * U else Verdict.FAILED


def _no_zone(facts: BuildFacts, kind: str, places: tuple[PlaceJudgement, ...]) -> str:
    r, tolerance_g = float(facts.promise.guard_r), tolerance_of(facts, kind)
    widest = max((place.U_g for place in places), default=0.0)
    if r * widest <= float(tolerance_g) * (1 + 1e-12):
        return ""
    return (
        f"{kind}: {r:g} times U of a difference is {r * widest:.2g} g, expected at most the "
        f"promised {tolerance_g:.10g} g, so that nothing could pass; {what_would_do(facts, kind)}"
    )


def _grams(mass: Mass | None) -> Decimal | None:
    return None if mass is None else mass.mass_g


def _spread(masses: list[Decimal | None]) -> Decimal | None:
    known = [mass for mass in masses if mass is not None]
    return max(known) - min(known) if len(known) == len(masses) and known else None


def _wait(big_ends: KindJudgement) -> str:
    if big_ends.missing:
        return "the big ends first: not all of them are weighed"
    if big_ends.no_zone:
        return "the big ends first: as measured they can't be proven to match"
    over = [p for p in big_ends.places if p.verdict not in GOOD]
    rods = ", ".join(part for place in over for part in place.parts)
    return f"the big ends first: {rods} not yet within {big_ends.tolerance_g:.10g} g"
