"""Mix and match for a build: which pin, rings and locks go with which piston.

Pistons stay in their places; the other kinds of the set move. A kind of which one piece stands for
every place is the same everywhere and changes no pairing. Cutting comes after: once a part of the
sets was cut, the pairing stands.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from records.domain.balance.matching import Aim, Grouping, Kind, Match, match
from records.domain.errors import BadValue, Code, Conflict
from records.domain.practice.evidence import WHOLE, Evidence
from records.domain.practice.facts import BuildFacts
from records.domain.practice.kinds import SET_KINDS

ANCHOR = "piston"  # the kind that keeps its places, and the one that is cut


@dataclass(frozen=True, slots=True)
class ProposedSet:
    """One place's parts, their total, what would come off, and what allowances can't give of it."""

    place: int
    parts: tuple[str, ...]
    total_g: Decimal
    remove_g: Decimal
    short_g: Decimal


@dataclass(frozen=True, slots=True)
class Proposal:
    """A pairing, how good it is, and how far from the best it can be at most."""

    aim: str
    kinds: tuple[str, ...]
    sets: tuple[ProposedSet, ...]
    spread_before_g: Decimal
    spread_g: Decimal
    removed_g: Decimal
    bound_spread_g: Decimal
    bound_removed_g: Decimal
    proven: bool


def propose(facts: BuildFacts, aim: str) -> Proposal:
    """Pair the sets for `spread` or `metal`.

    Errors: BadValue for another aim; Conflict while a part is unweighed, a place is empty, or a
    part of a set was cut in this build.
    """
    goal = _goal(aim)
    _refuse_after_a_cut(facts)
    evidence = Evidence(facts)
    kinds = tuple(kind for kind in SET_KINDS if _is_per_place(evidence, facts, kind))
    numbers = {kind: [_part_at(evidence, place, kind) for place in facts.places] for kind in kinds}
    masses = {kind: [_mass_g(evidence, part) for part in numbers[kind]] for kind in kinds}
    found = match(
        [Kind(kind, tuple(masses[kind]), may_cut=kind == ANCHOR) for kind in kinds],
        places=len(facts.places),
        aim=goal,
        tolerance_g=facts.promise.set_g,
        fixed=[Grouping(index, {ANCHOR: index}) for index in range(len(facts.places))],
    )
    return _as_proposal(facts, found, kinds, numbers, masses)


def _as_proposal(
    facts: BuildFacts,
    found: Match,
    kinds: tuple[str, ...],
    numbers: Mapping[str, list[str]],
    masses: Mapping[str, list[Decimal]],
) -> Proposal:
    today = [sum(column, Decimal(0)) for column in zip(*masses.values(), strict=True)]
    return Proposal(
        aim=str(found.aim),
        kinds=kinds,
        sets=tuple(
            ProposedSet(
                place=facts.places[one.place],
                parts=tuple(numbers[kind][one.parts[kind]] for kind in kinds),
                total_g=one.total_g,
                remove_g=one.remove_g,
                short_g=one.short_g,
            )
            for one in sorted(found.sets, key=lambda one: one.place)
        ),
        spread_before_g=max(today) - min(today),
        spread_g=found.spread_g,
        removed_g=found.removed_g,
        bound_spread_g=found.bound_spread_g,
        bound_removed_g=found.bound_removed_g,
        proven=found.proven,
    )


def _goal(aim: str) -> Aim:
    try:
        return Aim(aim)
    except ValueError as error:
        known = ", ".join(Aim)
        raise BadValue(
            Code.BAD_VALUE,
            f"expected one of {known}, got {aim!r}",
            field="aim",
            expected=known,
            got=aim,
        ) from error


def _refuse_after_a_cut(facts: BuildFacts) -> None:
    in_sets = {number for number, part in facts.parts.items() if part.kind in SET_KINDS}
    cut = [one for one in facts.removals if one.part in in_sets and one.build == facts.number]
    if cut:
        raise Conflict(
            Code.CONFLICT,
            f"{cut[0].part} was cut already; mix and match comes before cutting",
            expected="no cut in a set yet",
            got=f"removal {cut[0].id}",
        )


def _is_per_place(evidence: Evidence, facts: BuildFacts, kind: str) -> bool:
    """Tell whether a kind has a piece of its own at some place; pistons always must."""
    found = {evidence.fitted(place, kind) for place in facts.places} - {None}
    return kind == ANCHOR or len(found) > 1


def _part_at(evidence: Evidence, place: int, kind: str) -> str:
    part = evidence.fitted(place, kind)
    if part is None:
        raise Conflict(Code.CONFLICT, f"place {place} has no {kind} yet; book it in first")
    return part


def _mass_g(evidence: Evidence, part: str) -> Decimal:
    mass = evidence.newest_mass(part, WHOLE)
    if mass is None:
        raise Conflict(Code.CONFLICT, evidence.why_missing(part, WHOLE))
    return round(mass.mass_g, 6)  # a microgram: far below any scale here
