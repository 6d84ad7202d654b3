"""Eight writers at once: no gap, no fork, no lost entry, no deadlock, on either database."""

import threading
from collections.abc import Callable

import pytest
from django.db import connection, transaction

from records import ledger
from records.queries.verification import verify_record
from tests.records.keeper import MONDAY

WRITERS = 8
DEEDS = 6

pytestmark = pytest.mark.django_db(transaction=True)


def _at_once(work: Callable[[int], None]) -> list[BaseException]:
    """Run `work(number)` in one thread per writer, started together; return what went wrong."""
    start = threading.Barrier(WRITERS)
    wrong: list[BaseException] = []

    def run(number: int) -> None:
        try:
            start.wait(20)
            work(number)
        except BaseException as error:
            wrong.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(number,)) for number in range(WRITERS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert not any(thread.is_alive() for thread in threads)
    return wrong


def _append(stream: str, writer: int, deed: int) -> None:
    ledger.append(
        stream=stream,
        kind="note",
        actor=f"P-{writer:02}",
        recorded_at=MONDAY,
        data={"deed": deed},
    )


def test_eight_writers_on_one_stream_leave_one_chain() -> None:
    def work(writer: int) -> None:
        for deed in range(DEEDS):
            with transaction.atomic():
                _append("build/26-014", writer, deed)

    assert _at_once(work) == []
    read = list(ledger.entries("build/26-014"))
    assert [facts.receipt.seq for facts in read] == list(range(1, WRITERS * DEEDS + 1))
    told = {(facts.envelope.actor, facts.envelope.data["deed"]) for facts in read}
    assert len(told) == WRITERS * DEEDS
    assert verify_record().firsts == {}


def test_deeds_over_two_streams_don_t_deadlock_when_both_are_locked_first() -> None:
    def work(writer: int) -> None:
        streams = ["build/26-014", "scale/S-02"]
        if writer % 2:
            streams.reverse()
        for deed in range(DEEDS):
            with transaction.atomic():
                ledger.lock(streams)
                for stream in streams:
                    _append(stream, writer, deed)

    assert _at_once(work) == []
    for stream in ("build/26-014", "scale/S-02"):
        last = ledger.head(stream)
        assert last is not None
        assert last.seq == WRITERS * DEEDS
    assert verify_record().firsts == {}
