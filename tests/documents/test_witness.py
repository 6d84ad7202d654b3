"""A paper carries its entry, the proof and the log's key, and prints the head that it saw."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from records.documents.attached import FACTS_FILE, WITNESS_FILES, LedgerWitness
from records.documents.layout.certificate import render_certificate
from records.documents.signing.apart import examine_apart
from records.documents.signing.examine import examine_pdf
from records.documents.signing.sign import sign_pdf
from records.domain.proof.checkpoint import Checkpoint
from tests.documents.conftest import SIGNED_AT, Signed, new_ca
from tests.documents.sample import NAMES, VERIFY_URL, sample_bytes, sample_facts, sample_ledger

HEAD = Checkpoint("ferrow-lane.example/log", 4711, bytes(range(32)))
KEY = "ferrow-lane.example/log+583312a5+AVY+k90mulVqYV/u/HSKOO4d1lMbBbYvgATL3MxOM3YT"
WITNESS = LedgerWitness(b'{"seq":187}', b"c2sp.org/tlog-proof@v1\n", 4699, HEAD, KEY)


def _rendered(witness: LedgerWitness | None) -> bytes:
    facts = sample_facts()
    raw = sample_bytes(facts)
    return render_certificate(
        facts,
        facts_bytes=raw,
        ledger=sample_ledger(raw),
        names=NAMES,
        verify_url=VERIFY_URL,
        witness=witness,
    )


@pytest.fixture(scope="module")
def paper() -> bytes:
    return _rendered(WITNESS)


def test_the_same_arguments_give_the_same_bytes(paper: bytes) -> None:
    assert _rendered(WITNESS) == paper


def test_another_reader_finds_the_files_as_they_were_given(paper: bytes) -> None:
    found = {name: data[0] for name, data in PdfReader(BytesIO(paper)).attachments.items()}
    assert found == {FACTS_FILE: sample_bytes(sample_facts()), **WITNESS.files()}


def test_the_head_the_key_and_the_leaf_are_printed(paper: bytes) -> None:
    last = "".join(page.extract_text() for page in PdfReader(BytesIO(paper)).pages)
    told = "".join(last.split())
    for words in (HEAD.origin, "4711entries", HEAD.root.hex(), KEY, "isleaf4699underthisroot"):
        assert words in told


def test_without_a_witness_nothing_of_it_is_there() -> None:
    reader = PdfReader(BytesIO(_rendered(None)))
    assert list(reader.attachments) == [FACTS_FILE]
    assert "public key" not in reader.pages[-1].extract_text()


def test_the_examination_gives_the_files_of_a_paper_of_ours(
    paper: bytes, signed: Signed, tmp_path: Path
) -> None:
    pdf = sign_pdf(paper, signed.key, reason="", location="", signed_at=SIGNED_AT)
    for examine in (examine_pdf, examine_apart):
        seen = examine(pdf, signed.roots)
        assert seen.ok, seen.problems
        assert seen.witness_files == WITNESS.files()
    # a stranger's attachment is never unpacked
    strangers = new_ca(tmp_path / "keys").root_certificate.read_bytes()
    assert examine_pdf(pdf, [strangers]).witness_files == {}
    assert set(WITNESS.files()) == set(WITNESS_FILES)
