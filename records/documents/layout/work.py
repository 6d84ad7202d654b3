"""Evidence in deeds: metal removed, the checklist, findings, damper and seals, who did what."""

from __future__ import annotations

from typing import Any

from records.documents import wording
from records.documents.layout import ink
from records.documents.layout.notes import person
from records.documents.layout.page import section
from records.documents.layout.rows import Cell, Column, facts_grid, ruled
from records.documents.layout.statements import NOT_SEEN
from records.domain.practice.certificate import (
    AnswerFacts,
    CertificateFacts,
    DamperFacts,
    FindingFacts,
    PeopleFacts,
    RatingFacts,
    RemovalFacts,
    SealsFacts,
)

Names = dict[str, str]
REMOVALS = (
    Column("part", 27, bold=True),
    Column("zone and its rule", 52),
    Column("spread", 21),
    Column("method", 22),
    Column("off, g", 14, number=True),
    Column("± U, g", 13, number=True),
    Column("heat seen", 32),
    Column("by", 24),
    Column("day", 20),
)
CHECKLIST = (
    Column("question", 84),
    Column("answer", 20, bold=True),
    Column("detail", 60),
    Column("by", 28),
    Column("day", 20),
)
FINDINGS = (
    Column("finding", 76),
    Column("raised", 19),
    Column("disposition and reason", 72),
    Column("by", 26),
    Column("day", 19),
)


def removals(facts: CertificateFacts, names: Names, width: float) -> list[Any]:
    """Return the metal taken off, part by part and zone by zone, in grams."""
    heading = section("Metal removed, by zone")
    if not facts["removals"]:
        return [*heading, ink.para("No metal was removed.")]
    rows = [_removal(removal, names) for removal in facts["removals"]]
    return [
        *heading,
        ink.para(
            "Each mass is worked out from the part's whole weighings before and after. Where a"
            " removal touched several zones the whole mass counts against each.",
            ink.NOTE,
        ),
        ruled(REMOVALS, rows, width=width),
    ]


def checklist(facts: CertificateFacts, names: Names, width: float) -> list[Any]:
    """Return the safety checklist as it was answered."""
    rows = [_answer(answer, names) for answer in facts["checklist"]]
    return [*section("Safety checklist"), ruled(CHECKLIST, rows, width=width)]


def findings(facts: CertificateFacts, names: Names, width: float) -> list[Any]:
    """Return every finding with what was done about it."""
    heading = section("Findings and concessions")
    if not facts["findings"]:
        return [*heading, ink.para("No finding was raised.")]
    return [*heading, ruled(FINDINGS, [_finding(f, names) for f in facts["findings"]], width=width)]


def damper_and_seals(facts: CertificateFacts, width: float) -> list[Any]:
    """Return the damper with its rating, and the seals."""
    return [
        *section("Damper and seals"),
        facts_grid(
            [*_damper(facts["damper"]), ("seals", _seals(facts["seals"]))], width=width, across=3
        ),
    ]


def people(facts: CertificateFacts, names: Names, width: float) -> list[Any]:
    """Return who did which work, and who released it."""
    return [
        *section("Who did what"),
        facts_grid(_people(facts["people"], names), width=width, across=3),
    ]


def _removal(removal: RemovalFacts, names: Names) -> tuple[Cell, ...]:
    zones = "; ".join(f"{cut['zone']} ({cut['rule']})" for cut in removal["zones"])
    return (
        f"{removal['shop_number']}, {removal['kind']}",
        zones + (", entered late" if removal["late"] else ""),
        removal["spread"],
        removal["method"],
        wording.mass(removal["mass_g"], removal["U_g"]),
        wording.uncertainty(removal["U_g"]),
        removal["heat"],
        person(removal["by"], names),
        removal["day"],
    )


def _answer(answer: AnswerFacts, names: Names) -> tuple[Cell, ...]:
    return (
        answer["question"],
        answer["answer"],
        answer["detail"] or wording.DASH,
        person(answer["by"], names),
        answer["day"],
    )


def _finding(finding: FindingFacts, names: Names) -> tuple[Cell, ...]:
    return (
        finding["text"],
        finding["raised_on"],
        f"{wording.capital(finding['disposition'])}: {finding['reason']}",
        person(finding["by"], names),
        finding["day"],
    )


def _damper(damper: DamperFacts) -> list[tuple[str, str]]:
    if not damper["seen"]:
        return [("damper", f"{NOT_SEEN} {damper['reason']}")]
    rating = damper["rating"]
    return [
        ("damper", damper["name"]),
        ("rating", _rating(rating) if rating else "none"),
    ]


def _rating(rating: RatingFacts) -> str:
    until = f", until {wording.day(rating['expires_on'])}" if rating["expires_on"] else ""
    standing = "valid" if rating["valid"] else "not valid"
    return (
        f"label {rating['label']}, {rating['body']}, {rating['spec']}{until};"
        f" {standing} on {wording.day(rating['judged_for'])}"
    )


def _seals(seals: SealsFacts) -> str:
    if not seals["fitted"]:
        return f"None fitted: {seals['reason']}"
    return "; ".join(
        seal["number"] + (f" ({seal['where']})" if seal["where"] else "")
        for seal in seals["fitted"]
    )


def _people(people: PeopleFacts, names: Names) -> list[tuple[str, str]]:
    deeds = (
        ("weighed", people["weighed"]),
        ("matched", people["matched"]),
        ("cut", people["cut"]),
        ("fitted", people["fitted"]),
        ("answered the checklist", people["answered"]),
        ("released", [people["released"]]),
    )
    return [
        (deed, wording.listed([person(number, names) for number in who]) or wording.DASH)
        for deed, who in deeds
    ]
