"""What a stranger is told of a paper in their hands, without an account and without a name."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from cryptography import x509

from records.documents.signing.apart import examine_apart
from records.documents.signing.examine import PaperExamination
from records.domain.errors import TarebookError
from records.models import Certificate
from records.queries.certificates import PublicState, public_by_sha256
from records.queries.papers import LARGEST_BYTES
from records.shop_keys import trusted_roots

__all__ = ["LARGEST_BYTES", "PublicAnswer", "check_file"]

CHANGED, UNKNOWN = "changed", "unknown"


@dataclass(frozen=True, slots=True)
class PublicAnswer:
    """What a file is: genuine, replaced, withdrawn, in doubt, changed or unknown; and why so.

    `known` is None for a file that was never issued here.
    """

    state: str
    sha256: str
    known: PublicState | None
    why: tuple[str, ...] = ()


def check_file(pdf: bytes) -> PublicAnswer:
    """Look a file up by its SHA-256; only an unknown one is examined, apart and in bounds.

    Never raises. A file that names our signer and does not hold is changed: ours with a difference,
    or one that pretends to be ours. Any other unknown one is unknown.
    """
    sha256 = hashlib.sha256(pdf).hexdigest()
    known = public_by_sha256(sha256)
    if known is not None:
        return PublicAnswer(known.state, sha256, known)
    try:
        seen = examine_apart(pdf, trusted_roots(), largest=LARGEST_BYTES)
    except TarebookError as error:
        return PublicAnswer(UNKNOWN, sha256, None, (error.message,))
    return PublicAnswer(CHANGED if _was_ours(seen) else UNKNOWN, sha256, None, _why(seen))


def _was_ours(seen: PaperExamination) -> bool:
    """Tell whether a paper that doesn't hold names a signer that papers were issued under here."""
    issued = Certificate.objects.values_list("signer", flat=True).distinct()
    return not seen.ok and any(_names(seen.signer, signer) for signer in issued)


def _names(told: str, signer: str) -> bool:
    try:
        name = x509.Name.from_rfc4514_string(signer)
    except ValueError:
        return False
    return bool(told) and all(str(each.value) in told for each in name)


def _why(seen: PaperExamination) -> tuple[str, ...]:
    if seen.ok:
        return ("the signature is this shop's, but the file was never entered as issued",)
    return seen.problems
