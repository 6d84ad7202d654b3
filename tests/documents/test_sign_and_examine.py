"""A signed paper is accepted as it is, and in no other form."""

from __future__ import annotations

import asyncio
import hashlib
import json
import re
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign.fields import MDPPerm, SigSeedSubFilter
from pyhanko.sign.signers import PdfSignatureMetadata, PdfSigner
from pypdf import PdfWriter

from records.documents.signing import examine
from records.documents.signing.apart import examine_apart
from records.documents.signing.examine import examine_pdf
from records.documents.signing.shop_key import load_shop_key
from records.documents.signing.sign import sign_pdf
from records.domain.errors import BadValue
from tests.documents.conftest import SIGNED_AT, Signed, new_ca

FLIPS = json.loads((Path(__file__).parent.parent / "data" / "paper_flips.json").read_text())


def byte_range(pdf: bytes) -> list[int]:
    found = re.search(rb"/ByteRange \[([0-9 ]+)\]", pdf)
    assert found is not None
    return [int(number) for number in found[1].split()]


def flipped(pdf: bytes, share: float) -> bytes:
    """Flip one bit inside what the signature covers."""
    _, first, second, length = byte_range(pdf)
    at = int(share * len(pdf))
    assert at < first or second <= at < second + length
    changed = bytearray(pdf)
    changed[at] ^= 0x01
    return bytes(changed)


def with_increment(pdf: bytes) -> bytes:
    """Append a revision that paints over the first page."""
    writer = IncrementalPdfFileWriter(BytesIO(pdf))
    paint = generic.StreamObject(stream_data=b"1 g 0 0 600 850 re f")
    writer.add_stream_to_page(0, writer.add_object(paint))  # type: ignore[no-untyped-call]
    out = BytesIO()
    writer.write(out)  # type: ignore[no-untyped-call]
    return out.getvalue()


def signed_otherwise(pdf: bytes, signed: Signed, field: str, **more: Any) -> bytes:
    meta = PdfSignatureMetadata(
        field_name=field, md_algorithm="sha256", subfilter=SigSeedSubFilter.PADES, **more
    )
    out = PdfSigner(meta, signer=signed.key).sign_pdf(IncrementalPdfFileWriter(BytesIO(pdf)))
    return bytes(out.getvalue())


class TestAcceptance:
    def test_a_paper_as_it_was_signed(self, signed: Signed) -> None:
        found = examine_pdf(signed.pdf, signed.roots)
        assert found.ok
        assert found.problems == ()
        assert (found.intact, found.trusted, found.covers_all, found.no_changes) == (True,) * 4
        assert found.signatures == 1
        assert found.signed_at == SIGNED_AT
        assert found.sha256 == hashlib.sha256(signed.pdf).hexdigest()
        assert found.facts_bytes == signed.facts_bytes
        assert "demo key, not for use" in found.signer

    def test_in_a_process_of_its_own_it_is_the_same(self, signed: Signed) -> None:
        assert examine_apart(signed.pdf, signed.roots) == examine_pdf(signed.pdf, signed.roots)

    def test_a_root_in_der_does_as_well(self, signed: Signed) -> None:
        root = x509.load_pem_x509_certificate(signed.roots[0])
        assert examine_pdf(signed.pdf, [root.public_bytes(Encoding.DER)]).ok

    def test_signing_works_while_a_loop_is_running(self, unsigned: bytes, signed: Signed) -> None:
        async def sign() -> bytes:
            return sign_pdf(unsigned, signed.key, reason="", location="", signed_at=SIGNED_AT)

        assert examine_pdf(asyncio.run(sign()), signed.roots).ok

    def test_the_unsigned_paper_is_a_prefix_of_the_signed(
        self, unsigned: bytes, signed: Signed
    ) -> None:
        assert signed.pdf.startswith(unsigned)


class TestRefusal:
    @pytest.mark.parametrize("flip", FLIPS["flips"], ids=lambda flip: flip["name"])
    def test_one_flipped_bit(self, signed: Signed, flip: dict[str, Any]) -> None:
        found = examine_pdf(flipped(signed.pdf, flip["share"]), signed.roots)
        assert not found.ok
        assert found.problems

    def test_an_appended_revision(self, signed: Signed) -> None:
        found = examine_pdf(with_increment(signed.pdf), signed.roots)
        assert not found.ok
        assert not found.covers_all

    @pytest.mark.parametrize("tail", [b"\n", b"% a remark\n", b"\0" * 20])
    def test_bytes_after_the_end(self, signed: Signed, tail: bytes) -> None:
        assert not examine_pdf(signed.pdf + tail, signed.roots).ok

    def test_a_paper_cut_short(self, signed: Signed) -> None:
        assert not examine_pdf(signed.pdf[:-100], signed.roots).ok

    def test_two_signatures(self, unsigned: bytes, signed: Signed) -> None:
        once = signed_otherwise(unsigned, signed, "One")
        found = examine_pdf(signed_otherwise(once, signed, "Two"), signed.roots)
        assert not found.ok
        assert found.problems == ("expected exactly one signature, got 2",)

    def test_a_signature_that_allows_forms_to_be_filled(
        self, unsigned: bytes, signed: Signed
    ) -> None:
        loose = signed_otherwise(
            unsigned, signed, "One", certify=True, docmdp_permissions=MDPPerm.FILL_FORMS
        )
        found = examine_pdf(loose, signed.roots)
        assert found.intact and not found.no_changes and not found.ok

    def test_a_signature_that_does_not_certify(self, unsigned: bytes, signed: Signed) -> None:
        found = examine_pdf(signed_otherwise(unsigned, signed, "One"), signed.roots)
        assert not found.no_changes and not found.ok

    def test_a_signer_of_another_authority(
        self, unsigned: bytes, signed: Signed, tmp_path: Path
    ) -> None:
        other = new_ca(tmp_path / "keys")  # the same names, another key
        key = load_shop_key(other.signing_key, other.passphrase_file)
        pdf = sign_pdf(unsigned, key, reason="", location="", signed_at=SIGNED_AT)
        found = examine_pdf(pdf, signed.roots)
        assert found.intact and not found.trusted and not found.ok

    def test_no_root_is_trusted(self, signed: Signed) -> None:
        assert not examine_pdf(signed.pdf, []).ok

    def test_an_unsigned_paper(self, unsigned: bytes, signed: Signed) -> None:
        found = examine_pdf(unsigned, signed.roots)
        assert found.problems == ("expected exactly one signature, got 0",)

    def test_a_signed_pdf_without_our_facts(self, signed: Signed) -> None:
        blank, writer = BytesIO(), PdfWriter()
        writer.add_blank_page(200, 200)
        writer.write(blank)
        pdf = sign_pdf(blank.getvalue(), signed.key, reason="", location="", signed_at=SIGNED_AT)
        found = examine_pdf(pdf, signed.roots)
        assert found.intact and found.facts_bytes is None and not found.ok

    @pytest.mark.parametrize("raw", [b"", b"%PDF-1.4", b"\0" * 1000, b"not a paper"])
    def test_what_is_no_pdf(self, signed: Signed, raw: bytes) -> None:
        found = examine_pdf(raw, signed.roots)
        assert not found.ok and found.problems
        assert not found.intact and not found.trusted

    def test_a_root_that_is_no_certificate(self, signed: Signed) -> None:
        assert not examine_pdf(signed.pdf, [b"not a certificate"]).ok

    def test_a_file_above_the_size_limit_is_not_read(self, signed: Signed) -> None:
        found = examine_pdf(signed.pdf, signed.roots, largest=1000)
        assert found.problems == (f"expected at most 1000 bytes, got {len(signed.pdf)}",)
        assert examine_apart(signed.pdf, signed.roots, largest=1000) == found

    def test_an_examination_that_takes_too_much_is_not_ok(self, signed: Signed) -> None:
        found = examine_apart(signed.pdf, signed.roots, seconds=0)
        assert not found.ok and "could not be examined in 0 s" in found.problems[0]
        found = examine_apart(signed.pdf, signed.roots, memory=60_000_000)
        assert not found.ok and found.problems

    def test_a_strangers_attachment_is_not_unpacked(
        self, signed: Signed, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        unpacked: list[bool] = []

        def note(_reader: object) -> tuple[None, tuple[str, ...]]:
            unpacked.append(True)
            return None, ()

        monkeypatch.setattr(examine, "_facts", note)
        assert not examine_pdf(signed.pdf, []).ok
        assert unpacked == []
        examine_pdf(signed.pdf, signed.roots)
        assert unpacked == [True]

    def test_it_refuses_to_sign_what_is_no_pdf(self, signed: Signed) -> None:
        with pytest.raises(BadValue, match="can't be signed"):
            sign_pdf(b"not a paper", signed.key, reason="", location="", signed_at=SIGNED_AT)
