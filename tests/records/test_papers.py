"""A paper is accepted as it was issued, byte for byte, and in no other form."""

from __future__ import annotations

import hashlib
import re
import resource
import shutil
import subprocess
import time
import zlib
from datetime import UTC, datetime
from functools import partial
from io import BytesIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

from records.actions.certificates import issue_certificate
from records.actions.releases import change_certificate_state
from records.documents.signing.apart import examine_apart
from records.documents.signing.examine import examine_pdf
from records.documents.signing.sign import sign_pdf
from records.management.demo.numbers import RUTH
from records.models import Certificate
from records.queries import papers
from records.queries.papers import PaperVerdict, verify_paper
from records.shop_keys import shop_signer, trusted_roots
from tests.records.keeper import insider
from tests.records.small_engine import release

UNKNOWN = "no certificate with this SHA-256 was ever issued here"


@pytest.fixture
def paper(ready: None) -> Certificate:
    return issue_certificate(release=release().pk)


@pytest.fixture
def pdf(paper: Certificate) -> bytes:
    return bytes(paper.pdf)


def _byte_range(pdf: bytes) -> tuple[int, int, int, int]:
    """Return the two stretches that the signature covers (ISO 32000-1, 12.8.1)."""
    found = re.search(rb"/ByteRange \[(\d+) (\d+) (\d+) (\d+)\]", pdf)
    assert found is not None
    one, two, three, four = map(int, found.groups())
    assert one == 0 and three + four == len(pdf)
    return one, two, three, four


def _changed(pdf: bytes, at: int) -> bytes:
    raw = bytearray(pdf)
    raw[at] ^= 0x01
    return bytes(raw)


def _with_padding_changed(pdf: bytes) -> bytes:
    """Change a digit of the zeros that fill up the hex text of the signature itself."""
    _, first, second, _ = _byte_range(pdf)
    at = second - 3  # before the closing bracket
    assert pdf[first : first + 1] == b"<" and pdf[at - 40 : at + 2] == b"0" * 42
    return pdf[:at] + b"1" + pdf[at + 1 :]


def _with_increment(pdf: bytes) -> bytes:
    """Append a revision that paints over the first page (ISO 32000-1, 7.5.6)."""
    writer = IncrementalPdfFileWriter(BytesIO(pdf))
    paint = generic.StreamObject(stream_data=b"1 g 0 0 600 850 re f")
    writer.add_stream_to_page(0, writer.add_object(paint))  # type: ignore[no-untyped-call]
    out = BytesIO()
    writer.write(out)  # type: ignore[no-untyped-call]
    return out.getvalue()


def _signed_again(paper: Certificate) -> bytes:
    """Sign the same paper once more with the shop's own key; nobody enters it."""
    pdf = bytes(paper.pdf)
    unsigned = pdf[: pdf.index(b"%%EOF") + len(b"%%EOF\n")]
    signer = shop_signer(
        shop_name="Ferrow Lane Balancing", demo=True, valid_from=paper.release.released_at
    )
    return sign_pdf(
        unsigned, signer, reason="on the side", location="", signed_at=datetime.now(UTC)
    )


def _bomb() -> bytes:
    """Return a small file whose cross-reference stream unpacks to 3 GB."""
    squeezer = zlib.compressobj(9)
    # after a full flush the compressor knows nothing of before, so that its output can be repeated
    piece = squeezer.compress(b"\0" * 10_000_000) + squeezer.flush(zlib.Z_FULL_FLUSH)
    packed = piece[:2] + piece[2:] * 300 + b"\x03\x00"
    head = b"%PDF-1.7\n"
    stream = (
        b"1 0 obj\n<< /Type /XRef /Size 100000000 /W [1 4 2] /Root 2 0 R /Filter /FlateDecode"
        b" /Length %d >>\nstream\n" % len(packed)
    )
    return head + stream + packed + b"\nendstream\nendobj\nstartxref\n%d\n%%%%EOF\n" % len(head)


def _most_memory_kb() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def _refused(raw: bytes) -> PaperVerdict:
    verdict = verify_paper(raw)
    assert not verdict.accepted
    assert verdict.problems
    assert verdict.sha256 == hashlib.sha256(raw).hexdigest()
    return verdict


class TestAccepted:
    def test_the_paper_as_it_was_issued(self, paper: Certificate, pdf: bytes) -> None:
        verdict = verify_paper(pdf)
        assert verdict.accepted
        assert verdict.problems == ()
        assert verdict.signed_by_us
        assert verdict.sha256 == paper.pdf_sha256
        assert "Ferrow Lane Balancing" in verdict.signer
        known = verdict.known
        assert known is not None
        assert (known.number, known.revision) == (paper.release.certificate_number, 1)
        assert (known.state, known.demo) == ("genuine", True)

    def test_a_withdrawn_paper_is_genuine_and_said_to_be_withdrawn(
        self, paper: Certificate, pdf: bytes
    ) -> None:
        change_certificate_state(
            by=RUTH,
            certificate=paper.release.certificate_number,
            revision=1,
            state="withdrawn",
            reason="the scale was found wrong",
        )
        verdict = verify_paper(pdf)
        assert verdict.accepted
        assert verdict.known is not None and verdict.known.state == "withdrawn"

    def test_a_known_file_needs_no_process_of_its_own(
        self, pdf: bytes, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def never(*_: object, **__: object) -> None:
            raise AssertionError("a known file was examined apart")

        monkeypatch.setattr(papers, "examine_apart", never)
        assert verify_paper(pdf).accepted

    def test_the_command_says_so(
        self, pdf: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        file = tmp_path / "paper.pdf"
        file.write_bytes(pdf)
        call_command("verify-certificate", str(file))
        assert "accepted: certificate C" in capsys.readouterr().out


class TestRefused:
    @pytest.mark.parametrize("stretch", ["before the signature", "after the signature"])
    def test_one_byte_changed_that_the_signature_covers(self, pdf: bytes, stretch: str) -> None:
        _, first, second, length = _byte_range(pdf)
        at = first // 2 if stretch.startswith("before") else second + length // 2
        verdict = _refused(_changed(pdf, at))
        assert not verdict.signed_by_us
        assert verdict.known is None

    def test_a_byte_that_no_signature_covers_is_caught_by_the_hash(self, pdf: bytes) -> None:
        padded = _with_padding_changed(pdf)
        # the signature alone can't tell: this is why the ledger is asked for the file's hash
        assert examine_pdf(padded, trusted_roots()).ok
        verdict = _refused(padded)
        assert verdict.signed_by_us
        assert verdict.problems == (
            "the signature is ours, but this file was never entered as issued",
        )

    def test_a_revision_appended_to_it(self, pdf: bytes) -> None:
        verdict = _refused(_with_increment(pdf))
        assert not verdict.signed_by_us
        assert verdict.problems[-1] == UNKNOWN

    def test_a_paper_signed_by_our_key_but_never_entered(self, paper: Certificate) -> None:
        raw = _signed_again(paper)
        assert examine_pdf(raw, trusted_roots()).ok
        verdict = _refused(raw)
        assert verdict.signed_by_us
        assert "never entered" in verdict.problems[0]

    @pytest.mark.parametrize(
        "raw", [b"", b"garbage", b"%PDF-1.7\n", b"%PDF-1.7\n" + bytes(range(256)) * 40]
    )
    def test_what_is_no_paper(self, paper: Certificate, raw: bytes) -> None:
        assert _refused(raw).problems[-1] == UNKNOWN

    def test_half_a_paper(self, pdf: bytes) -> None:
        _refused(pdf[: len(pdf) // 2])

    def test_a_file_too_large_is_not_read(
        self, paper: Certificate, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def never(*_: object, **__: object) -> None:
            raise AssertionError("it was parsed")

        monkeypatch.setattr("records.documents.signing.apart.subprocess.run", never)
        verdict = _refused(b"%PDF-1.7\n" + b"\0" * papers.LARGEST_BYTES)
        assert verdict.problems[0].startswith(f"expected at most {papers.LARGEST_BYTES} bytes")

    def test_a_small_file_that_unpacks_to_gigabytes(
        self, paper: Certificate, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(papers, "examine_apart", partial(examine_apart, seconds=2))
        raw = _bomb()
        assert len(raw) < papers.LARGEST_BYTES
        before_kb, began = _most_memory_kb(), time.monotonic()
        _refused(raw)
        assert time.monotonic() - began < 15
        assert _most_memory_kb() - before_kb < 100_000  # none of it was unpacked in this process

    def test_the_command_fails_and_says_why(self, pdf: bytes, tmp_path: Path) -> None:
        file = tmp_path / "paper.pdf"
        file.write_bytes(_changed(pdf, len(pdf) // 3))
        with pytest.raises(CommandError, match="not accepted"):
            call_command("verify-certificate", str(file))


class TestTheRecordIsAskedToo:
    def test_a_row_slipped_in_without_an_entry_makes_no_paper_genuine(
        self, paper: Certificate
    ) -> None:
        """The hash in the table was changed to fit a forged file; the ledger's was not."""
        forged = _signed_again(paper)
        insider(
            "UPDATE records_certificate SET pdf_sha256 = %s WHERE id = %s",
            hashlib.sha256(forged).hexdigest(),
            paper.pk,
        )
        verdict = _refused(forged)
        assert verdict.problems == ("expected the file's SHA-256 in the ledger, got another there",)

    def test_without_a_root_nothing_is_accepted(
        self, pdf: bytes, settings: object, tmp_path: Path
    ) -> None:
        settings.TAREBOOK_KEYS_FOLDER = str(tmp_path / "none")  # type: ignore[attr-defined]
        assert "root certificate" in _refused(pdf).problems[0]


@pytest.mark.paper
class TestPdfsigSaysTheSame:
    """pdfsig of poppler-utils, a verifier that is not ours, with our root in its trust store."""

    @pytest.fixture
    def nss(self, paper: Certificate, tmp_path: Path) -> Path:
        folder = tmp_path / "nss"
        folder.mkdir()
        root = tmp_path / "root.pem"
        root.write_bytes(trusted_roots()[0])
        certutil = shutil.which("certutil")
        assert certutil is not None, "apt-get install libnss3-tools"
        store = f"sql:{folder}"
        subprocess.run([certutil, "-N", "-d", store, "--empty-password"], check=True)
        trust = [certutil, "-A", "-d", store, "-n", "shop", "-t", "C,C,C", "-i", str(root)]
        subprocess.run(trust, check=True)
        return folder

    def _told(self, raw: bytes, nss: Path) -> str:
        file = nss.parent / "paper.pdf"
        file.write_bytes(raw)
        asked = ["pdfsig", "-nssdir", f"sql:{nss}", str(file)]
        done = subprocess.run(asked, capture_output=True, text=True, check=False)
        return done.stdout + done.stderr

    def test_of_the_paper_as_issued(self, pdf: bytes, nss: Path) -> None:
        told = self._told(pdf, nss)
        assert "Signature is Valid." in told
        assert "Certificate is Trusted." in told
        assert "Total document signed" in told

    def test_of_one_byte_changed_that_the_signature_covers(self, pdf: bytes, nss: Path) -> None:
        _, first, _, _ = _byte_range(pdf)
        changed = _changed(pdf, first // 2)
        told = self._told(changed, nss)
        assert "Digest Mismatch" in told
        assert not examine_pdf(changed, trusted_roots()).ok
        _refused(changed)

    def test_of_a_revision_appended(self, pdf: bytes, nss: Path) -> None:
        told = self._told(_with_increment(pdf), nss)
        assert "Total document signed" not in told
