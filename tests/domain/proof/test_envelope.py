"""An entry's envelope: its bytes, its hash, and what is not an entry."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest

from records.domain.errors import BadValue, Unreadable
from records.domain.proof.envelope import (
    NOTHING_BEFORE,
    Envelope,
    entry_hash,
    envelope_bytes,
    node_hash,
    read_envelope,
    utc_text,
)

FIRST = Envelope(
    version=1,
    stream="build/26-014",
    seq=1,
    prev=NOTHING_BEFORE,
    recorded_at="2026-03-02T08:15:00.000000Z",
    actor="P-02",
    kind="build opened",
    data={"schema": 1, "rows": []},
)


def test_the_bytes_are_these_for_ever() -> None:
    # written out by hand: a change of the format would break every chain there is
    assert envelope_bytes(FIRST) == (
        b'{"actor":"P-02","data":{"rows":[],"schema":1},"kind":"build opened","prev":"'
        + b"0" * 64
        + b'","recorded_at":"2026-03-02T08:15:00.000000Z","seq":1,"stream":"build/26-014",'
        b'"version":1}'
    )


def test_an_entry_reads_back() -> None:
    assert read_envelope(envelope_bytes(FIRST)) == FIRST


@pytest.mark.parametrize(
    ("leaf", "expected"),
    [
        # source: transparency-dev/merkle, RFC 6962 hasher test (checks/proof.md)
        (b"L123456", "395aa064aa4c29f7010acfe3f25db9485bbd4b91897b6ad7ad547639252b4d56"),
        # root of a tree with one empty leaf, which is that leaf's hash (checks/proof.md)
        (b"", "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d"),
    ],
)
def test_the_hash_is_a_leaf_hash_of_rfc_6962(leaf: bytes, expected: str) -> None:
    assert entry_hash(leaf) == expected


def test_the_hash_of_two_nodes_is_that_of_rfc_6962() -> None:
    # source: transparency-dev/merkle, RFC 6962 hasher test (checks/proof.md)
    expected = "aa217fe888e47007fa15edab33c2b492a722cb106c64667fc2b044444de66bbb"
    assert node_hash(b"N123", b"N456").hex() == expected


def test_a_leaf_can_t_pass_for_a_node() -> None:
    assert entry_hash(b"N123N456") != node_hash(b"N123", b"N456").hex()


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"seq": 0}, "seq"),
        ({"seq": True}, "seq"),
        ({"version": 2}, "version"),
        ({"prev": "0" * 63}, "prev"),
        ({"prev": "G" * 64}, "prev"),
        ({"stream": ""}, "stream"),
        ({"actor": ""}, "actor"),
        ({"kind": ""}, "kind"),
        ({"recorded_at": "2026-03-02T08:15:00Z"}, "recorded_at"),
        ({"recorded_at": "2026-03-02T08:15:00.000000+01:00"}, "recorded_at"),
        ({"recorded_at": "2026-02-30T08:15:00.000000Z"}, "recorded_at"),
        ({"data": {"mass": 1.5}}, "/data/mass"),
    ],
)
def test_it_refuses_to_write(change: dict[str, Any], field: str) -> None:
    with pytest.raises(BadValue) as refused:
        envelope_bytes(replace(FIRST, **change))
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b'"seq":1', b'"seq":"1"'),
        (b'"seq":1', b'"seq":0'),
        (b'"version":1', b'"version":2'),
        (b'"kind":"build opened",', b""),
        (b',"version":1}', b',"version":1,"zone":1}'),
        (b'{"rows":[],"schema":1}', b"[]"),
        (b"T08:15:00", b" 08:15:00"),
        (b'"actor":"P-02"', b'"actor": "P-02"'),
    ],
)
def test_it_refuses_to_read(old: bytes, new: bytes) -> None:
    raw = envelope_bytes(FIRST)
    assert old in raw
    with pytest.raises(Unreadable):
        read_envelope(raw.replace(old, new))


def test_a_moment_is_told_in_utc_with_microseconds() -> None:
    east = timezone(timedelta(hours=2))
    assert utc_text(datetime(2026, 3, 2, 10, 15, tzinfo=east)) == "2026-03-02T08:15:00.000000Z"
    assert utc_text(datetime(999, 1, 1, tzinfo=UTC)) == "0999-01-01T00:00:00.000000Z"


def test_it_refuses_a_moment_without_zone() -> None:
    with pytest.raises(BadValue, match="zone"):
        utc_text(datetime(2026, 3, 2, 10, 15))
