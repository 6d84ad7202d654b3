"""Examine a signed paper. It fails closed: what can't be shown to be right is wrong.

Whether the file is the one that the shop issued is asked of the ledger, by its SHA-256; some bytes
of a signed PDF (the padding of the signature itself) are under no signature.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from io import BytesIO
from typing import Any

from asn1crypto import pem
from asn1crypto import x509 as asn1_x509
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.fields import MDPPerm
from pyhanko.sign.validation import async_validate_pdf_signature
from pyhanko.sign.validation.status import SignatureCoverageLevel
from pyhanko_certvalidator import ValidationContext

from records.documents.attached import FACTS_FILE, WITNESS_FILES
from records.documents.signing.outside_loop import finish
from records.domain.errors import Code, NotProven

LARGEST = 20_000_000
DEEPEST = 16
MOST_NAMES = 100


@dataclass(frozen=True)
class PaperExamination:
    """What a paper's signature shows; `problems` says in sentences what is amiss."""

    sha256: str
    intact: bool = False  # what the signature covers is as it was signed
    trusted: bool = False  # the signer's certificate leads to a root that we trust
    covers_all: bool = False  # from the first byte of the file to the last
    no_changes: bool = False  # docMDP forbids any addition
    signatures: int = 0
    signer: str = ""
    signed_at: datetime | None = None
    facts_bytes: bytes | None = field(default=None, repr=False)
    # what the paper carries of the ledger, by name; papers issued before there was a log have none
    witness_files: Mapping[str, bytes] = field(default_factory=dict, repr=False)
    problems: tuple[str, ...] = ()

    @property
    def ok(self) -> bool:
        """Whether everything holds, and nothing was found amiss."""
        holds = self.intact and self.trusted and self.covers_all and self.no_changes
        return holds and self.signatures == 1 and not self.problems


def examine_pdf(
    pdf_bytes: bytes, trusted_roots: Sequence[bytes], *, largest: int = LARGEST
) -> PaperExamination:
    """Examine a paper against trusted root certificates (PEM or DER); never raises.

    `largest` is the size in bytes above which a file is refused unread. The chain is judged at the
    moment that the signature itself claims. Conditions: ISO 32000-1, 12.8; EN 319 142-1.
    """
    sha256 = hashlib.sha256(pdf_bytes).hexdigest()
    if len(pdf_bytes) > largest:
        return PaperExamination(
            sha256, problems=(f"expected at most {largest} bytes, got {len(pdf_bytes)}",)
        )
    try:
        return _examine(sha256, pdf_bytes, trusted_roots)
    except Exception as error:  # a hostile file may raise anything; it is then not ok
        return PaperExamination(
            sha256, problems=(f"the file can't be read as a signed PDF: {_said(error)}",)
        )


def _examine(sha256: str, pdf_bytes: bytes, trusted_roots: Sequence[bytes]) -> PaperExamination:
    reader = PdfFileReader(BytesIO(pdf_bytes), strict=True)
    signatures = list(reader.embedded_signatures)
    if len(signatures) != 1:
        return PaperExamination(
            sha256,
            signatures=len(signatures),
            problems=(f"expected exactly one signature, got {len(signatures)}",),
        )
    signature = signatures[0]
    signed_at = signature.self_reported_timestamp
    status = finish(async_validate_pdf_signature(signature, _context(trusted_roots, signed_at)))
    # a stranger's attachment is never unpacked
    facts, amiss = _facts(reader) if status.bottom_line else (None, ())
    level = status.docmdp_ok and signature.docmdp_level == MDPPerm.NO_CHANGES
    found = {
        "the signature does not fit the file: it was changed": status.intact and status.valid,
        "the signer's certificate leads to no root that is trusted here": status.trusted,
        "the signature does not cover the whole file": (
            status.coverage == SignatureCoverageLevel.ENTIRE_FILE
        ),
        "expected a signature that forbids any change, got one that allows some": level,
        "the signature as a whole was not accepted": status.bottom_line,
        "the signature tells no moment of signing": signed_at is not None,
    }
    return PaperExamination(
        sha256,
        intact=bool(status.intact and status.valid),
        trusted=bool(status.trusted),
        covers_all=status.coverage == SignatureCoverageLevel.ENTIRE_FILE,
        no_changes=bool(level),
        signatures=1,
        signer=signature.signer_cert.subject.human_friendly,
        signed_at=signed_at,
        facts_bytes=facts,
        witness_files=_witness(reader) if status.bottom_line else {},
        problems=(*(words for words, holds in found.items() if not holds), *amiss),
    )


def _context(trusted_roots: Sequence[bytes], moment: datetime | None) -> ValidationContext:
    # hard-fail: a certificate that names a revocation list must be checked against it, and we fetch
    # nothing; the shop's own authority names none
    return ValidationContext(
        trust_roots=[_certificate(root) for root in trusted_roots],
        moment=moment,
        allow_fetching=False,
        crls=[],
        revocation_mode="hard-fail",
    )


def _certificate(root: bytes) -> Any:
    der = pem.unarmor(root)[2] if pem.detect(root) else root
    return asn1_x509.Certificate.load(der, strict=True)


def _facts(reader: PdfFileReader) -> tuple[bytes | None, tuple[str, ...]]:
    files = [spec for name, spec in _attached(reader) if name == FACTS_FILE]
    if len(files) != 1:
        return None, (f"expected one attached {FACTS_FILE}, got {len(files)}",)
    return bytes(files[0]["/EF"]["/F"].data), ()


def _witness(reader: PdfFileReader) -> dict[str, bytes]:
    files = [(name, spec) for name, spec in _attached(reader) if name in WITNESS_FILES]
    once = {name for name, _ in files if sum(name == other for other, _ in files) == 1}
    return {name: bytes(spec["/EF"]["/F"].data) for name, spec in files if name in once}


def _attached(reader: PdfFileReader) -> Iterator[tuple[str, Any]]:
    files = _at(_at(reader.root, "/Names", {}), "/EmbeddedFiles", {})
    yield from _leaves(files, DEEPEST)


def _leaves(node: Any, depth: int) -> Iterator[tuple[str, Any]]:
    """Walk a name tree (ISO 32000-1, 7.9.6), no deeper and no wider than a paper of ours needs."""
    if depth == 0:
        raise NotProven(Code.NOT_PROVEN, "a name tree deeper than any of ours")
    pairs, kids = _at(node, "/Names", []), _at(node, "/Kids", [])
    if len(pairs) + len(kids) > MOST_NAMES:
        raise NotProven(Code.NOT_PROVEN, "more attached files than any of ours has")
    for i in range(0, len(pairs) - 1, 2):
        yield str(pairs[i]), pairs[i + 1]
    for i in range(len(kids)):  # by index, which follows an indirect object; iterating does not
        yield from _leaves(kids[i], depth - 1)


def _at(node: Any, key: str, otherwise: Any) -> Any:
    if key not in node:
        return otherwise
    return node[key]  # `get` would hand out an indirect object as it is


def _said(error: Exception) -> str:
    return str(error) or type(error).__name__
