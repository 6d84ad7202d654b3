"""What to cut next: sets first, then big ends, then whole rods, each toward its lightest.

The lightest of a kind is the target and isn't cut in that step. In a set the piston is cut; a pin
is given another partner instead. Each zone gives what its limit leaves over the part's life, of
several zones in one cut the whole mass counting against each.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal

from records.domain.balance.plan import Matched, PartPlan, ZoneAllowance, plan_part
from records.domain.balance.targets import target_of
from records.domain.practice.evidence import Evidence
from records.domain.practice.facts import BuildFacts
from records.domain.practice.facts_of_parts import PartFacts, ZoneFacts
from records.domain.practice.judgement import KindJudgement, PlaceJudgement, judgements
from records.domain.practice.promised import BIG_ENDS, KINDS, SETS
from records.domain.practice.zones import FORBIDDEN, remaining_g

_FINEST_G = Decimal("0.0001")  # rounded down, so that no cut rests on the rounding


@dataclass(frozen=True, slots=True)
class PlacePlan:
    """What is next at one place: the part to cut, the balance plan, and what else to know."""

    place: int
    part: str
    plan: PartPlan
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StepPlan:
    """One step of the work: a kind brought to its lightest.

    `left_g` is what of the tolerance may be used once the guard band is taken off; `note` names
    the light one that costs all others metal, empty when none does. `waits_for` says why nothing
    is planned yet; then there are no places.
    """

    kind: str
    matches: bool
    waits_for: str
    target_place: int | None
    target_g: Decimal | None
    left_g: Decimal
    note: str
    places: tuple[PlacePlan, ...]


@dataclass(frozen=True, slots=True)
class BuildPlan:
    """All three steps in order, and which is next; None once all match."""

    step: str | None
    steps: tuple[StepPlan, ...]

    def of(self, kind: str) -> StepPlan:
        """Give the step of a kind."""
        return self.steps[KINDS.index(kind)]


def plans(facts: BuildFacts, evidence: Evidence | None = None) -> BuildPlan:
    """Plan the next cuts of a build from the evidence there is."""
    known = evidence or Evidence(facts)
    judged = judgements(facts, known)
    steps = tuple(_step(facts, kind, known) for kind in judged)
    return BuildPlan(next((step.kind for step in steps if not step.matches), None), steps)


def allowances(facts: BuildFacts, part: PartFacts) -> tuple[tuple[ZoneAllowance, ...], list[str]]:
    """Give the zones of a part with what each may still lose, and a sentence where none is known.

    A zone that needs its maker's leave gives nothing here; forbidden ones are left out.
    """
    cuts = [cut for cut in facts.removals if cut.part == part.number]
    zones, notes = [], []
    for zone in part.spec.zones:
        if zone.rule == FORBIDDEN:
            continue
        if zone.maker_leave:
            notes.append(f"{zone.name}: only with the maker's leave, so nothing is planned there.")
            continue
        left_g = remaining_g(zone, part, cuts)
        if left_g is None and part.intake is not None and part.intake.earlier_cuts:
            notes.append(
                f"{zone.name}: cut before it came, so what may still come off is unknown until "
                "an inspector says."
            )
        zones.append(_allowance(zone, left_g))
    return tuple(zones), notes


def _allowance(zone: ZoneFacts, left_g: Decimal | None) -> ZoneAllowance:
    return ZoneAllowance(
        key=zone.key,
        rule=zone.rule,
        remaining_g=left_g,
        step_g=zone.step_g,
        spread=zone.spread,
        x_mm=zone.x_mm,
    )


def _step(facts: BuildFacts, kind: KindJudgement, known: Evidence) -> StepPlan:
    waits_for = _waits_for(facts, kind)
    lightest = kind.lightest
    enough = len(kind.places) >= 2 and lightest is not None
    widest = Decimal(max((place.U_g for place in kind.places), default=0.0))
    room_g = max(Decimal(0), kind.tolerance_g - kind.guard_r * widest)
    left_g = room_g.quantize(_FINEST_G, ROUND_DOWN)
    places = (
        tuple(_place(known, kind, place, lightest, left_g) for place in kind.places)
        if enough and not waits_for and lightest is not None
        else ()
    )
    return StepPlan(
        kind=kind.kind,
        matches=kind.matches,
        waits_for=waits_for,
        target_place=lightest.place if lightest else None,
        target_g=lightest.mass_g if lightest else None,
        left_g=left_g,
        note=_note(kind) if enough else "",
        places=places,
    )


def _waits_for(facts: BuildFacts, kind: KindJudgement) -> str:
    if kind.waits_for:
        return kind.waits_for
    if kind.kind != SETS and facts.rod_length_mm is None:
        return "the rod's centre distance: without it no cut's share at an end is known; enter it"
    return ""


def _note(kind: KindJudgement) -> str:
    """Name the light one that costs all others metal, were all brought down to it."""
    return target_of({_called(kind.kind, place): place.mass_g for place in kind.places}).note


def _called(kind: str, place: PlaceJudgement) -> str:
    if kind == SETS:
        return f"set {place.place}"
    return f"rod {place.parts[0]}'s big end" if kind == BIG_ENDS else f"rod {place.parts[0]}"


def _place(
    known: Evidence,
    kind: KindJudgement,
    place: PlaceJudgement,
    lightest: PlaceJudgement,
    left_g: Decimal,
) -> PlacePlan:
    facts = known.facts
    number = (known.fitted(place.place, "piston") or "") if kind.kind == SETS else place.parts[0]
    part = facts.parts[number]
    zones, notes = allowances(facts, part)
    length_mm = None if kind.kind == SETS else facts.rod_length_mm
    plan = plan_part(
        _called(kind.kind, place),
        mass_g=place.mass_g,
        target_g=lightest.mass_g,
        lightest=_called(kind.kind, lightest),
        tolerance_g=left_g,
        u_difference_g=place.u_g,
        zones=zones,
        matched=Matched.BIG_END if kind.kind == BIG_ENDS else Matched.WHOLE,
        density_g_cm3=float(part.spec.density_g_cm3),
        rod_length_mm=None if length_mm is None else float(length_mm),
    )
    return PlacePlan(place.place, number, plan, tuple(notes) if plan.excess_g else ())
