"""What a certificate says was measured: judgements, masses before and after, scales."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal
from typing import cast

from records.domain.practice.certificate import (
    Judgement,
    Kind,
    PartMass,
    PartNamed,
    PlaceJudged,
    ScaleFacts,
    Verdict,
)
from records.domain.practice.evidence import BIG_END, SMALL_END, WHOLE, Evidence
from records.domain.practice.facts import BuildFacts, FitmentFacts, WeighingFacts
from records.domain.practice.facts_of_parts import PartFacts
from records.domain.practice.facts_of_scales import ScaleFacts as ScaleOnRecord
from records.domain.practice.fitted import fitments_now
from records.domain.practice.judgement import BIG_ENDS, SETS, KindJudgement, PlaceJudgement
from records.domain.practice.kinds import KINDS
from records.domain.practice.masses import Mass, total
from records.domain.practice.scale_model import calibration_at, checks_of
from records.domain.practice.shop_day import shop_day
from records.queries.certificate_texts import number_or_none, number_text

HOW = {"by difference": "whole minus the other end"}
# within the promise where the guard band leaves nothing that could pass outright
NOT_PROVEN: Verdict = "conditional pass"


def judgement_facts(
    judged: Iterable[KindJudgement], facts: BuildFacts, known: Evidence
) -> list[Judgement]:
    """Return each kind's judgement, place by place; a kind that nothing was weighed of is out."""
    return [_judgement(kind, facts, known) for kind in judged if kind.places]


def _judgement(kind: KindJudgement, facts: BuildFacts, known: Evidence) -> Judgement:
    lightest = kind.lightest
    spread_g = kind.spread_after_g
    if spread_g is None:  # a place without a mass: what there is, as the findings say
        spread_g = max(place.difference_g for place in kind.places)
    return {
        "kind": cast(Kind, kind.kind),
        "evidence": _evidence(kind, known),
        "lightest_place": lightest.place if lightest else kind.places[0].place,
        "places": [_place(place, facts, known) for place in kind.places],
        "spread_before_g": number_or_none(kind.spread_before_g),
        "spread_after_g": number_text(spread_g),
    }


def _evidence(kind: KindJudgement, known: Evidence) -> str:
    if kind.kind == SETS:
        return _together(kind)
    if kind.kind != BIG_ENDS:
        return "on the pan"
    used = [known.weighing(id) for place in kind.places for id in place.sources]
    by_difference = any(weighing and weighing.how == "by difference" for weighing in used)
    return "hung, or whole minus the small end" if by_difference else "hung"


def _together(kind: KindJudgement) -> str:
    apart = [str(place.place) for place in kind.places if not place.weighed_together]
    if not apart:
        return "weighed together"
    if len(apart) == len(kind.places):
        return "sum of parts weighed apart"
    return f"weighed together; at place {', '.join(apart)} the sum of parts weighed apart"


def _place(place: PlaceJudgement, facts: BuildFacts, known: Evidence) -> PlaceJudged:
    chance = None if place.is_lightest else number_text(place.conformance_probability)
    return {
        "place": place.place,
        "parts": [_named(facts.parts[number]) for number in place.parts],
        "before_g": number_or_none(place.before_g),
        "after_g": number_text(place.mass_g),
        "mass_U_g": number_text(_mass_of(place, known).uncertain().U_g),
        "difference_g": number_text(place.difference_g),
        "u_g": None if place.is_lightest else number_text(place.u_g),
        "U_g": None if place.is_lightest else number_text(place.U_g),
        "verdict": cast(Verdict, str(place.verdict)) if place.verdict else NOT_PROVEN,
        "conformance_probability": chance,
    }


def _mass_of(place: PlaceJudgement, known: Evidence) -> Mass:
    masses = (known.mass(known.weighing(id)) for id in place.sources)
    return total([mass for mass in masses if mass is not None])


def _named(part: PartFacts) -> PartNamed:
    return {"kind": part.kind, "shop_number": part.number, "serial": part.serial or None}


# --- masses before and after --------------------------------------------------------------------


def part_masses(facts: BuildFacts, known: Evidence) -> list[PartMass]:
    """Return what each part that stands in the build weighed, by place and kind."""
    order = [kind.key for kind in KINDS]

    def in_engine_order(fitment: FitmentFacts) -> tuple[bool, int, int]:
        return (
            fitment.place is None,
            fitment.place or 0,
            order.index(facts.parts[fitment.part].kind),
        )

    fitted = sorted(fitments_now(facts), key=in_engine_order)
    return [mass for fitment in fitted for mass in _masses_of(fitment, facts, known)]


def _masses_of(fitment: FitmentFacts, facts: BuildFacts, known: Evidence) -> Iterator[PartMass]:
    for what in (WHOLE, BIG_END, SMALL_END):
        weighing = known.newest(fitment.part, what) or _declared(fitment.part, what, facts)
        if weighing is not None:
            yield _part_mass(fitment, weighing, facts, known)


def _part_mass(
    fitment: FitmentFacts, weighing: WeighingFacts, facts: BuildFacts, known: Evidence
) -> PartMass:
    part, what = facts.parts[fitment.part], weighing.what
    declared = weighing.scale is None
    mass = None if declared else known.mass(weighing)
    before = None if declared else known.mass(known.first(part.number, what))
    removed_g = _removed_g(part.number, facts) if what == WHOLE else None
    return {
        "place": fitment.place,
        "kind": part.kind,
        "what": what,  # type: ignore[typeddict-item]  # one of the three asked for
        "how": "declared" if declared else HOW.get(weighing.how, weighing.how),
        "shop_number": part.number,
        "serial": part.serial or None,
        "marking": part.marking,
        "before_g": number_or_none(before.mass_g if before else None),
        "after_g": number_text(mass.mass_g if mass else weighing.mean_g),
        "U_g": number_or_none(mass.uncertain().U_g if mass else None),
        "removed_g": number_or_none(removed_g),
    }


def _declared(part: str, what: str, facts: BuildFacts) -> WeighingFacts | None:
    """Return the newest declared mass: it counts for nothing, and is said to be declared."""
    declared = [w for w in facts.weighings if w.scale is None and (w.part, w.what) == (part, what)]
    return declared[-1] if declared else None


def _removed_g(part: str, facts: BuildFacts) -> Decimal | None:
    cuts = [
        removal.mass_g
        for removal in facts.removals
        if removal.part == part and removal.build == facts.number and removal.mass_g is not None
    ]
    return sum(cuts, Decimal(0)) if cuts else None


# --- scales -------------------------------------------------------------------------------------


def scales_used(
    judged: Iterable[KindJudgement], facts: BuildFacts, known: Evidence
) -> list[ScaleFacts]:
    """Return each scale and calibration that evidence rests on, with the days it was checked."""
    ids = {id for kind in judged for place in kind.places for id in place.sources}
    ids |= set(facts.card.sources if facts.card else ())
    ids |= {id for fitment in fitments_now(facts) for id in _evidence_of(fitment.part, known)}
    days: dict[tuple[str, int], set[date]] = {}
    for weighing in (known.weighing(id) for id in sorted(ids)):
        if weighing is None or weighing.scale is None:
            continue
        day = shop_day(weighing.measured_at, facts.shop.timezone)
        calibration = calibration_at(facts.scales[weighing.scale], day)
        if calibration is not None:
            days.setdefault((weighing.scale, calibration.id), set()).add(day)
    return [_scale(facts, number, id, weighed) for (number, id), weighed in sorted(days.items())]


def _evidence_of(part: str, known: Evidence) -> Iterator[int]:
    for what in (WHOLE, BIG_END, SMALL_END):
        for weighing in (known.newest(part, what), known.first(part, what)):
            if weighing is not None:
                yield weighing.id


def _scale(facts: BuildFacts, number: str, calibration_id: int, days: set[date]) -> ScaleFacts:
    scale = facts.scales[number]
    calibration = next(c for c in scale.calibrations if c.id == calibration_id)
    return {
        "number": number,
        "certificate_number": calibration.certificate_number,
        "calibrated_on": calibration.calibrated_on.isoformat(),
        "due_on": calibration.due_on.isoformat(),
        "steps": [{"unit": step.unit, "step": number_text(step.step)} for step in scale.steps],
        "checks_passed_on": [
            day.isoformat() for day in sorted(days) if _passed_on(scale, day, facts)
        ],
    }


def _passed_on(scale: ScaleOnRecord, day: date, facts: BuildFacts) -> bool:
    return any(check.passed for check in checks_of(scale, day, facts.shop.timezone))
