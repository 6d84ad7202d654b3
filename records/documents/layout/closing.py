"""The end of the paper: its limits, its cautions, and where it stands in the ledger."""

from __future__ import annotations

from typing import Any

from records.documents import wording
from records.documents.attached import ENTRY_FILE, FACTS_FILE, PROOF_FILE, LedgerWitness
from records.documents.layout import ink
from records.documents.layout.notes import NEVER_SAFE
from records.documents.layout.page import section
from records.documents.layout.rows import facts_grid
from records.domain.practice.certificate import CertificateFacts, LedgerPlace

HOLDS = (
    "For the parts as they were at the last weighing named here; any later cut, exchange or damage"
    " is outside it."
)


def limits(facts: CertificateFacts) -> list[Any]:
    """Return what the certificate does not say, and the cautions that go with it."""
    return [
        *section("Limits of this statement, and cautions"),
        ink.led("What it is.", NEVER_SAFE),
        ink.led("Not covered:", f"{wording.listed(facts['not_covered'])}."),
        ink.led("When it holds.", HOLDS),
        *(ink.para(caution) for caution in facts["cautions"]),
    ]


def in_the_ledger(
    facts: CertificateFacts, ledger: LedgerPlace, width: float, witness: LedgerWitness | None
) -> list[Any]:
    """Return the place of the release in the ledger and the versions of the rules."""
    rules = "; ".join(f"{rule['name']}, version {rule['version']}" for rule in facts["versions"])
    return [
        *section("In the ledger"),
        facts_grid(
            [
                ("stream", ledger["stream"]),
                ("entry of the release", f"number {ledger['seq']}"),
                ("schema of the facts", str(facts["schema"])),
            ],
            width=width,
            across=3,
        ),
        facts_grid(
            [
                ("SHA-256 of the entry", ledger["hash"]),
                (f"SHA-256 of {FACTS_FILE}, inside this file", ledger["facts_sha256"]),
                *(_in_the_log(witness) if witness else ()),
                ("versions of the rules used", rules or wording.DASH),
            ],
            width=width,
            across=1,
        ),
    ]


def _in_the_log(witness: LedgerWitness) -> list[tuple[str, str]]:
    """Return the head of the log that this paper witnesses, and how to hold the shop to it."""
    head = witness.head
    return [
        ("the shop's log", f"{head.origin}, of {head.size} entries when this was issued"),
        ("its root then", head.root.hex()),
        ("its public key", witness.key),
        (
            "what it proves",
            f"{ENTRY_FILE} and {PROOF_FILE}, inside this file, show that the release is leaf"
            f" {witness.index} under this root, which the shop signed. A log of the shop that does"
            " not contain it was changed since.",
        ),
    ]
