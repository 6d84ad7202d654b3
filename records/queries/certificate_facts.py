"""The frozen facts of a certificate, filled from a build's facts and the ruling on its release.

Nothing is read here: what goes in decides what comes out, so that the hash of it stands for it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from records.domain.balance.layout import bob_weights_needed, why_bob_weights
from records.domain.measure.conventional import conventional_statement
from records.domain.practice import certificate as shape
from records.domain.practice.closing import is_closed
from records.domain.practice.damper import damper_findings, rating_day
from records.domain.practice.evidence import Evidence
from records.domain.practice.facts import BuildFacts
from records.domain.practice.facts_of_parts import PartFacts
from records.domain.practice.finding import RATING_CODES
from records.domain.practice.fitted import parts_now
from records.domain.practice.judgement import KINDS, judgements
from records.domain.practice.promised import tolerance_of
from records.domain.practice.release import ReleaseRuling
from records.domain.practice.separation import ANSWERED, CUT, FITTED, MATCHED, WEIGHED, who, workers
from records.domain.practice.shop_day import shop_day
from records.queries.certificate_deeds import answer_facts, finding_facts, removal_facts
from records.queries.certificate_measured import judgement_facts, part_masses, scales_used
from records.queries.certificate_texts import moment_text, number_or_none, number_text

NOT_COVERED = ("crankshaft balance", "damper balance", "flywheel balance", "clutch cover balance")
CAUTIONS = (
    "The part makers' limits, local rules and the sanctioning body's rulebook come first.",
    "Deburr and clean every part before assembly.",
    "This certificate states what was measured and done; it does not say that an engine is safe.",
)


@dataclass(frozen=True, slots=True)
class Paper:
    """A certificate about to be released: its number, what it rests on, and who released it.

    `replaces` is the revision of the same certificate that this one replaces; `seals` are pairs of
    number and place.
    """

    number: str
    revision: int
    replaces: int | None
    check_code: str
    released_at: datetime
    released_by: str
    facts: BuildFacts
    ruling: ReleaseRuling
    seals: tuple[tuple[str, str], ...]
    no_seals_reason: str
    not_for_competition_reason: str = ""


def certificate_facts(paper: Paper) -> dict[str, Any]:
    """Return the certificate's facts as plain JSON, decimals as texts."""
    return dict(_filled(paper))


def _filled(paper: Paper) -> shape.CertificateFacts:
    facts = paper.facts
    known = Evidence(facts)
    judged = judgements(facts, known)
    return {
        "schema": shape.SCHEMA,
        "demo": facts.shop.demo,
        "shop": {
            "name": facts.shop.name,
            "place": facts.shop.place,
            "timezone": facts.shop.timezone,
        },
        "certificate": _certificate(paper),
        "build": _build(paper),
        "promises": [_promise(kind, facts) for kind in KINDS],
        "judgements": judgement_facts(judged, facts, known),
        "parts": part_masses(facts, known),
        "scales": scales_used(judged, facts, known),
        "removals": removal_facts(facts),
        "checklist": answer_facts(facts),
        "findings": finding_facts(facts, paper.released_by, paper.released_at),
        "bob_weight": _bob_weight(facts),
        "damper": _damper(paper),
        "seals": _seals(paper),
        "people": _people(paper),
        "second_person": paper.ruling.second_person,
        "versions": _versions(facts),
        "not_covered": list(NOT_COVERED),
        "cautions": list(CAUTIONS),
        "conventional_mass": conventional_statement(),
    }


def _certificate(paper: Paper) -> shape.CertificateNumber:
    replaced: shape.NumberAndRevision | None = None
    if paper.replaces is not None:
        replaced = {"number": paper.number, "revision": paper.replaces}
    return {
        "number": paper.number,
        "revision": paper.revision,
        "replaces": replaced,
        "check_code": paper.check_code,
        "released_at": moment_text(paper.released_at),
    }


def _build(paper: Paper) -> shape.BuildFacts:
    facts = paper.facts
    return {
        "number": facts.number,
        "engine": facts.engine,
        "customer": facts.customer,
        "layout": facts.layout,
        "cylinders": len(facts.cylinders),
        "use": "competition" if facts.use == "competition" else "street",
        "not_for_competition": paper.ruling.not_for_competition,
        "not_for_competition_reason": paper.not_for_competition_reason,
        "balance": "external" if facts.balance == "external" else "neutral",
        "stroke_mm": number_or_none(facts.stroke_mm),
        "rod_length_mm": number_or_none(facts.rod_length_mm),
        "event_day": facts.event_day.isoformat() if facts.event_day else None,
    }


def _promise(kind: str, facts: BuildFacts) -> shape.Promise:
    tolerance_g = tolerance_of(facts, kind)
    halved = facts.promise.promised_as == "plus or minus"
    return {
        "kind": kind,  # type: ignore[typeddict-item]  # one of judgement.KINDS
        "tolerance_g": number_text(tolerance_g),
        "promised_as": "plus or minus" if halved else "spread",
        "promised_g": number_text(tolerance_g / Decimal(2) if halved else tolerance_g),
        "guard_r": number_text(facts.promise.guard_r),
        "rule": _tolerance_class(facts),
    }


def _tolerance_class(facts: BuildFacts) -> shape.RuleVersion:
    promise = facts.promise
    return _version(f"tolerance class {promise.tolerance_class}", promise.tolerance_version)


def _version(name: str, version: int) -> shape.RuleVersion:
    return {"name": name, "version": str(version)}


def _versions(facts: BuildFacts) -> list[shape.RuleVersion]:
    specs = {(part.spec.number, part.spec.version) for part in parts_now(facts)}
    return [
        _version("shop settings", facts.shop.version),
        _tolerance_class(facts),
        _version("oil and fraction", facts.rule_version),
        _version("safety checklist", facts.checklist_version),
        *(
            [_version(f"rod fixture {facts.fixture.number}", facts.fixture.version)]
            if facts.fixture
            else []
        ),
        *(_version(f"zone map {number}", version) for number, version in sorted(specs)),
    ]


def _bob_weight(facts: BuildFacts) -> shape.BobWeightFacts:
    needed, card = bob_weights_needed(facts.cylinders), facts.card
    said: shape.BobWeightFacts = {
        "needed": needed,
        "sentence": why_bob_weights(facts.cylinders),
        "card_revision": None,
        "rule": None,
        "oil_g": None,
        "fraction": None,
        "pins": [],
    }
    if card is None or not needed:
        return said
    return {
        **said,
        "card_revision": card.revision,
        "rule": _version("oil and fraction", card.rule_version),
        "oil_g": number_text(card.oil_g),
        "fraction": number_text(card.fraction),
        "pins": [
            {
                "pin": pin.pin,
                "rods": pin.rods,
                "rotating_g": number_text(pin.rotating_g),
                "reciprocating_g": number_text(pin.reciprocating_g),
                "total_g": number_text(pin.total_g),
                "U_g": number_text(pin.U_g),
            }
            for pin in card.pins
        ],
    }


def _damper(paper: Paper) -> shape.DamperFacts:
    facts = paper.facts
    fitted = next(iter(parts_now(facts, "damper")), None)
    if fitted is not None:
        rating = _rating(fitted, paper) if facts.use == "competition" else None
        return {"seen": True, "name": _called(fitted), "reason": "", "rating": rating}
    pulley = next(iter(parts_now(facts, "pulley")), None)
    if pulley is not None:
        name = f"no damper: solid pulley {_called(pulley)}"
        return {"seen": True, "name": name, "reason": "", "rating": None}
    reason = facts.no_crank_reason or "no damper was booked in"
    return {"seen": False, "name": "", "reason": reason, "rating": None}


def _called(part: PartFacts) -> str:
    serial = f", serial {part.serial}" if part.serial else ""
    return f"{part.spec.name} {part.number}{serial}"


def _rating(damper: PartFacts, paper: Paper) -> shape.RatingFacts | None:
    rating, facts = damper.rating, paper.facts
    if rating is None:
        return None
    today = shop_day(paper.released_at, facts.shop.timezone)
    decided = {found.key: found.disposition for found in facts.findings}
    against = [
        found
        for found in damper_findings(facts, today=today)
        if found.code in RATING_CODES
        and not is_closed(found, decided.get(found.key), workers(facts).keys())
    ]
    return {
        "label": rating.label,
        "body": rating.body,
        "spec": rating.spec,
        "expires_on": rating.expires_on.isoformat(),
        "judged_for": rating_day(facts, today=today).isoformat(),
        "valid": not against,
    }


def _seals(paper: Paper) -> shape.SealsFacts:
    return {
        "fitted": [{"number": number, "where": where} for number, where in paper.seals],
        "reason": paper.no_seals_reason.strip(),
    }


def _people(paper: Paper) -> shape.PeopleFacts:
    facts = paper.facts
    return {
        "weighed": list(who(facts, WEIGHED)),
        "cut": list(who(facts, CUT)),
        "matched": list(who(facts, MATCHED)),
        "fitted": list(who(facts, FITTED)),
        "answered": list(who(facts, ANSWERED)),
        "released": paper.released_by,
    }
