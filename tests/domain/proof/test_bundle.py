"""Writing a bundle: always the same bytes, and none that would not verify."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from records.domain.errors import BadValue, Code, NotProven
from records.domain.proof.archive import unpack
from records.domain.proof.bundle import BundleFile, BundleStream, write_bundle
from records.domain.proof.chain import Chain, StoredEntry, check_chain
from records.domain.proof.envelope import entry_hash
from records.domain.proof.verify import verify_bundle
from tests.domain.proof.small_log import (
    BUILD,
    FIRST_PAPER,
    KEY,
    SCALE,
    STRANGER,
    Log,
    bundle_of,
    small_log,
)

LOG = small_log()
CHAINS = json.loads((Path(__file__).parents[2] / "data/chain_faults.json").read_text("utf-8"))


def _written(stream: BundleStream, files: list[BundleFile] | None = None) -> bytes:
    return write_bundle(
        streams=[stream], checkpoint=LOG.checkpoint(9), log_keys=[KEY], files=files or []
    )


def test_the_same_values_give_the_same_bytes() -> None:
    assert bundle_of(small_log()) == bundle_of(LOG)
    turned = write_bundle(
        streams=[LOG.stream(BUILD), LOG.stream(SCALE)],
        checkpoint=LOG.checkpoint(9),
        log_keys=[KEY],
    )
    straight = write_bundle(
        streams=[LOG.stream(SCALE), LOG.stream(BUILD)],
        checkpoint=LOG.checkpoint(9),
        log_keys=[KEY],
    )
    assert turned == straight


def test_entries_lie_in_it_as_they_are_stored() -> None:
    lines = unpack(bundle_of(LOG))["entries/0001.jsonl"]
    assert lines == b"".join(raw + b"\n" for raw in LOG.streams[BUILD])


def test_a_bundle_that_would_not_verify_is_not_written() -> None:
    stream = LOG.stream(BUILD)
    gap = [entry for number, entry in enumerate(stream.entries) if number != 2]
    misplaced = [replace(stream.entries[0], index=1), *stream.entries[1:]]
    for entries in (gap, misplaced):
        with pytest.raises(NotProven, match="the bundle would not verify"):
            _written(BundleStream(BUILD, entries))
    with pytest.raises(NotProven, match="as an entry names it"):
        _written(stream, [BundleFile("pdf", b"that no entry names")])
    with pytest.raises(NotProven, match="only other signatures"):
        write_bundle(streams=[stream], checkpoint=LOG.checkpoint(9, STRANGER), log_keys=[KEY])


def test_what_the_format_has_no_place_for_is_refused() -> None:
    with pytest.raises(BadValue, match="ending"):
        _written(LOG.stream(BUILD), [BundleFile("exe", FIRST_PAPER)])
    with pytest.raises(BadValue, match="expected entries"):
        _written(BundleStream(BUILD, []))


def test_more_members_than_a_zip_holds_are_refused() -> None:
    stream = LOG.stream(BUILD)
    streams = [replace(stream, stream=f"build/{number}") for number in range(33_000)]
    with pytest.raises(BadValue) as refusal:
        write_bundle(streams=streams, checkpoint=LOG.checkpoint(9), log_keys=[KEY])
    assert refusal.value.code == Code.TOO_LARGE


def _bundle_holds(name: str, log: Log) -> bool:
    try:
        raw = write_bundle(
            streams=[log.stream(name)], checkpoint=log.checkpoint(log.tree.size), log_keys=[KEY]
        )
    except NotProven:
        return False
    return verify_bundle(raw, [KEY]).refused == ""


def _chain_holds(name: str, raws: list[bytes]) -> bool:
    bodies = [json.loads(raw) for raw in raws]
    stored = [
        StoredEntry(name, body.get("seq", 0), body.get("prev", ""), entry_hash(raw), raw)
        for body, raw in zip(bodies, raws, strict=True)
    ]
    return [type(end) for end in check_chain(stored)] == [Chain]


def test_the_offline_verifier_judges_chains_as_the_ledger_does() -> None:
    # the two share no code; the log holds whatever stands there, so that only the chain is judged
    judged = set()
    for case in CHAINS["cases"]:
        streams: dict[str, list[bytes]] = {}
        order: list[tuple[str, int]] = []
        for entry in case["entries"]:
            streams.setdefault(entry["stream"], []).append(entry["bytes"].encode())
            order.append((entry["stream"], len(streams[entry["stream"]])))
        for name, raws in streams.items():
            holds = _chain_holds(name, raws)
            assert _bundle_holds(name, Log(streams, order)) == holds, (case["name"], name)
            judged.add(holds)
    assert judged == {True, False}
