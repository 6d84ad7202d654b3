"""`manage.py verify` holds papers, heads and receipts kept elsewhere against today's record."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from records import ledger
from records.actions.certificates import issue_certificate
from records.actions.checkpoints import make_checkpoint
from records.documents.attached import ENTRY_FILE, KEY_FILE, PROOF_FILE
from records.documents.layout.certificate import render_certificate
from records.documents.signing.examine import examine_pdf
from records.domain.proof.note import read_key
from records.domain.proof.tlog_proof import check_tlog_proof
from records.models import Certificate
from records.queries.verification import Kind, verify_record
from records.queries.witnesses import (
    checkpoint_outside,
    folder_outside,
    paper_outside,
    receipts_outside,
)
from records.shop_keys import trusted_roots
from tests.records.filled_log import BUILD, enter, keys_apart
from tests.records.small_engine import release


@pytest.fixture(autouse=True)
def folder(settings: Any, tmp_path: Path) -> Path:
    keys_apart(settings, tmp_path)
    return tmp_path


@pytest.fixture
def paper(ready: None) -> Certificate:
    return issue_certificate(release=release().pk)


def _verify(*words: object) -> tuple[int, str]:
    out = io.StringIO()
    try:
        call_command("verify", *map(str, words), stdout=out)
    except SystemExit as left:
        return int(left.code or 0), out.getvalue()
    return 0, out.getvalue()


class TestAPaper:
    def test_it_carries_its_entry_the_proof_and_the_key(self, paper: Certificate) -> None:
        files = examine_pdf(bytes(paper.pdf), trusted_roots()).witness_files
        entry = ledger.entry_naming(paper.release)
        assert files[ENTRY_FILE] == entry.raw
        key = read_key(files[KEY_FILE].decode().strip())
        head = check_tlog_proof(files[PROOF_FILE], entry.raw, [key])
        assert head.size > entry.receipt.seq

    def test_rendered_again_later_its_bytes_are_the_same(
        self, paper: Certificate, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        rendered: list[bytes] = []

        def render(*given: Any, **named: Any) -> bytes:
            rendered.append(render_certificate(*given, **named))
            return rendered[-1]

        from records.actions import certificates
        from records.actions.clock import SYSTEM

        monkeypatch.setattr(certificates, "render_certificate", render)
        for _ in range(2):
            certificates._signed(paper.release, SYSTEM)
            enter(BUILD, 3)
            make_checkpoint()
        assert rendered[0] == rendered[1]

    def test_todays_log_extends_what_it_saw(self, paper: Certificate, tmp_path: Path) -> None:
        enter(BUILD, 5)
        file = tmp_path / "paper.pdf"
        file.write_bytes(bytes(paper.pdf))
        code, told = _verify("--paper", file)
        assert code == 0, told
        assert "From outside: 1 heads, 1 receipts." in told

    def test_no_paper_of_ours_is_no_witness(self, paper: Certificate, tmp_path: Path) -> None:
        file = tmp_path / "paper.pdf"
        file.write_bytes(bytes(paper.pdf)[:-1])
        code, told = _verify("--paper", file)
        assert code == 1
        assert "what was kept outside can't be used (1), the first: " in told

    def test_one_that_was_never_entered_is_told(self, paper: Certificate) -> None:
        pdf = bytes(paper.pdf)
        outside = paper_outside("paper.pdf", pdf.replace(b"\n%%EOF\n", b"\n%%EOF\n "))
        assert outside.amiss

    def test_a_paper_from_before_the_log_is_said_to_carry_no_head(
        self, ready: None, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr("records.actions.certificates._witness", lambda *_: None)
        paper = issue_certificate(release=release().pk)
        (amiss,) = paper_outside("paper.pdf", bytes(paper.pdf)).amiss
        assert "a paper that carries no head" in str(amiss)


class TestAHead:
    def test_one_kept_as_a_file_is_extended(self, db: None, tmp_path: Path) -> None:
        enter(BUILD, 3)
        file = tmp_path / "kept.checkpoint"
        out = io.StringIO()
        call_command("checkpoint", out=file, stdout=out)
        assert "it lies in the database only" in out.getvalue()
        enter(BUILD, 2)
        make_checkpoint()
        assert _verify("--checkpoint", file)[0] == 0

    def test_one_of_another_log_is_found(self, db: None, settings: Any, tmp_path: Path) -> None:
        enter(BUILD, 3)
        make_checkpoint()
        from records.domain.proof.checkpoint import Checkpoint
        from records.log_keys import log_signer

        signer = log_signer(demo=False)
        forged = signer.sign(Checkpoint(signer.name, 2, b"\x07" * 32).text())
        result = verify_record(None, [checkpoint_outside("kept", forged)])
        assert set(result.counts) == {Kind.OUTSIDE_DIFFERS}
        assert str(result.firsts[Kind.OUTSIDE_DIFFERS]).startswith("kept, 2 entries: expected 0707")

    def test_one_of_a_longer_log_is_found(self, db: None) -> None:
        enter(BUILD, 3)
        from records.domain.proof.checkpoint import Checkpoint
        from records.log_keys import log_signer

        signer = log_signer(demo=False)
        later = signer.sign(Checkpoint(signer.name, 9, b"\x07" * 32).text())
        result = verify_record(None, [checkpoint_outside("kept", later)])
        assert "a log of 0 entries" in str(result.firsts[Kind.OUTSIDE_DIFFERS])

    @pytest.mark.parametrize("note", [b"", b"words\n\n\xe2\x80\x94 a AAAA\n", b"\xff"])
    def test_one_that_can_not_be_read_is_found(self, db: None, note: bytes) -> None:
        result = verify_record(None, [checkpoint_outside("kept", note)])
        assert set(result.counts) == {Kind.OUTSIDE_UNREADABLE}

    def test_the_folder_is_read_each_time(self, db: None, settings: Any, tmp_path: Path) -> None:
        settings.TAREBOOK_ANCHOR_FOLDER = str(tmp_path / "outside")
        for _ in range(3):
            enter(BUILD, 1)
            make_checkpoint()
        code, told = _verify()
        assert code == 0
        assert "From outside: 3 heads, 0 receipts." in told
        file = next((tmp_path / "outside").glob("000000000002-*"))
        file.chmod(0o600)
        file.write_bytes(file.read_bytes().replace(b"\n2\n", b"\n1\n"))
        assert [bool(outside.amiss) for outside in folder_outside()] == [False, True, False]

    def test_a_file_that_is_not_there_is_said(self, db: None, tmp_path: Path) -> None:
        with pytest.raises(CommandError, match="No such file"):
            _verify("--checkpoint", tmp_path / "none")


class TestReceipts:
    def test_those_of_entries_that_stand_are_found(self, db: None, tmp_path: Path) -> None:
        held = enter(BUILD, 3)
        lines = [
            json.dumps({"stream": one.stream, "seq": one.seq, "hash": one.hash}) for one in held
        ]
        lines[1] = json.dumps({"id": 7, "receipt": json.loads(lines[1])})
        file = tmp_path / "receipts.jsonl"
        file.write_text("\n".join(lines) + "\n\n")
        code, told = _verify("--receipts", file)
        assert (code, "3 receipts." in told) == (0, True), told

    def test_one_of_an_entry_that_is_gone_is_told(self, db: None) -> None:
        enter(BUILD, 1)
        line = json.dumps({"stream": BUILD, "seq": 2, "hash": "0" * 64}).encode()
        result = verify_record(None, [receipts_outside("r", line)])
        assert str(result.firsts[Kind.RECEIPT_DIFFERS]) == (
            f"{BUILD} 2, by r, line 1: expected {'0' * 64}, got no entry"
        )

    @pytest.mark.parametrize("line", ["words", "[]", '{"stream": 1}', '{"receipt": {}}', "\x00"])
    def test_a_line_that_is_none_is_told(self, line: str) -> None:
        (amiss,) = receipts_outside("r", line.encode()).amiss
        assert amiss.where == "r, line 1"
