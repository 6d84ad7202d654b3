"""The right margin of the first page: is it genuine, who released it, how to read it."""

from __future__ import annotations

from typing import Any

from reportlab.platypus import Spacer

from records.documents import wording
from records.documents.attached import FACTS_FILE
from records.documents.figures.qr import QrCode
from records.documents.layout import ink
from records.domain.practice.certificate import CertificateFacts, LedgerPlace

NEVER_SAFE = "It states what was measured and done. It never says that an engine or a part is safe."


def margin_notes(
    facts: CertificateFacts, names: dict[str, str], verify_url: str, ledger: LedgerPlace
) -> list[Any]:
    """Return the notes, from the top of the margin down."""
    return [
        *_genuine(facts, verify_url),
        *_note("Released", _released(facts, names)),
        *_note("U", *_uncertainty()),
        *_note("Masses", facts["conventional_mass"]),
        *_note("Not covered", f"{wording.capital(wording.listed(facts['not_covered']))}."),
        *_note("What it says", NEVER_SAFE),
        *_note(
            "For machines",
            f"The same facts are inside this file as {FACTS_FILE}, SHA-256"
            f" {ledger['facts_sha256'][:16]}… (in full on the last page).",
        ),
    ]


def check_code(code: str) -> str:
    """Write a check code as it is read aloud: in two halves."""
    half = len(code) // 2
    return f"{code[:half]}-{code[half:]}"


def person(number: str, names: dict[str, str]) -> str:
    """Write a person by name and shop number; by number alone once the name is erased."""
    name = names.get(number)
    return f"{name} ({number})" if name else number


def _genuine(facts: CertificateFacts, verify_url: str) -> list[Any]:
    return [
        ink.para("Is this paper genuine?", ink.NOTE_HEADING),
        Spacer(1, 12),
        QrCode(verify_url, ink.NOTES_WIDTH * 0.86),
        ink.para("check code", ink.HEAD),
        ink.para(check_code(facts["certificate"]["check_code"]), ink.CODE),
        ink.para(
            "Scan it, or drop this file on the page below, or type the number and the check code"
            " there. It tells you whether the certificate still stands.",
            ink.NOTE,
        ),
        ink.para(verify_url, ink.NOTE),
    ]


def _released(facts: CertificateFacts, names: dict[str, str]) -> str:
    at = wording.in_shop_time(facts["certificate"]["released_at"], facts["shop"]["timezone"])
    who = person(facts["people"]["released"], names)
    apart = ", who did not do the work" if facts["second_person"] else ""
    return f"{at}, by {who}{apart}."


def _uncertainty() -> tuple[str, ...]:
    return (
        "U is the expanded uncertainty, two significant digits, coverage 95.45 % (GUM, JCGM"
        " 100:2008). What both weighings of a difference share has cancelled in its U.",
        "Conformance is the probability that the true difference is within the promise (JCGM"
        " 106:2012).",
    )


def _note(heading: str, *texts: str) -> list[Any]:
    return [
        ink.para(heading, ink.NOTE_HEADING),
        *(ink.para(text, ink.NOTE) for text in texts),
    ]
