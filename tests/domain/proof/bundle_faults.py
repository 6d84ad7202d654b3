"""Bundles that are wrong on purpose, each packed as a good one is."""

from __future__ import annotations

import json
from collections.abc import Callable
from hashlib import sha256
from typing import Any

from records.domain.proof.archive import pack, unpack
from records.domain.proof.canonical import canonical_bytes
from records.domain.proof.merkle import leaf_hash
from tests.domain.proof.small_log import BUILD, STRANGER, Log, changed

Fault = Callable[[Log, bytes], bytes]
BUILDS_ENTRIES, BUILDS_PROOFS = "entries/0001.jsonl", "proofs/0001.jsonl"


def _lines(bundle: bytes, name: str) -> list[bytes]:
    return unpack(bundle)[name].splitlines(keepends=True)


def _manifest(bundle: bytes, change: Callable[[dict[str, Any]], object]) -> bytes:
    manifest = json.loads(unpack(bundle)["manifest.json"])
    change(manifest)
    return canonical_bytes(manifest)


def _joined(
    bundle: bytes, name: str, change: Callable[[list[bytes]], object]
) -> dict[str, bytes | None]:
    lines = _lines(bundle, name)
    change(lines)
    return {name: b"".join(lines)}


def wrong_leaf(log: Log, bundle: bytes) -> bytes:
    """An entry says something else; hash and head of its stream are reckoned anew."""
    raw = log.streams[BUILD][-1].replace(b"weighing", b"wheighin")
    head = leaf_hash(raw).hex()
    entries = _joined(bundle, BUILDS_ENTRIES, lambda lines: lines.__setitem__(-1, raw + b"\n"))
    manifest = _manifest(bundle, lambda found: found["streams"][0].update(head=head))
    return changed(bundle, entries | {"manifest.json": manifest})


def middle_entry_missing(log: Log, bundle: bytes) -> bytes:
    parts = _joined(bundle, BUILDS_ENTRIES, lambda lines: lines.pop(2))
    parts |= _joined(bundle, BUILDS_PROOFS, lambda lines: lines.pop(2))
    manifest = _manifest(bundle, lambda found: found["streams"][0].update(entries=4))
    return changed(bundle, parts | {"manifest.json": manifest})


def first_entry_missing(log: Log, bundle: bytes) -> bytes:
    parts = _joined(bundle, BUILDS_ENTRIES, lambda lines: lines.pop(0))
    parts |= _joined(bundle, BUILDS_PROOFS, lambda lines: lines.pop(0))
    manifest = _manifest(bundle, lambda found: found["streams"][0].update(entries=4))
    return changed(bundle, parts | {"manifest.json": manifest})


def last_entry_missing(log: Log, bundle: bytes) -> bytes:
    parts = _joined(bundle, BUILDS_ENTRIES, lambda lines: lines.pop())
    return changed(bundle, parts | _joined(bundle, BUILDS_PROOFS, lambda lines: lines.pop()))


def last_entry_missing_and_the_count_changed(log: Log, bundle: bytes) -> bytes:
    manifest = _manifest(bundle, lambda found: found["streams"][0].update(entries=4))
    return changed(last_entry_missing(log, bundle), {"manifest.json": manifest})


def entries_in_another_order(log: Log, bundle: bytes) -> bytes:
    parts = _joined(bundle, BUILDS_ENTRIES, lambda lines: lines.insert(1, lines.pop(2)))
    return changed(
        bundle, parts | _joined(bundle, BUILDS_PROOFS, lambda lines: lines.insert(1, lines.pop(2)))
    )


def swapped_proofs(log: Log, bundle: bytes) -> bytes:
    return changed(bundle, {**_joined(bundle, BUILDS_PROOFS, lambda lines: lines.reverse())})


def trailing_bytes_behind_the_zip(log: Log, bundle: bytes) -> bytes:
    return bundle + b"\n"


def trailing_bytes_behind_a_line(log: Log, bundle: bytes) -> bytes:
    def add(lines: list[bytes]) -> None:
        lines[0] = lines[0][:-1] + b" \n"

    return changed(bundle, {**_joined(bundle, BUILDS_ENTRIES, add)})


def trailing_line(log: Log, bundle: bytes) -> bytes:
    return changed(bundle, {**_joined(bundle, BUILDS_ENTRIES, lambda lines: lines.append(b"\n"))})


def two_heads_for_one_stream(log: Log, bundle: bytes) -> bytes:
    """The same stream twice: whole, and with another end."""
    members = unpack(bundle)
    manifest = _manifest(bundle, lambda found: found["streams"].insert(1, found["streams"][0]))
    for part in ("entries", "proofs"):
        members[f"{part}/0003.jsonl"] = members[f"{part}/0002.jsonl"]
        members[f"{part}/0002.jsonl"] = members[f"{part}/0001.jsonl"]
    return pack(members | {"manifest.json": manifest})


def a_second_last_entry(log: Log, bundle: bytes) -> bytes:
    """Two entries claim the same place in the stream."""
    parts = _joined(bundle, BUILDS_ENTRIES, lambda lines: lines.append(lines[-1]))
    parts |= _joined(bundle, BUILDS_PROOFS, lambda lines: lines.append(lines[-1]))
    manifest = _manifest(bundle, lambda found: found["streams"][0].update(entries=6))
    return changed(bundle, parts | {"manifest.json": manifest})


def streams_swapped(log: Log, bundle: bytes) -> bytes:
    members = unpack(bundle)
    for part in ("entries", "proofs"):
        first, second = f"{part}/0001.jsonl", f"{part}/0002.jsonl"
        members[first], members[second] = members[second], members[first]
    manifest = _manifest(
        bundle, lambda found: [c.update(entries=8 - c["entries"]) for c in found["streams"]]
    )
    return pack(members | {"manifest.json": manifest})


def certificates_swapped(log: Log, bundle: bytes) -> bytes:
    members = unpack(bundle)
    first, second = sorted(name for name in members if name.startswith("files/"))
    return changed(bundle, {first: members[second], second: members[first]})


def certificate_with_bytes_behind(log: Log, bundle: bytes) -> bytes:
    members = unpack(bundle)
    name = next(name for name in members if name.startswith("files/"))
    return changed(bundle, {name: members[name] + b"\n%%EOF"})


def certificate_that_no_entry_names(log: Log, bundle: bytes) -> bytes:
    name = f"files/{sha256(b'Nils').hexdigest()}.pdf"
    manifest = _manifest(bundle, lambda found: found["files"].append(name))
    return changed(bundle, {name: b"Nils", "manifest.json": manifest})


def certificate_missing(log: Log, bundle: bytes) -> bytes:
    name = next(name for name in unpack(bundle) if name.startswith("files/"))
    return changed(bundle, {name: None})


def checkpoint_signed_by_a_stranger(log: Log, bundle: bytes) -> bytes:
    return changed(bundle, {"checkpoint.txt": log.checkpoint(9, STRANGER)})


def older_checkpoint_in_its_place(log: Log, bundle: bytes) -> bytes:
    return changed(bundle, {"checkpoint.txt": log.checkpoint(8)})


def another_earlier_checkpoint(log: Log, bundle: bytes) -> bytes:
    return changed(bundle, {"checkpoints/0001.txt": log.checkpoint(5)})


def member_beside_the_others(log: Log, bundle: bytes) -> bytes:
    return changed(bundle, {"notes.txt": b"words"})


def path_that_leads_out(log: Log, bundle: bytes) -> bytes:
    return changed(bundle, {"../../etc/notes.txt": b"words"})


def path_that_leads_out_and_is_asked_for(log: Log, bundle: bytes) -> bytes:
    name = "files/../../notes.pdf"
    manifest = _manifest(bundle, lambda found: found["files"].append(name))
    return changed(bundle, {name: b"words", "manifest.json": manifest})


def no_manifest(log: Log, bundle: bytes) -> bytes:
    return changed(bundle, {"manifest.json": None})


def another_format(log: Log, bundle: bytes) -> bytes:
    manifest = _manifest(bundle, lambda found: found.update(format="tarebook bundle 2"))
    return changed(bundle, {"manifest.json": manifest})


def no_streams(log: Log, bundle: bytes) -> bytes:
    def empty(found: dict[str, Any]) -> None:
        found.update(streams=[], files=[])

    members = {
        name: body
        for name, body in unpack(bundle).items()
        if not name.startswith(("entries/", "proofs/", "files/"))
    }
    return pack(members | {"manifest.json": _manifest(bundle, empty)})


FAULTS: dict[str, Fault] = {
    fault.__name__: fault
    for fault in (
        wrong_leaf, middle_entry_missing, first_entry_missing, last_entry_missing,
        last_entry_missing_and_the_count_changed, entries_in_another_order, swapped_proofs,
        trailing_bytes_behind_the_zip, trailing_bytes_behind_a_line, trailing_line,
        two_heads_for_one_stream, a_second_last_entry, streams_swapped, certificates_swapped,
        certificate_with_bytes_behind, certificate_that_no_entry_names, certificate_missing,
        checkpoint_signed_by_a_stranger, older_checkpoint_in_its_place, another_earlier_checkpoint,
        member_beside_the_others, path_that_leads_out, path_that_leads_out_and_is_asked_for,
        no_manifest, another_format, no_streams,
    )
}  # fmt: skip
