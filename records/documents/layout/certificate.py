"""The certificate as paper: frozen facts in, the same bytes out every time."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from io import BytesIO
from threading import Lock
from typing import Any, Literal

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.platypus import NextPageTemplate

from records.documents.attached import FACTS_FILE, LedgerWitness
from records.documents.figures import lettering
from records.documents.layout import closing, evidence, work
from records.documents.layout.attachment import attach_files
from records.documents.layout.first_page import first_page
from records.documents.layout.notes import margin_notes
from records.documents.layout.page import LeaveFirstPage, Paper, counted_canvas
from records.domain.errors import BadValue, Code, TarebookError
from records.domain.practice.certificate import SCHEMA, CertificateFacts, LedgerPlace

SIZES = {"A4": A4, "Letter": LETTER}
# ReportLab keeps its fonts in globals, and papers printed in two threads at once came out unlike
_one_at_a_time = Lock()


def render_certificate(
    facts: CertificateFacts,
    *,
    facts_bytes: bytes,
    ledger: LedgerPlace,
    names: Mapping[str, str],
    verify_url: str,
    witness: LedgerWitness | None = None,
    paper: Literal["A4", "Letter"] = "A4",
    language: str = "en",
) -> bytes:
    """Print the frozen facts as an unsigned PDF with `facts_bytes` attached as facts.json.

    `facts_bytes`: canonical, their SHA-256 in the release entry; `names` by shop number, without
    erased ones; `witness`: what the paper carries of the ledger. Same arguments, same bytes.
    Errors: BadValue when the facts don't agree with their bytes or their hash, or can't be printed.
    """
    _check(facts, facts_bytes, ledger)
    out = BytesIO()
    try:
        with _one_at_a_time:
            lettering.load()
            sheet = Paper(
                out,
                facts,
                size=SIZES[paper],
                notes=margin_notes(facts, dict(names), verify_url, ledger),
                attach=lambda canvas: attach_files(canvas, _files(facts_bytes, witness)),
            )
            story = _story(facts, dict(names), sheet)
            story += closing.in_the_ledger(facts, ledger, sheet.full_width, witness)
            sheet.build(story, canvasmaker=counted_canvas(sheet, language))
    except TarebookError:
        raise
    except Exception as error:  # whatever ReportLab or a misshapen fact raises ends here
        raise BadValue(
            Code.NOT_RENDERED, f"the facts can't be printed: {type(error).__name__}: {error}"
        ) from error
    return out.getvalue()


def _files(facts_bytes: bytes, witness: LedgerWitness | None) -> dict[str, bytes]:
    return {FACTS_FILE: facts_bytes, **(witness.files() if witness else {})}


def _story(facts: CertificateFacts, names: dict[str, str], sheet: Paper) -> list[Any]:
    return [
        NextPageTemplate("later"),
        *first_page(facts, names, sheet.main_width),
        LeaveFirstPage(),
        *_evidence(facts, names, sheet.full_width),
        *closing.limits(facts),
    ]


def _evidence(facts: CertificateFacts, names: dict[str, str], width: float) -> list[Any]:
    return [
        *evidence.masses(facts, width),
        *evidence.scales(facts, width),
        *work.removals(facts, names, width),
        *work.checklist(facts, names, width),
        *work.findings(facts, names, width),
        *evidence.bob_weight(facts, width),
        *work.damper_and_seals(facts, width),
        *work.people(facts, names, width),
    ]


def _check(facts: CertificateFacts, facts_bytes: bytes, ledger: LedgerPlace) -> None:
    if facts.get("schema") != SCHEMA:
        raise BadValue(
            Code.NOT_RENDERED,
            f"expected facts of schema {SCHEMA}, got {facts.get('schema')!r}",
            field="schema",
        )
    found = hashlib.sha256(facts_bytes).hexdigest()
    if found != ledger["facts_sha256"]:
        raise BadValue(
            Code.NOT_RENDERED,
            f"expected facts with the SHA-256 that the release entry holds,"
            f" {ledger['facts_sha256']}, got {found}",
            field="facts_bytes",
        )
    try:
        same = json.loads(facts_bytes) == facts
    except ValueError:
        same = False
    if not same:
        raise BadValue(
            Code.NOT_RENDERED,
            "expected bytes that say the same as the facts, got others",
            field="facts_bytes",
        )
