"""A bundle away from the shop: what holds, what is refused, what is said."""

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from records.domain.errors import NotProven
from records.domain.proof.archive import pack, unpack
from records.domain.proof.bundle import README, EarlierCheckpoint, write_bundle
from records.domain.proof.checkpoint import Checkpoint
from records.domain.proof.note_signing import key_of, sign_note
from records.domain.proof.tree import root_of
from records.domain.proof.verify import Report, verify_bundle
from tests.domain.proof.bundle_faults import FAULTS
from tests.domain.proof.small_log import (
    BUILD,
    KEY,
    ORIGIN,
    SCALE,
    STRANGER,
    Log,
    bundle_of,
    changed,
    small_log,
)

LOG = small_log()
BUNDLE = bundle_of(LOG)
MEMBERS = unpack(BUNDLE)
REPORT = verify_bundle(BUNDLE, [KEY])
WORDS = json.loads(
    (Path(__file__).parents[2] / "data/proof/bundle_refused.json").read_text("utf-8")
)


def test_a_whole_bundle_holds_and_says_what_was_checked() -> None:
    assert REPORT.refused == ""
    said = "\n".join(REPORT.checked)
    assert f"stream {BUILD}: entries 1 to 5 in one chain, each of them in the log" in said
    assert f"stream {SCALE}: entries 1 to 3" in said
    assert f"checkpoint of 9 entries of {ORIGIN}" in said
    assert KEY in said
    assert "the log extends what it was at 6 entries" in said
    assert said.count("is, byte for byte, what is named by entry") == 2


def test_it_says_what_was_not_checked_and_why() -> None:
    said = str(REPORT)
    for words in ("own clock", "goes on after", "was entered is true", "inside PDF files"):
        assert words in said
    assert "it came inside the bundle" not in said


def test_without_a_key_it_says_that_the_key_proves_nothing() -> None:
    report = verify_bundle(BUNDLE)
    assert report.refused == ""
    assert "whose key that is: it came inside the bundle" in report.unchecked[0]


@pytest.mark.parametrize("keys", [[], ["no key"], [str(key_of(ORIGIN, STRANGER))]])
def test_another_key_than_the_logs_is_refused(keys: list[str]) -> None:
    assert verify_bundle(BUNDLE, keys).refused


def test_a_report_holds_nothing_before_it_was_made() -> None:
    assert Report().refused


def test_a_file_that_is_named_and_not_here_is_told() -> None:
    manifest = json.loads(MEMBERS["manifest.json"])
    name = manifest["files"].pop()
    text = json.dumps(manifest, sort_keys=True, separators=(",", ":")).encode()
    report = verify_bundle(changed(BUNDLE, {"manifest.json": text, name: None}), [KEY])
    assert report.refused == ""
    assert any("under pdf_sha256: not here" in line for line in report.unchecked)


@pytest.mark.parametrize("name", sorted(FAULTS))
def test_each_fault_is_refused_for_its_own_reason(name: str) -> None:
    torn = FAULTS[name](LOG, BUNDLE)
    assert torn != BUNDLE
    assert WORDS["faults"][name] in verify_bundle(torn, [KEY]).refused


def _refused_alone(log: Log, name: str, keys: list[str], **more: Any) -> str:
    """Return why a bundle of one stream is not written; its log is whole and rightly signed."""
    with pytest.raises(NotProven) as refusal:
        write_bundle(
            streams=[log.stream(name)],
            checkpoint=log.checkpoint(log.tree.size),
            log_keys=keys,
            **more,
        )
    return str(refusal.value)


@pytest.mark.parametrize("number", ["1.5", "1e3", "-0", "NaN", "Infinity", '0,"n":1', '"\\u0041"'])
def test_an_entry_that_reads_in_two_ways_is_refused_though_rightly_signed(number: str) -> None:
    raw = LOG.streams["build/26-015"][0].replace(b'"n":1', f'"n":{number}'.encode())
    log = Log({"build/26-015": [raw]}, [("build/26-015", 1)])
    refused = _refused_alone(log, "build/26-015", [KEY])
    assert "entry 1: expected canonical JSON" in refused or "integers and texts" in refused


def test_an_earlier_checkpoint_of_another_log_is_refused_though_rightly_signed() -> None:
    other = "nils.example/log"
    text = Checkpoint(other, 6, root_of(LOG.tree.node, 6)).text()
    once = EarlierCheckpoint(sign_note(text, other, STRANGER), LOG.earlier(6).path)
    keys = [KEY, str(key_of(other, STRANGER))]
    refused = _refused_alone(LOG, BUILD, keys, earlier=[once])
    assert f"expected a checkpoint of {ORIGIN}, got {other}" in refused


def test_every_fault_is_told_in_the_vectors() -> None:
    assert WORDS["faults"].keys() == FAULTS.keys()


@pytest.mark.parametrize("case", WORDS["members"], ids=lambda case: case["name"])
def test_a_malformed_member_is_refused(case: dict[str, Any]) -> None:
    member = MEMBERS[case["member"]].decode()
    torn = member.replace(case["old"], case["new"], 1) if case["old"] else case["new"]
    assert torn != member
    assert verify_bundle(changed(BUNDLE, {case["member"]: torn.encode()}), [KEY]).refused


def _refused_or_the_same(torn: bytes, keys: list[str] | None) -> bool:
    report = verify_bundle(torn, keys)
    return report.refused != "" or report.checked == verify_bundle(BUNDLE, keys).checked


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_any_changed_byte_is_refused(data: st.DataObject) -> None:
    raw = bytearray(BUNDLE)
    raw[data.draw(st.integers(0, len(raw) - 1))] ^= data.draw(st.integers(1, 255))
    assert verify_bundle(bytes(raw), [KEY]).refused


@settings(max_examples=500, deadline=None)
@given(st.data())
def test_any_changed_byte_of_a_well_packed_bundle_changes_no_claim(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(sorted(MEMBERS)))
    body = bytearray(MEMBERS[name] or b"x")
    place = data.draw(st.integers(0, len(body) - 1))
    body[place] = data.draw(st.integers(0, 255))
    if data.draw(st.booleans()):
        body.insert(place, data.draw(st.integers(0, 255)))
    torn = pack(MEMBERS | {name: bytes(body)})
    assert _refused_or_the_same(torn, [KEY])
    assert _refused_or_the_same(torn, None)


@pytest.mark.parametrize("raw", [b"", b"x", b"PK\x05\x06" + bytes(18), README.encode()])
def test_what_is_no_bundle_is_refused(raw: bytes) -> None:
    assert verify_bundle(raw, [KEY]).refused
    assert verify_bundle(raw).refused


def test_what_stands_in_a_bundle_never_steers_the_screen() -> None:
    report = Report(checked=["a stream\n\x1b[2Jthe bundle holds\u202e"], refused="x\ny")
    assert str(report).splitlines() == ["checked: a stream??[2Jthe bundle holds?", "REFUSED: x?y"]
