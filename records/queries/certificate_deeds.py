"""What a certificate says was done: cuts, answers to the checklist, findings and decisions."""

from __future__ import annotations

from datetime import datetime

from records.domain.practice import certificate as shape
from records.domain.practice.facts import BuildFacts, FindingFacts, RemovalFacts
from records.queries.certificate_texts import day_of, number_text

# a finding that nobody had to decide on: what it spoke of is no longer so
GONE = "no longer stands"
GONE_BECAUSE = "later weighings, another part or a correction on record took its ground away"


def removal_facts(facts: BuildFacts) -> list[shape.RemovalFacts]:
    """Return the closed cuts made in this build, by time."""
    zones = {
        zone.id: shape.ZoneCut(zone=zone.name, rule=zone.rule)  # type: ignore[typeddict-item]
        for part in facts.parts.values()
        for zone in part.spec.zones
    }
    here = (removal for removal in facts.removals if removal.build == facts.number)
    return [_removal(removal, zones, facts) for removal in here if removal.after is not None]


def answer_facts(facts: BuildFacts) -> list[shape.AnswerFacts]:
    """Return the newest answer to each question of the safety checklist."""
    return [
        {
            "question": answer.text,
            "answer": answer.answer,
            "detail": answer.detail,
            "by": answer.operator,
            "day": day_of(answer.answered_at, facts),
        }
        for answer in facts.answers
    ]


def finding_facts(
    facts: BuildFacts, releaser: str, released_at: datetime
) -> list[shape.FindingFacts]:
    """Return every finding on record; one without a decision has lost its ground since."""
    return [_finding(found, facts, releaser, released_at) for found in facts.findings]


def _removal(
    removal: RemovalFacts, zones: dict[int, shape.ZoneCut], facts: BuildFacts
) -> shape.RemovalFacts:
    mass_g, U_g = removal.mass_g, removal.U_g
    return {
        "shop_number": removal.part,
        "kind": facts.parts[removal.part].kind,
        "zones": [zones[zone] for zone in removal.zones if zone in zones],
        "spread": removal.spread,
        "method": removal.method,
        "mass_g": "0" if mass_g is None else number_text(mass_g),
        "U_g": "0" if U_g is None else number_text(U_g),
        "by": removal.operator,
        "day": day_of(removal.cut_at, facts),
        "heat": removal.heat or "",
        "late": removal.late,
    }


def _finding(
    found: FindingFacts, facts: BuildFacts, releaser: str, released_at: datetime
) -> shape.FindingFacts:
    decided = found.disposition
    return {
        "code": found.code,
        "text": found.text,
        "raised_on": day_of(found.raised_at, facts),
        "disposition": decided.decision if decided else GONE,
        "reason": decided.reason if decided else GONE_BECAUSE,
        "by": decided.by if decided else releaser,
        "day": day_of(decided.decided_at if decided else released_at, facts),
    }
