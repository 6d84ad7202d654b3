"""One signature over the whole paper, after which nothing may be added."""

from __future__ import annotations

from datetime import UTC, datetime
from io import BytesIO
from typing import Any

from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign.fields import MDPPerm, SigFieldSpec, SigSeedSubFilter
from pyhanko.sign.signers import PdfSignatureMetadata, PdfSigner

from records.documents.signing.outside_loop import finish
from records.documents.signing.shop_key import ShopKey
from records.domain.errors import BadValue, Code, TarebookError

FIELD = "Release"


class _DatedSigner(PdfSigner):
    """A signer whose clock is given to it."""

    def __init__(self, *given: Any, signed_at: datetime, **named: Any) -> None:
        super().__init__(*given, **named)
        self._signed_at = signed_at

    def init_signing_session(self, *given: Any, **named: Any) -> Any:
        session = super().init_signing_session(*given, **named)
        session.system_time = self._signed_at
        return session


def sign_pdf(
    pdf_bytes: bytes,
    signer: ShopKey,
    *,
    reason: str,
    location: str,
    signed_at: datetime | None = None,
) -> bytes:
    """Return the paper with a PAdES B-B signature (ETSI EN 319 142-1) that certifies it whole.

    SHA-256, docMDP "no changes" (ISO 32000-1, 12.8.2.2), one invisible field. `signed_at` (aware)
    is the moment written into it; without one, the clock's. Errors: BadValue when the certificate
    is not valid then, or the bytes can't be signed.
    """
    moment = signed_at or datetime.now(UTC)
    if moment.tzinfo is None:
        raise BadValue(Code.BAD_VALUE, "expected a moment with its zone", field="signed_at")
    signer.check_valid_at(moment)
    meta = PdfSignatureMetadata(
        field_name=FIELD,
        md_algorithm="sha256",
        reason=reason,
        location=location,
        subfilter=SigSeedSubFilter.PADES,
        certify=True,
        docmdp_permissions=MDPPerm.NO_CHANGES,
    )
    dated = _DatedSigner(
        meta, signer=signer, signed_at=moment, new_field_spec=SigFieldSpec(FIELD, box=None)
    )
    try:
        paper = IncrementalPdfFileWriter(BytesIO(pdf_bytes))
        return bytes(finish(dated.async_sign_pdf(paper)).getvalue())
    except TarebookError:
        raise
    except Exception as error:  # pyHanko's many errors end here
        raise BadValue(
            Code.NOT_RENDERED, f"the paper can't be signed: {type(error).__name__}: {error}"
        ) from error
