"""Links of a chain, judged on stored bytes: good ones, and vectors of broken ones."""

import json
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from records.domain.proof.chain import Broken, Chain, StoredEntry, check_chain
from records.domain.proof.envelope import NOTHING_BEFORE, Envelope, entry_hash, envelope_bytes

VECTORS = json.loads((Path(__file__).parents[2] / "data/chain_faults.json").read_text("utf-8"))


def _stored(given_entry: dict[str, Any]) -> StoredEntry:
    return StoredEntry(
        given_entry["stream"],
        given_entry["seq"],
        given_entry["prev"],
        given_entry["hash"],
        given_entry["bytes"].encode(),
    )


def _stream(name: str, length: int) -> list[StoredEntry]:
    entries: list[StoredEntry] = []
    prev = NOTHING_BEFORE
    for seq in range(1, length + 1):
        raw = envelope_bytes(
            Envelope(1, name, seq, prev, "2026-03-02T08:15:00.000000Z", "P-02", "x", {"n": seq})
        )
        entries.append(StoredEntry(name, seq, prev, entry_hash(raw), raw))
        prev = entries[-1].hash
    return entries


@pytest.mark.parametrize("case", VECTORS["cases"], ids=lambda case: case["name"])
def test_a_broken_chain_is_told_at_its_first_fault(case: dict[str, Any]) -> None:
    ends = list(check_chain(map(_stored, case["entries"])))
    found = [[end.stream, end.seq, end.fault] for end in ends if isinstance(end, Broken)]
    assert found == case["faults"]


def test_the_vectors_hold_hashes_that_this_code_did_not_make() -> None:
    good = next(case for case in VECTORS["cases"] if case["faults"] == [])
    for entry in good["entries"]:
        assert entry["hash"] == sha256(b"\x00" + entry["bytes"].encode()).hexdigest()


def test_whole_streams_end_where_their_last_entry_stands() -> None:
    first, second = _stream("build/26-014", 3), _stream("shop", 2)
    ends = list(check_chain([*first, *second]))
    assert [(end.stream, end.seq, end.hash) for end in ends if isinstance(end, Chain)] == [
        ("build/26-014", 3, first[-1].hash),
        ("shop", 2, second[-1].hash),
    ]


def test_no_entries_no_streams() -> None:
    assert list(check_chain([])) == []


def test_a_number_in_other_letters_keeps_its_place() -> None:
    ends = list(check_chain(_stream('part/Ω-"7"\\ñ', 2)))
    assert [type(end) for end in ends] == [Chain]


@given(st.data())
def test_any_changed_byte_is_found(data: st.DataObject) -> None:
    entries = _stream("build/26-014", 3)
    index = data.draw(st.integers(0, 2))
    raw = bytearray(entries[index].raw)
    raw[data.draw(st.integers(0, len(raw) - 1))] ^= data.draw(st.integers(1, 255))
    kept = entries[index]
    entries[index] = StoredEntry(kept.stream, kept.seq, kept.prev, kept.hash, bytes(raw))
    (end,) = check_chain(entries)
    assert isinstance(end, Broken)
    assert end.seq == index + 1
