"""Walk a stream's chain on its stored bytes, without reading the JSON in them.

Every byte of an entry is under its hash, so a changed byte is found without parsing. What is read
is the end of the bytes: keys are sorted, `stream`, `seq`, `recorded_at` and `prev` come last, and
nothing in an entry can stand behind them.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from hashlib import sha256

from records.domain.proof.envelope import NOTHING_BEFORE, VERSION

MOMENT_LENGTH = len("2026-03-01T12:34:56.123456Z")


class ChainFault(StrEnum):
    """What can be wrong with a link."""

    GAP = "gap"
    WRONG_PREV = "wrong prev"
    WRONG_HASH = "wrong hash"
    WRONG_PLACE = "bytes name another place"


@dataclass(frozen=True, slots=True)
class StoredEntry:
    """An entry as a database or a bundle holds it: where it says it stands, and its bytes."""

    stream: str
    seq: int
    prev: str
    hash: str
    raw: bytes


@dataclass(frozen=True, slots=True)
class Broken:
    """The first fault of one stream."""

    fault: ChainFault
    stream: str
    seq: int
    expected: str
    got: str


class Chain:
    """A stream as far as it was walked."""

    __slots__ = ("_ending", "hash", "seq", "stream")

    def __init__(self, stream: str) -> None:
        self.stream = stream
        self.seq = 0
        self.hash = NOTHING_BEFORE
        name = json.dumps(stream, ensure_ascii=False)
        self._ending = f',"stream":{name},"version":{VERSION}}}'.encode("utf-8", "surrogatepass")

    def take(self, entry: StoredEntry) -> Broken | None:
        """Take the next entry; return what is wrong with it, or None and stand on it."""
        if entry.seq != self.seq + 1:
            return self._broken(ChainFault.GAP, entry, str(self.seq + 1), str(entry.seq))
        if entry.prev != self.hash:
            return self._broken(ChainFault.WRONG_PREV, entry, self.hash, entry.prev)
        found = sha256(b"\x00" + entry.raw).hexdigest()
        if found != entry.hash:
            return self._broken(ChainFault.WRONG_HASH, entry, entry.hash, found)
        if not self._stands_here(entry):
            place = f"{entry.stream} {entry.seq} after {entry.prev}"
            return self._broken(ChainFault.WRONG_PLACE, entry, place, _end_of(entry.raw))
        self.seq, self.hash = entry.seq, entry.hash
        return None

    def _stands_here(self, entry: StoredEntry) -> bool:
        ending = b'","seq":%d' % entry.seq + self._ending
        start = b',"prev":"%s","recorded_at":"' % entry.prev.encode("ascii", "replace")
        until = len(entry.raw) - len(ending) - MOMENT_LENGTH
        return entry.raw.endswith(ending) and entry.raw.endswith(start, 0, max(until, 0))

    def _broken(self, fault: ChainFault, entry: StoredEntry, expected: str, got: str) -> Broken:
        return Broken(fault, self.stream, entry.seq, expected, got)


def check_chain(entries: Iterable[StoredEntry]) -> Iterator[Chain | Broken]:
    """Walk entries ordered by stream and seq; yield, per stream, where it ends or its first fault.

    Memory is constant. After a fault the rest of that stream is passed over: it can't be judged.
    """
    chain: Chain | None = None
    broken = False
    for entry in entries:
        if chain is None or entry.stream != chain.stream:
            if chain is not None and not broken:
                yield chain
            chain, broken = Chain(entry.stream), False
        if broken:
            continue
        fault = chain.take(entry)
        if fault is not None:
            broken = True
            yield fault
    if chain is not None and not broken:
        yield chain


def _end_of(raw: bytes) -> str:
    return "…" + raw[-240:].decode("utf-8", "replace")
