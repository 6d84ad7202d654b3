"""One entry's proof in a file of its own."""

import json
from pathlib import Path
from typing import Any

import pytest

from records.domain.errors import NotProven
from records.domain.proof.note import read_key
from records.domain.proof.tlog_proof import TlogProof, check_tlog_proof, read_tlog_proof
from records.domain.proof.tree import inclusion_path
from tests.domain.proof.small_log import BUILD, KEY, ORIGIN, STRANGER, small_log

REFUSED = json.loads(
    (Path(__file__).parents[2] / "data/proof/tlog_proof_refused.json").read_text("utf-8")
)
LOG = small_log()
KEYS = [read_key(KEY)]
ENTRY = LOG.streams[BUILD][2]


def _proof(index: int = 5) -> TlogProof:
    path = tuple(inclusion_path(LOG.tree.node, index, 9))
    return TlogProof(index, path, LOG.checkpoint(9))


def test_a_proof_shows_that_the_log_had_the_entry() -> None:
    assert LOG.order[5] == (BUILD, 3)
    assert check_tlog_proof(bytes(_proof()), ENTRY, KEYS).size == 9


def test_the_file_begins_as_the_standard_says() -> None:
    # source: C2SP tlog-proof, Format
    raw = bytes(_proof())
    assert raw.startswith(b"c2sp.org/tlog-proof@v1\nindex 5\n")
    assert raw.endswith(b"\n\n" + LOG.checkpoint(9))


@pytest.mark.parametrize("extra", [b"", b"\x00words"])
def test_what_is_written_reads_back(extra: bytes) -> None:
    proof = TlogProof(5, _proof().path, LOG.checkpoint(9), extra)
    assert read_tlog_proof(bytes(proof)) == proof


def test_a_log_of_one_entry_needs_no_hashes() -> None:
    proof = TlogProof(0, (), LOG.checkpoint(1))
    assert b"index 0\n\nferrow" in bytes(proof)
    assert check_tlog_proof(bytes(proof), LOG.streams[BUILD][0], KEYS).size == 1


def test_another_entry_another_place_and_another_key_are_refused() -> None:
    for raw, entry, keys in (
        (bytes(_proof()), LOG.streams[BUILD][3], KEYS),
        (bytes(_proof(6)), ENTRY, KEYS),
        (bytes(TlogProof(6, _proof().path, LOG.checkpoint(9))), ENTRY, KEYS),
        (bytes(TlogProof(5, _proof().path, LOG.checkpoint(8))), ENTRY, KEYS),
        (bytes(TlogProof(5, _proof().path, LOG.checkpoint(9, STRANGER))), ENTRY, KEYS),
        (bytes(_proof()), ENTRY, []),
    ):
        with pytest.raises(NotProven):
            check_tlog_proof(raw, entry, keys)


def test_any_changed_byte_is_refused() -> None:
    raw = bytes(_proof())
    for place in range(len(raw)):
        torn = raw[:place] + bytes([raw[place] ^ 1]) + raw[place + 1 :]
        with pytest.raises(NotProven):
            check_tlog_proof(torn, ENTRY, KEYS)


def test_the_file_that_those_were_torn_from_is_accepted() -> None:
    assert ORIGIN in REFUSED["good"]
    assert read_tlog_proof(REFUSED["good"].encode())


@pytest.mark.parametrize("case", REFUSED["files"], ids=lambda case: case["name"])
def test_a_malformed_file_is_refused(case: dict[str, Any]) -> None:
    with pytest.raises(NotProven):
        read_tlog_proof(case["file"].encode())
