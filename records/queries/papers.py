"""A paper in somebody's hands: is it ours, unchanged, and what became of it?

Accepted only if its signature holds over the whole file with nothing added, leads to our root, and
the file's SHA-256 is the one that the ledger holds: some bytes of a signed file are under no
signature, so the hash is asked as well.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from records import ledger
from records.documents.signing.apart import examine_apart
from records.documents.signing.examine import PaperExamination, examine_pdf
from records.domain.errors import TarebookError
from records.models import Certificate
from records.queries.certificates import PublicState, public_by_sha256
from records.shop_keys import trusted_roots

LARGEST_BYTES = 5 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class PaperVerdict:
    """Whether a file is a certificate of ours as issued, what became of it, and what is amiss."""

    sha256: str
    known: PublicState | None
    signed_by_us: bool
    signer: str
    problems: tuple[str, ...]

    @property
    def accepted(self) -> bool:
        """Whether the file is genuine, byte for byte; its state is another question."""
        return self.known is not None and self.signed_by_us and not self.problems


def verify_paper(pdf: bytes) -> PaperVerdict:
    """Look a file up by its hash and examine its signature; never raises, fails closed."""
    try:
        return _verdict(pdf, public_by_sha256(hashlib.sha256(pdf).hexdigest()))
    except TarebookError as error:
        sha256 = hashlib.sha256(pdf).hexdigest()
        return PaperVerdict(sha256, None, False, "", (error.message,))


def _verdict(pdf: bytes, known: PublicState | None) -> PaperVerdict:
    # our own bytes are read here; a stranger's might be made to hurt whoever parses them
    examine = examine_apart if known is None else examine_pdf
    seen = examine(pdf, trusted_roots(), largest=LARGEST_BYTES)
    problems = list(seen.problems)
    if known is None:
        problems.append(_unknown(seen))
    elif not _entered(seen.sha256):
        problems.append("expected the file's SHA-256 in the ledger, got another there")
    return PaperVerdict(seen.sha256, known, seen.ok, seen.signer, tuple(problems))


def _unknown(seen: PaperExamination) -> str:
    if seen.ok:
        return "the signature is ours, but this file was never entered as issued"
    return "no certificate with this SHA-256 was ever issued here"


def _entered(sha256: str) -> bool:
    """Ask the ledger itself, not only the table, what was issued."""
    row = Certificate.objects.filter(pdf_sha256=sha256).first()
    if row is None:
        return False
    entry = ledger.entry_naming(row)
    return bool(entry.envelope.data.get("pdf_sha256") == sha256)
