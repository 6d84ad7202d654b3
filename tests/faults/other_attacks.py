"""The other attacks: on rows, papers and bundles; who notices them, and by which means.

Each does the deed on a released build and returns what the check said; an empty text means that
nobody noticed. The table in DEVELOPERS.md is made from here, as that of `attacks` is.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.db import IntegrityError, transaction
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

from records import ledger
from records.actions.certificates import issue_certificate
from records.actions.checkpoints import make_checkpoint
from records.actions.releases import release_build
from records.documents.signing.shop_ca import ensure_shop_ca
from records.documents.signing.shop_key import load_shop_key
from records.documents.signing.sign import sign_pdf
from records.domain.proof.envelope import Envelope
from records.domain.proof.verify import verify_bundle
from records.management.demo.numbers import RUTH
from records.models import Certificate, Release
from records.queries.differences import Verification
from records.queries.papers import verify_paper
from records.queries.verification import verify_record
from tests.domain.proof.bundle_faults import FAULTS
from tests.domain.proof.small_log import KEY, bundle_of, small_log
from tests.faults import insider
from tests.records.keeper import triggers_down
from tests.records.small_engine import TWIN

STREAM = f"build/{TWIN.build}"
VERIFY = "`manage.py verify`"
PAPER = "`manage.py verify-certificate`, the public check page"
OFFLINE = "`python -m records.domain.proof`"


@dataclass(frozen=True)
class OtherAttack:
    """What is done, who notices, by which means, and how that one begins to say so."""

    words: str
    who: str
    means: str
    says: str
    do: Callable[[Certificate], str]


def _told(result: Verification) -> str:
    return "; ".join(f"{first.kind}: {first}" for first, _ in result.told())


def _changed_row(paper: Certificate) -> str:
    with triggers_down():
        Release.objects.filter(pk=paper.release_id).update(no_seals_reason="none were asked for")
    return _told(verify_record())


def _seals_said_otherwise(envelope: Envelope) -> Envelope:
    rows = [dict(item, fields=dict(item["fields"])) for item in envelope.data["rows"]]
    for item in rows:
        if item["table"] == "records.release":
            item["fields"]["no_seals_reason"] = "none were asked for"
    return Envelope(**{**_keys(envelope), "data": {**envelope.data, "rows": rows}})


def _keys(envelope: Envelope) -> dict[str, Any]:
    return {name: getattr(envelope, name) for name in Envelope.__slots__}


def _changed_row_and_entry(paper: Certificate, *, rehash: bool = False) -> str:
    seq = ledger.receipt_of(paper.release).seq
    with triggers_down():
        Release.objects.filter(pk=paper.release_id).update(no_seals_reason="none were asked for")
        insider.edit(STREAM, seq, _seals_said_otherwise)
        if rehash:
            insider.rehash(STREAM)
            insider.relog()
    return _told(verify_record())


def _swapped_certificates(paper: Certificate) -> str:
    again = release_build(
        by=RUTH, build=TWIN.build, no_seals_reason="the owner seals it", replaces=True,
        seen_conditional=True,
    )  # fmt: skip
    second = issue_certificate(release=again.pk)
    with triggers_down():
        Certificate.objects.filter(pk=paper.pk).update(pdf=bytes(second.pdf))
        Certificate.objects.filter(pk=second.pk).update(pdf=bytes(paper.pdf))
    return _told(verify_record())


def _number_used_again(paper: Certificate) -> str:
    columns = Release.objects.filter(pk=paper.release_id).values().get()
    again = Release(**{**columns, "id": None, "build_id": columns["build_id"]})
    try:
        with triggers_down(), transaction.atomic():
            again.save()
    except IntegrityError as error:
        return f"{type(error).__name__}: {error}"
    return ""


def _paper_signed_by_another(paper: Certificate) -> str:
    pdf = bytes(paper.pdf)
    unsigned = pdf[: pdf.index(b"%%EOF") + len(b"%%EOF\n")]
    now = datetime.now(UTC)
    with TemporaryDirectory() as folder:
        ca = ensure_shop_ca(
            Path(folder) / "keys", shop_name="Ferrow Lane Balancing", demo=True, valid_from=now
        )
        key = load_shop_key(ca.signing_key, ca.passphrase_file)
        return _judged(sign_pdf(unsigned, key, reason="", location="", signed_at=now))


def _byte_changed(paper: Certificate) -> str:
    raw = bytearray(paper.pdf)
    raw[len(raw) // 3] ^= 1
    return _judged(bytes(raw))


def _increment(paper: Certificate) -> str:
    writer = IncrementalPdfFileWriter(BytesIO(bytes(paper.pdf)))
    paint = generic.StreamObject(stream_data=b"1 g 0 0 600 850 re f")
    writer.add_stream_to_page(0, writer.add_object(paint))  # type: ignore[no-untyped-call]
    return _judged(_written(writer))


def _attachment_swapped(paper: Certificate) -> str:
    writer = IncrementalPdfFileWriter(BytesIO(bytes(paper.pdf)))
    names = writer.root["/Names"]["/EmbeddedFiles"]["/Names"]
    file = names[1]["/EF"]
    file["/F"] = writer.add_object(generic.StreamObject(stream_data=b'{"other":"facts"}'))
    writer.update_container(file)
    return _judged(_written(writer))


def _written(writer: IncrementalPdfFileWriter) -> bytes:
    out = BytesIO()
    writer.write(out)  # type: ignore[no-untyped-call]
    return out.getvalue()


def _judged(pdf: bytes) -> str:
    verdict = verify_paper(pdf)
    return "" if verdict.accepted else "; ".join(verdict.problems)


def _bundle(fault: str) -> Callable[[Certificate], str]:
    def spoil(_: Certificate) -> str:
        log = small_log()
        return verify_bundle(FAULTS[fault](log, bundle_of(log)), [KEY]).refused

    return spoil


def _untrue_from_the_start(_: Certificate) -> str:
    """Enter, as the program itself would, what never was so."""
    with transaction.atomic():
        ledger.append(
            stream=STREAM, kind="note", actor="P-02", recorded_at=datetime.now(UTC),
            data={"note": "weighed 461.2 g, by nobody"},
        )  # fmt: skip
    make_checkpoint()
    return _told(verify_record())


ANYBODY = "whoever holds the bundle"
HOLDER = "whoever holds the file"
OTHER_ATTACKS: tuple[OtherAttack, ...] = (
    OtherAttack("a record's row changed", "the shop", f"{VERIFY}: the row against its entry",
                "row changed", _changed_row),
    OtherAttack("row and its entry changed alike", "the shop", f"{VERIFY}: the entry's hash",
                "chain broken", _changed_row_and_entry),
    OtherAttack("row and entry changed, stream re-hashed, log rewritten", "the shop",
                f"{VERIFY}: the signed checkpoints", "log does not extend a checkpoint",
                lambda paper: _changed_row_and_entry(paper, rehash=True)),
    OtherAttack("two certificates swapped in their table", "the shop",
                f"{VERIFY}: the SHA-256 of each file in its entry", "row changed",
                _swapped_certificates),
    OtherAttack("a certificate's number and revision used again", "the database",
                "refuses: the pair is unique", "IntegrityError", _number_used_again),
    OtherAttack("a paper signed by another key under the shop's name", HOLDER,
                f"{PAPER}: no way to the shop's root",
                "the signer's certificate leads to no root", _paper_signed_by_another),
    OtherAttack("PDF: one byte changed", HOLDER, f"{PAPER}: signature, and SHA-256 in the ledger",
                "the signature does not fit", _byte_changed),
    OtherAttack("PDF: an increment appended", HOLDER, f"{PAPER}: signed is less than all",
                "the signature does not cover the whole file", _increment),
    OtherAttack("PDF: its attachment swapped by an increment", HOLDER, f"{PAPER}: the same",
                "the signature does not cover the whole file", _attachment_swapped),
    OtherAttack("bundle: a wrong leaf, hash and head reckoned anew", ANYBODY,
                f"{OFFLINE}: inclusion in the signed root", "entry 5: expected the root",
                _bundle("wrong_leaf")),
    OtherAttack("bundle: an entry missing", ANYBODY, f"{OFFLINE}: numbers without a gap, links",
                "build/26-014, entry 3: expected entry 3", _bundle("middle_entry_missing")),
    OtherAttack("bundle: trailing bytes", ANYBODY, f"{OFFLINE}: the file written anew differs",
                "expected a ZIP as the format describes it",
                _bundle("trailing_bytes_behind_the_zip")),
    OtherAttack("bundle: swapped proofs", ANYBODY, f"{OFFLINE}: inclusion in the signed root",
                "build/26-014, entry 1: expected the root", _bundle("swapped_proofs")),
    OtherAttack("bundle: two heads for one stream", ANYBODY, f"{OFFLINE}: each stream once",
                "manifest.json: expected each stream once", _bundle("two_heads_for_one_stream")),
    OtherAttack("a false weighing, entered as a true one", "nobody here",
                "calibration, check weights, a second person", "", _untrue_from_the_start),
)  # fmt: skip
