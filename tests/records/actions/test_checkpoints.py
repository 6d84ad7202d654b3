"""Checkpoints: signed over committed leaves only, handed outside, and never over a changed log."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.core import mail
from django.db import connection

from records import anchors, log, outbox
from records.actions.checkpoints import (
    MAIL,
    change_log_key,
    checkpoint_at_server_start,
    make_checkpoint,
    proof_of,
)
from records.actions.clock import SetClock
from records.domain.errors import NotAllowed, NotProven
from records.domain.proof.tlog_proof import check_tlog_proof
from records.ledger import entries
from records.log_keys import known_log_keys, log_signer, open_known
from records.models import OutboxTask
from records.models.ledger import Entry, StreamHead
from records.models.log import Checkpoint, CheckpointAnchor, LogEntry
from records.queries.verification import verify_record
from tests.records.actions.bench import INES, MARTA, MONDAY, open_ferrow_lane
from tests.records.filled_log import BUILD, OTHER, enter, keys_apart
from tests.records.keeper import insider, triggers_down


@pytest.fixture(autouse=True)
def outside(settings: Any, tmp_path: Path) -> Path:
    keys_apart(settings, tmp_path)
    settings.TAREBOOK_ANCHOR_FOLDER = str(tmp_path / "outside")
    return tmp_path / "outside"


@pytest.fixture(autouse=True)
def _the_record_stands(db: None, outside: Path) -> Iterator[None]:
    """As in every test of an action, but while the keys of this test still lie there."""
    yield
    verification = verify_record()
    assert verification.stands, verification.firsts


class TestMaking:
    def test_an_empty_log_has_no_head(self) -> None:
        assert make_checkpoint() is None

    def test_it_signs_the_root_over_all_that_was_committed(self) -> None:
        enter(BUILD, 3)
        made = make_checkpoint()
        assert made is not None
        head = open_known(made.note)
        assert (head.size, head.root) == (3, log.Nodes().root(3))
        assert head.root.hex() == made.root

    def test_without_news_it_signs_nothing_more(self) -> None:
        enter(BUILD, 3)
        assert make_checkpoint() == make_checkpoint()
        assert Checkpoint.objects.count() == 1

    def test_what_is_signed_was_committed_before(self, monkeypatch: pytest.MonkeyPatch) -> None:
        order: list[str] = []
        taken, kept = log.take_up_entries, log.keep_checkpoint

        def take_up() -> int:
            order.append("taken up")
            return taken()

        def keep(**named: Any) -> log.KeptCheckpoint:
            order.append("signed")
            return kept(**named)

        monkeypatch.setattr(log, "take_up_entries", take_up)
        monkeypatch.setattr(log, "keep_checkpoint", keep)
        enter(BUILD, 1)
        make_checkpoint()
        assert order == ["taken up", "signed"]

    def test_the_demo_shop_signs_by_a_key_that_says_so(self, clock: SetClock) -> None:
        open_ferrow_lane(clock)
        made = make_checkpoint(clock=clock)
        assert made is not None
        assert made.made_at == clock.now()
        assert b"/demo-log\n" in made.note

    def test_at_server_start_what_is_in_the_way_is_only_logged(
        self, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
    ) -> None:
        monkeypatch.setattr(connection, "close", lambda: None)
        enter(BUILD, 1)
        checkpoint_at_server_start()
        assert Checkpoint.objects.count() == 1
        insider("UPDATE records_logentry SET leaf = 'ff'")
        with caplog.at_level(logging.WARNING, "tarebook.log"):
            checkpoint_at_server_start()
        assert "no checkpoint at server start" in caplog.text
        with triggers_down():
            LogEntry.objects.update(leaf=next(entries(BUILD)).receipt.hash)


class TestAProof:
    def test_it_proves_the_entry_under_a_head_made_for_it(self) -> None:
        receipt = enter(BUILD, 3)[1]
        proof = proof_of(receipt)
        raw = list(entries(BUILD))[1].raw
        keys = [known.key for known in known_log_keys()]
        assert check_tlog_proof(bytes(proof), raw, keys).size == 3

    def test_asked_later_it_is_the_same_byte_for_byte(self) -> None:
        receipt = enter(BUILD, 1)[0]
        first = bytes(proof_of(receipt))
        enter(BUILD, 5)
        make_checkpoint()
        assert bytes(proof_of(receipt)) == first

    def test_of_an_entry_that_is_not_there_it_is_refused(self) -> None:
        from records.ledger import Receipt

        enter(BUILD, 1)
        with pytest.raises(NotProven):
            proof_of(Receipt(BUILD, 2, "0" * 64))


class TestOutside:
    def test_each_head_is_a_file_that_stays(self, outside: Path) -> None:
        for _ in range(2):
            enter(BUILD, 3)
            make_checkpoint()
        files = sorted(outside.iterdir())
        assert [file.name[:12] for file in files] == ["000000000003", "000000000006"]
        notes = [bytes(note) for note in Checkpoint.objects.values_list("note", flat=True)]
        assert [file.read_bytes() for file in files] == notes
        assert CheckpointAnchor.objects.filter(place="folder").count() == 2

    def test_a_folder_that_was_away_gets_the_head_when_it_is_back(
        self, outside: Path, caplog: pytest.LogCaptureFixture
    ) -> None:
        outside.write_text("a file where the folder should be")
        enter(BUILD, 1)
        with caplog.at_level(logging.WARNING, "tarebook.log"):
            made = make_checkpoint()
        assert made is not None
        assert "not put outside" in caplog.text
        assert not CheckpointAnchor.objects.exists()
        outside.unlink()
        make_checkpoint()
        assert [note.note for note in anchors.notes_outside()] == [made.note]

    def test_without_a_folder_it_stays_in_the_database(self, settings: Any, outside: Path) -> None:
        settings.TAREBOOK_ANCHOR_FOLDER = ""
        enter(BUILD, 1)
        assert make_checkpoint() is not None
        assert not outside.exists()


class TestNothingIsSignedAnyMore:
    @pytest.fixture(autouse=True)
    def _a_head(self) -> None:
        enter(BUILD, 3)
        make_checkpoint()

    def _refused(self) -> str:
        before = Checkpoint.objects.count()
        with pytest.raises(NotProven) as caught:
            make_checkpoint()
        assert Checkpoint.objects.count() == before
        return caught.value.message

    def test_when_a_leaf_was_changed(self) -> None:
        insider("UPDATE records_logentry SET leaf = %s WHERE entry_id = %s", *_forged_leaf())
        assert "the checkpoint of 3 entries" in self._refused()
        with triggers_down():
            LogEntry.objects.filter(index=0).update(leaf=next(entries(BUILD)).receipt.hash)

    def test_when_an_older_database_was_put_back(self, outside: Path) -> None:
        """The backup lacks the last entry and the head; then the shop goes on with another one."""
        with triggers_down():
            CheckpointAnchor.objects.all().delete()
            Checkpoint.objects.all().delete()
            LogEntry.objects.filter(index=2).delete()
            Entry.objects.filter(seq=3).delete()
            second = Entry.objects.get(seq=2)
            StreamHead.objects.update(seq=2, hash=second.hash)
        told = self._refused()
        assert str(outside) in told
        assert "an older one put back" in told
        enter(OTHER, 2)
        assert str(outside) in self._refused()

    def test_when_the_folder_holds_a_head_that_no_key_of_ours_signed(self, outside: Path) -> None:
        (outside / "000000000009-00000000.checkpoint").write_text("a stranger's\n")
        assert "000000000009" in self._refused()


def _forged_leaf() -> tuple[str, int]:
    return "f" * 64, LogEntry.objects.get(index=0).entry_id


class TestByMail:
    @pytest.fixture(autouse=True)
    def _addresses(self, settings: Any) -> None:
        settings.TAREBOOK_ANCHOR_EMAIL = ["orla@example.org", "ruth@example.org"]

    def test_it_goes_through_the_outbox_to_each_address_once(self) -> None:
        enter(BUILD, 2)
        made = make_checkpoint(mail=True)
        assert made is not None
        task = OutboxTask.objects.get(task=MAIL)
        outbox.sweep()
        outbox.sweep()
        assert [sent.to for sent in mail.outbox] == [["orla@example.org"], ["ruth@example.org"]]
        assert mail.outbox[0].attachments[0][1].encode() == made.note
        task.refresh_from_db()
        assert task.done_at is not None

    def test_a_server_that_is_away_leaves_it_for_the_next_sweep(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def away(_self: object) -> int:
            raise OSError("connection refused")

        enter(BUILD, 2)
        make_checkpoint(mail=True)
        with monkeypatch.context() as patch:
            patch.setattr("django.core.mail.EmailMessage.send", away)
            outbox.sweep()
        assert "connection refused" in OutboxTask.objects.get(task=MAIL).last_error
        outbox.sweep()
        assert len(mail.outbox) == 2

    def test_the_heads_of_every_minute_are_not_mailed(self) -> None:
        enter(BUILD, 2)
        make_checkpoint()
        assert not OutboxTask.objects.filter(task=MAIL).exists()


class TestReplacingTheKey:
    def test_the_old_key_signs_once_more_over_the_entry_that_names_the_new(
        self, clock: SetClock
    ) -> None:
        open_ferrow_lane(clock)
        old = log_signer(demo=True)
        new = change_log_key(by=MARTA, reason="the old machine was sold", clock=clock)
        by_old, by_new = Checkpoint.objects.order_by("pk")
        assert (by_old.key_id, by_new.key_id) == (old.key.key_id.hex(), new.key.key_id.hex())
        assert by_old.size == by_new.size
        last = list(entries("shop"))[-1]
        assert last.envelope.kind == "log key replaced"
        assert last.envelope.data["new_key"] == str(new.key)
        assert log.index_of("shop", last.receipt.seq) == by_old.size - 1

    def test_who_is_no_manager_is_refused_and_nothing_changes(self, clock: SetClock) -> None:
        open_ferrow_lane(clock)
        old = log_signer(demo=True)
        with pytest.raises(NotAllowed):
            change_log_key(by=INES, reason="for fun", clock=clock)
        assert log_signer(demo=True).key == old.key
        assert not Checkpoint.objects.exists()

    def test_the_set_clock_of_the_demo_dates_the_heads(self, clock: SetClock) -> None:
        open_ferrow_lane(clock)
        change_log_key(by=MARTA, reason="a drill", clock=clock)
        assert {made.date() for made in Checkpoint.objects.values_list("made_at", flat=True)} == {
            MONDAY.date()
        }
