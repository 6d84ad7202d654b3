"""How fast entries are appended, taken up and verified, beside the bare thing in the same run.

`.venv/bin/pytest -m bench -s tests/bench/test_ledger_rates.py`; LEDGER_BENCH_ENTRIES sets how many
entries are verified (100,000 unless given). Rates differ between runs: read the ratios.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.db import transaction

from records import ledger, log
from records.actions.checkpoints import make_checkpoint
from records.domain.proof.chain import check_chain
from records.domain.proof.envelope import (
    NOTHING_BEFORE,
    Envelope,
    entry_hash,
    envelope_bytes,
    utc_text,
)
from records.models.ledger import Entry, StreamHead
from records.queries.differences import Verification
from records.queries.log_verification import verify_log
from records.queries.verification import verify_record
from tests.faults.databases import _a_database, _working_on
from tests.faults.processes import at_once
from tests.records.filled_log import keys_apart
from tests.records.keeper import MONDAY

pytestmark = pytest.mark.bench

SECONDS = 3.0
MANY = int(os.environ.get("LEDGER_BENCH_ENTRIES", "100000"))
A_DAY = {"schema": 1, "note": "a weighing of usual length " * 8, "rows": []}


@pytest.fixture
def empty_shop(django_db_blocker: Any, settings: Any, tmp_path: Path) -> Iterator[None]:
    """Work on an empty database of its own, which processes share."""
    keys_apart(settings, tmp_path)
    with (
        django_db_blocker.unblock(),
        _a_database(tmp_path, "bench") as name,
        _working_on(name),
    ):
        call_command("migrate", verbosity=0)
        yield


def _say(words: str) -> None:
    sys.stdout.write(f"\n  {words}")


@contextmanager
def _timed(what: str, count: int) -> Iterator[None]:
    began = time.perf_counter()
    yield
    took = time.perf_counter() - began
    _say(f"{what}: {took:.2f} s, {count / took:,.0f} a second")


def _rate(writers: int, work: Callable[[int, int], None], folder: Path) -> float:
    """Let processes work for some seconds; return how often they did it a second in all."""

    def writer(number: int) -> Callable[[], None]:
        def run() -> None:
            until, done = time.monotonic() + SECONDS, 0
            while time.monotonic() < until:
                work(number, done)
                done += 1
            (folder / f"{number}").write_text(str(done))

        return run

    assert at_once(*[writer(number) for number in range(writers)]) == [0] * writers
    done = sum(int((folder / f"{number}").read_text()) for number in range(writers))
    return done / SECONDS


def test_appends_beside_a_bare_insert(empty_shop: None, tmp_path: Path) -> None:
    round_number = 0

    def bare(writer: int, done: int) -> None:
        with transaction.atomic():
            Entry.objects.create(
                stream=f"bare/{round_number}-{writer}", seq=done + 1, prev=f"{done:064}",
                hash=f"{done:064}", bytes=b"x" * 500, recorded_at=MONDAY, kind="note",
            )  # fmt: skip

    def append(stream: str) -> None:
        with transaction.atomic():
            ledger.append(
                stream=stream, kind="note", actor="P-02", recorded_at=MONDAY, data=A_DAY_PLAIN
            )

    works: dict[str, Callable[[int, int], None]] = {
        "bare ORM insert": bare,
        "append, one stream": lambda writer, done: append("build/one"),
        "append, a stream each": lambda writer, done: append(f"build/{writer}"),
    }
    for writers in (1, 8):
        for name, work in works.items():
            round_number += 1
            _say(f"{name}, {writers} writers: {_rate(writers, work, tmp_path):,.0f} a second")


A_DAY_PLAIN = {"note": A_DAY["note"]}


def _filled(count: int) -> None:
    """Put entries of a thousand streams in, as fast as the database takes them."""
    prev: dict[str, str] = {}
    rows: list[Entry] = []
    for number in range(count):
        stream, seq = f"build/{number % 1000}", number // 1000 + 1
        before = prev.get(stream, NOTHING_BEFORE)
        raw = envelope_bytes(
            Envelope(1, stream, seq, before, utc_text(MONDAY), "P-02", "note", A_DAY)
        )
        prev[stream] = entry_hash(raw)
        rows.append(
            Entry(
                stream=stream,
                seq=seq,
                prev=before,
                hash=prev[stream],
                bytes=raw,
                recorded_at=MONDAY,
                kind="note",
            )
        )
        if len(rows) == 5000:
            Entry.objects.bulk_create(rows)
            rows.clear()
    Entry.objects.bulk_create(rows)
    ends = {stream: (count - 1 - int(stream[6:])) // 1000 + 1 for stream in prev}
    StreamHead.objects.bulk_create(
        StreamHead(stream=stream, seq=ends[stream], hash=digest) for stream, digest in prev.items()
    )


def test_verification_beside_a_bare_hash_loop(empty_shop: None) -> None:
    _filled(MANY)
    with _timed("taken up into the log", MANY):
        assert log.take_up_entries() == MANY
    with _timed("first checkpoint", 1):
        make_checkpoint()
    with _timed("looking for entries without an index, when there are none", 1):
        log.take_up_entries()
    raws = [bytes(raw) for raw in Entry.objects.values_list("bytes", flat=True).iterator()]
    with _timed("bare hashlib loop over the same bytes", MANY):
        for raw in raws:
            sha256(b"\x00" + raw).digest()
    del raws
    stored = list(ledger.stored_entries())
    with _timed("chain on stored bytes, in memory", MANY):
        assert sum(1 for _ in check_chain(stored)) == 1000
    del stored
    with _timed("chain, streamed from the database", MANY):
        assert sum(1 for _ in check_chain(ledger.stored_entries())) == 1000
    result = Verification()
    with _timed("log, streamed from the database", MANY):
        verify_log(result, lambda what, count: None, [])
    assert result.stands
    with _timed("all of `manage.py verify`", MANY):
        assert verify_record().stands
