"""Verify a bundle from its bytes alone, and say in words what was checked and what was not.

Written to be read whole by who trusts neither the shop nor us: it shares no code with the side
that writes entries, and FORMAT.md says in one page what it does.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Any, NoReturn

from records.domain.errors import NotProven
from records.domain.proof.archive import unpack
from records.domain.proof.checkpoint import Checkpoint, open_checkpoint
from records.domain.proof.merkle import check_consistency, check_inclusion, leaf_hash, not_proven
from records.domain.proof.note import read_key

FORMAT = "tarebook bundle 1"
ALWAYS = {"manifest.json", "README.txt", "checkpoint.txt", "keys/log.txt", "keys/paper.pem"}
MANIFEST = {"format": str, "streams": list, "files": list, "earlier": list}
STREAM = {"stream": str, "entries": int, "head": str}
ENTRY = {"version": int, "stream": str, "seq": int, "prev": str, "data": dict}
ENTRY |= {"recorded_at": str, "actor": str, "kind": str}
PLACE = "entry {seq} of {stream} after {prev}, version {version}"
PROOF = {"index": int, "path": list}
# a file bears its own SHA-256, which an entry names in its data under a key like pdf_sha256
FILE_NAME = re.compile(r"files/[0-9a-f]{64}\.(pdf|jpg|png|webp|json|csv|xlsx)", re.ASCII)
NAMES_A_FILE = "_sha256"
HEX = re.compile(r"[0-9a-f]{64}", re.ASCII)
NEVER_CHECKED = (
    "README.txt and keys/paper.pem, which are words and help, under no proof",
    "the signatures inside PDF files: any PDF reader checks those; here only that the files are "
    "those that were entered",
    "whether a stream goes on after its last entry here: a later checkpoint or a receipt tells",
    "whether others were shown another log: compare the checkpoint with one from elsewhere",
    "the times in the entries: they are from the shop's own clock",
    "whether what was entered is true: only that it was not changed since the checkpoint",
)
KEY_INSIDE = (
    "whose key that is: it came inside the bundle, and who made one could make the other; compare "
    "it with the shop's and name it with --key"
)
# an entry by stream and seq, and what its data says
Entries = dict[tuple[str, int], dict[str, Any]]
Shape = Mapping[str, type]


@dataclass(slots=True)
class Report:
    """What was checked, what was not and why, and what was refused."""

    checked: list[str] = field(default_factory=list)
    unchecked: list[str] = field(default_factory=list)
    refused: str = "not verified yet"

    def __str__(self) -> str:
        lines = [f"checked: {each}" for each in self.checked]
        lines += [f"NOT checked: {each}" for each in self.unchecked]
        lines.append(f"REFUSED: {self.refused}" if self.refused else "the bundle holds")
        # what stands in a bundle must not steer the screen that shows it
        shown = ("".join(c if c.isprintable() else "?" for c in line) for line in lines)
        return "\n".join(shown)


def verify_bundle(raw: bytes, keys: Sequence[str] | None = None) -> Report:
    """Verify a bundle with the log keys given (name+id+base64); without, with those inside it.

    Raises nothing for what a bundle holds. It holds only where `refused` is empty.
    """
    report = Report(unchecked=list(NEVER_CHECKED))
    try:
        _verify(raw, keys, report)
        report.refused = ""
    except NotProven as refusal:
        report.refused = str(refusal)
    return report


def _verify(raw: bytes, keys: Sequence[str] | None, report: Report) -> None:
    members = unpack(raw)
    manifest = _manifest(members)
    report.checked.append(f"the file is one ZIP of {len(members)} members and nothing beside them")
    own = members["keys/log.txt"].decode("utf-8", "replace").splitlines()
    known = [read_key(text) for text in (own if keys is None else keys)]
    with _at("checkpoint.txt"):
        head, signers = open_checkpoint(members["checkpoint.txt"], known)
    report.checked.append(
        f"checkpoint of {head.size} entries of {head.origin}, root {head.root.hex()}: "
        f"signed by {' and '.join(map(str, signers))}"
    )
    report.unchecked.insert(
        0, KEY_INSIDE if keys is None else "keys/log.txt: yours was used instead"
    )
    for number, path in enumerate(manifest["earlier"], start=1):
        with _at(f"checkpoints/{number:04}.txt"):
            earlier, _ = open_checkpoint(members[f"checkpoints/{number:04}.txt"], known)
            _check_earlier(earlier, head, _hashes(path))
        report.checked.append(
            f"the log extends what it was at {earlier.size} entries, root {earlier.root.hex()}"
        )
    entries: Entries = {}
    for number, claim in enumerate(manifest["streams"], start=1):
        lines, proofs = (members[f"{part}/{number:04}.jsonl"] for part in ("entries", "proofs"))
        entries |= _read_stream(claim, _lines(lines), _lines(proofs), head)
        report.checked.append(
            f"stream {claim['stream']}: entries 1 to {claim['entries']} in one chain, each of them "
            f"in the log; the last is {claim['head']}"
        )
    _check_files(manifest["files"], members, entries, report)


def _manifest(members: dict[str, bytes]) -> dict[str, Any]:
    with _at("manifest.json"):
        manifest = _read(members.get("manifest.json", b""), MANIFEST)
        streams = [_shaped(claim, STREAM)["stream"] for claim in manifest["streams"]]
        files, earlier = manifest["files"], manifest["earlier"]
        if manifest["format"] != FORMAT:
            raise not_proven(FORMAT, manifest["format"])
        if not streams or streams != sorted(set(streams)):
            raise not_proven("each stream once, in order", str(streams))
        if not all(isinstance(name, str) and FILE_NAME.fullmatch(name) for name in files):
            raise not_proven("files named by their SHA-256", str(files))
        wanted = ALWAYS.union(files, _numbered("checkpoints/{:04}.txt", earlier))
        for name in ("entries/{:04}.jsonl", "proofs/{:04}.jsonl"):
            wanted |= _numbered(name, streams)
        if wanted != members.keys() or len(files) != len(set(files)):
            differing = sorted(wanted ^ members.keys()) or files
            raise not_proven("the members that the manifest asks for, each once", str(differing))
    return manifest


def _numbered(name: str, items: list[Any]) -> set[str]:
    return {name.format(number) for number in range(1, len(items) + 1)}


def _check_earlier(earlier: Checkpoint, head: Checkpoint, path: list[bytes]) -> None:
    if earlier.origin != head.origin:
        raise not_proven(f"a checkpoint of {head.origin}", earlier.origin)
    check_consistency(earlier.size, earlier.root, head.size, head.root, path)


def _read_stream(
    claim: dict[str, Any], lines: list[bytes], proofs: list[bytes], head: Checkpoint
) -> Entries:
    stream, prev, entries = claim["stream"], "0" * 64, {}
    if not len(lines) == len(proofs) == claim["entries"]:
        got = f"{len(lines)} entries and {len(proofs)} proofs"
        raise not_proven(f"{claim['entries']} of each in {stream}", got)
    for seq, (raw, proof_line) in enumerate(zip(lines, proofs, strict=True), start=1):
        with _at(f"{stream}, entry {seq}"):
            entry, proof = _read(raw, ENTRY), _read(proof_line, PROOF)
            wanted = {"version": 1, "stream": stream, "seq": seq, "prev": prev}
            if entry | wanted != entry:
                raise not_proven(PLACE.format_map(wanted), PLACE.format_map(entry))
            leaf, path = leaf_hash(raw), _hashes(proof["path"])
            check_inclusion(leaf, proof["index"], head.size, path, head.root)
        entries[stream, seq], prev = entry["data"], leaf.hex()
    if prev != claim["head"]:
        raise not_proven(f"{stream} to end at {claim['head']}", prev)
    return entries


def _check_files(
    names: list[str], members: dict[str, bytes], entries: Entries, report: Report
) -> None:
    digests = {sha256(members[name]).hexdigest(): name for name in names}
    naming = {
        data[key]: f"entry {seq} of {stream} under {key}"
        for (stream, seq), data in entries.items()
        for key in data
        if key.endswith(NAMES_A_FILE) and isinstance(data[key], str)
    }
    for digest, name in digests.items():
        if not name.startswith(f"files/{digest}.") or digest not in naming:
            raise not_proven(f"{name} as an entry names it", f"a file of SHA-256 {digest}")
        report.checked.append(f"{name} is, byte for byte, what is named by {naming.pop(digest)}")
    report.unchecked += [
        f"the file that is named by {place}: not here" for place in naming.values()
    ]


@contextmanager
def _at(where: str) -> Iterator[None]:
    try:
        yield
    except NotProven as refusal:
        raise NotProven(refusal.code, refusal.message, field=where) from refusal


def _lines(body: bytes) -> list[bytes]:
    if not body.endswith(b"\n"):
        raise not_proven("lines that each end", "none, or one cut short")
    return body[:-1].split(b"\n")


def _read(raw: bytes, keys: Shape) -> dict[str, Any]:
    try:
        value = json.loads(raw.decode("utf-8"), parse_float=_no_float, parse_constant=_no_float)
        text = json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
        again = text.encode("utf-8")
    except (ValueError, RecursionError) as error:
        raise not_proven("canonical JSON", str(error)) from error
    # RFC 8785, with floats refused; a key that stands twice is lost on the way, and so found here
    if again != raw:
        raise not_proven("canonical JSON", "the same written another way")
    return _shaped(value, keys)


def _shaped(value: Any, keys: Shape) -> dict[str, Any]:
    if type(value) is not dict or {key: type(value[key]) for key in value} != keys:
        raise not_proven(f"exactly the keys {', '.join(keys)}, of their kinds", str(value)[:200])
    return value


def _hashes(path: Any) -> list[bytes]:
    if type(path) is not list or not all(
        isinstance(text, str) and HEX.fullmatch(text) for text in path
    ):
        raise not_proven("hashes as 64 hex digits", "others")
    return [bytes.fromhex(text) for text in path]


def _no_float(text: str) -> NoReturn:
    raise not_proven("integers and texts", text)
