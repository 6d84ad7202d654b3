"""Write a bundle: streams, their proofs, checkpoints, files and keys in one ZIP (FORMAT.md)."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from hashlib import sha256

from records.domain.errors import BadValue, Code, NotProven
from records.domain.proof.archive import pack
from records.domain.proof.canonical import canonical_bytes
from records.domain.proof.merkle import leaf_hash
from records.domain.proof.verify import FILE_NAME, FORMAT, verify_bundle


@dataclass(frozen=True, slots=True)
class BundleEntry:
    """An entry's stored bytes, its index in the log from 0, and its path to the checkpoint."""

    raw: bytes
    index: int
    path: tuple[bytes, ...]


@dataclass(frozen=True, slots=True)
class BundleStream:
    """A stream from its first entry on."""

    stream: str
    entries: Sequence[BundleEntry]


@dataclass(frozen=True, slots=True)
class BundleFile:
    """A file whose SHA-256 an entry names; `ending` without a dot, as "pdf"."""

    ending: str
    body: bytes


@dataclass(frozen=True, slots=True)
class EarlierCheckpoint:
    """A checkpoint as it was signed once, and the path from it to the bundle's own."""

    note: bytes
    path: tuple[bytes, ...]


def write_bundle(
    *,
    streams: Sequence[BundleStream],
    checkpoint: bytes,
    log_keys: Sequence[str],
    files: Sequence[BundleFile] = (),
    earlier: Sequence[EarlierCheckpoint] = (),
    paper_keys: bytes = b"",
) -> bytes:
    """Return the bundle's bytes; the same values give the same bytes.

    `checkpoint` is a signed note, `log_keys` are verifier keys (name+id+base64), `paper_keys` the
    certificates of those who sign papers, as PEM.
    Errors: BadValue for an ending that the format doesn't know, a stream without entries or what
    is too large; NotProven when the bundle would not verify: such a one is never written.
    """
    ordered = sorted(streams, key=lambda each: each.stream)
    members = {
        "README.txt": README.encode(),
        "checkpoint.txt": checkpoint,
        "keys/log.txt": "".join(f"{key}\n" for key in log_keys).encode(),
        "keys/paper.pem": paper_keys,
    }
    named = {_file_name(each): each.body for each in files}
    for number, once in enumerate(earlier, start=1):
        members[f"checkpoints/{number:04}.txt"] = once.note
    for number, stream in enumerate(ordered, start=1):
        members[f"entries/{number:04}.jsonl"] = _lines(each.raw for each in stream.entries)
        members[f"proofs/{number:04}.jsonl"] = _lines(map(_proof, stream.entries))
    members["manifest.json"] = canonical_bytes(
        {
            "format": FORMAT,
            "streams": [_claim(each) for each in ordered],
            "files": sorted(named),
            "earlier": [[node.hex() for node in once.path] for once in earlier],
        }
    )
    raw = _packed(members | named)
    _check(raw, log_keys)
    return raw


def _packed(members: dict[str, bytes]) -> bytes:
    size = sum(len(body) + 2 * len(name) + 76 for name, body in members.items())
    if len(members) > 0xFFFF or size > 0xFFFFFFFF:
        raise BadValue(
            Code.TOO_LARGE,
            f"expected at most 65535 members and 4 GiB, got {len(members)} and {size} bytes",
        )
    return pack(members)


def _check(raw: bytes, log_keys: Sequence[str]) -> None:
    refused = verify_bundle(raw, log_keys).refused
    if refused:
        raise NotProven(Code.NOT_PROVEN, f"the bundle would not verify: {refused}")


def _claim(stream: BundleStream) -> dict[str, object]:
    if not stream.entries:
        raise BadValue(Code.BAD_VALUE, f"expected entries in {stream.stream}, got none")
    return {
        "stream": stream.stream,
        "entries": len(stream.entries),
        "head": leaf_hash(stream.entries[-1].raw).hex(),
    }


def _proof(entry: BundleEntry) -> bytes:
    return canonical_bytes({"index": entry.index, "path": [node.hex() for node in entry.path]})


def _lines(lines: Iterable[bytes]) -> bytes:
    return b"".join(line + b"\n" for line in lines)


def _file_name(file: BundleFile) -> str:
    name = f"files/{sha256(file.body).hexdigest()}.{file.ending}"
    if not FILE_NAME.fullmatch(name):
        raise BadValue(Code.BAD_VALUE, f"expected a known ending, got {file.ending!r}")
    return name


README = """\
This is a bundle of a shop's record. It holds what was entered about a build, word for word, and
the proof that none of it was changed since.

What lies here
  entries/       what was entered: one line an entry, one file a stream, oldest first
  proofs/        for each entry, on the same line, its proof that it is in the shop's log
  checkpoint.txt the head of that log, signed by the shop
  checkpoints/   earlier heads, which the later one must still contain
  files/         certificates and photographs, each named by its SHA-256
  keys/log.txt   the public key of the log; keys/paper.pem: those of the papers
  manifest.json  what must be here

How to check it
  Take the verifier of the project from a source that you trust, not from who gave you this file:
      python -m records.domain.proof BUNDLE --key KEY
  KEY is the shop's public key, best from another source than this bundle: from an older
  certificate, or from the shop itself. It needs Python and the package "cryptography", and no
  network. It says what was checked, what was not, and why. The file FORMAT.md beside its code
  is one page, by which anyone can write another verifier.

What no check can tell
  That what was entered was true. A proof shows that a record was not changed; it does not show
  that a weighing was right, nor that an engine is safe.
"""
