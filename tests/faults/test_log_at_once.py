"""Eight writers while the log grows: no fork, no gap, no lost entry, on one stream and on many.

Threads stand for benches; three more take up entries and sign heads without pause.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.db import connection, transaction

from records import ledger, log
from records.actions.checkpoints import make_checkpoint
from records.ledger import Receipt
from records.models.ledger import Entry
from records.models.log import Checkpoint, LogEntry
from records.queries.verification import verify_record
from records.queries.witnesses import HeldReceipt, Outside, folder_outside
from tests.records.filled_log import keys_apart
from tests.records.keeper import MONDAY

pytestmark = [pytest.mark.faults, pytest.mark.django_db(transaction=True)]

WRITERS, DEEDS = 8, 12


@pytest.fixture(autouse=True)
def _outside(settings: Any, tmp_path: Path) -> None:
    keys_apart(settings, tmp_path)
    settings.TAREBOOK_ANCHOR_FOLDER = str(tmp_path / "outside")


def _at_once(works: list[Callable[[], None]]) -> list[BaseException]:
    """Run each in a thread of its own, from one moment on; return what went wrong."""
    start = threading.Barrier(len(works))
    wrong: list[BaseException] = []

    def run(work: Callable[[], None]) -> None:
        try:
            start.wait(20)
            work()
        except BaseException as error:
            wrong.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(work,)) for work in works]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(120)
    assert not any(thread.is_alive() for thread in threads)
    return wrong


@pytest.mark.parametrize("streams", [1, WRITERS], ids=["one stream", "many streams"])
def test_every_answered_entry_is_in_the_log_once_and_every_head_holds(streams: int) -> None:
    receipts: list[Receipt] = []
    writing = threading.Event()
    left = [WRITERS]
    counting = threading.Lock()

    def write(writer: int) -> None:
        try:
            for deed in range(DEEDS):
                with transaction.atomic():
                    receipt = ledger.append(
                        stream=f"build/26-{writer % streams:03}",
                        kind="note",
                        actor=f"P-{writer:02}",
                        recorded_at=MONDAY,
                        data={"deed": deed},
                    )
                receipts.append(receipt)  # answered: from here on it must be there for good
        finally:
            with counting:
                left[0] -= 1
                if not left[0]:
                    writing.set()

    def sign() -> None:
        while not writing.is_set():
            make_checkpoint()

    works: list[Callable[[], None]] = [lambda w=w: write(w) for w in range(WRITERS)]  # type: ignore[misc]
    assert _at_once([*works, sign, sign, sign]) == []
    make_checkpoint()

    assert len(receipts) == WRITERS * DEEDS == Entry.objects.count() == LogEntry.objects.count()
    assert [leaf.index for leaf in log.leaves()] == list(range(WRITERS * DEEDS))
    held = tuple(HeldReceipt("bench", one.stream, one.seq, one.hash) for one in receipts)
    result = verify_record(None, [Outside(receipts=held), *folder_outside()])
    assert result.firsts == {}
    assert (result.receipts, result.streams) == (WRITERS * DEEDS, streams)
    assert result.outside == result.checkpoints == Checkpoint.objects.count() >= 2


def test_verifying_while_writers_are_at_work_finds_no_difference() -> None:
    writing = threading.Event()
    firsts: list[dict[Any, Any]] = []

    def write() -> None:
        for deed in range(40):
            with transaction.atomic():
                ledger.append(
                    stream="build/26-001", kind="note", actor="P-02", recorded_at=MONDAY,
                    data={"deed": deed},
                )  # fmt: skip
            make_checkpoint()
        writing.set()

    def verify() -> None:
        while not writing.is_set():
            firsts.append(verify_record(None, list(folder_outside())).firsts)

    assert _at_once([write, verify]) == []
    assert firsts
    assert [found for found in firsts if found] == []
