"""One entry's proof in one file: its index, its path, a checkpoint (C2SP tlog-proof)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from records.domain.proof.checkpoint import SIZE, Checkpoint, open_checkpoint
from records.domain.proof.merkle import check_inclusion, leaf_hash, not_proven
from records.domain.proof.note import NoteKey, decode64, encode64

FIRST_LINE = "c2sp.org/tlog-proof@v1"


@dataclass(frozen=True, slots=True)
class TlogProof:
    """The leaf's index from 0, the hashes beside its way up, the signed checkpoint as it came.

    `extra` is under no signature: nothing may be believed because it stands there.
    """

    index: int
    path: tuple[bytes, ...]
    checkpoint: bytes
    extra: bytes = b""

    def __bytes__(self) -> bytes:
        lines = [FIRST_LINE]
        if self.extra:
            lines.append(f"extra {encode64(self.extra)}")
        lines += [f"index {self.index}", *map(encode64, self.path), "", ""]
        return "\n".join(lines).encode("ascii") + self.checkpoint


def read_tlog_proof(raw: bytes) -> TlogProof:
    """Return the proof that a file holds; the checkpoint in it is not opened yet.

    Errors: NotProven for anything that the format doesn't allow.
    """
    head, gap, checkpoint = raw.partition(b"\n\n")
    lines = head.decode("ascii", "replace").split("\n")
    if not gap or not checkpoint or lines.pop(0) != FIRST_LINE:
        raise not_proven(f"a proof that begins with {FIRST_LINE}", "another file")
    extra = b""
    if lines and lines[0].startswith("extra "):
        extra = decode64(lines.pop(0).removeprefix("extra "), "the extra line")
    word, _, index = lines.pop(0).partition(" ") if lines else ("", "", "")
    if word != "index" or not SIZE.fullmatch(index):
        raise not_proven("index and a number", f"{word} {index}"[:80])
    path = tuple(decode64(line, "the path") for line in lines)
    if any(len(node) != 32 for node in path):
        raise not_proven("hashes of 32 bytes", "another length")
    return TlogProof(int(index), path, checkpoint, extra)


def check_tlog_proof(raw: bytes, entry: bytes, keys: Sequence[NoteKey]) -> Checkpoint:
    """Check that the log had `entry` (its stored bytes) at the proof's checkpoint, and return it.

    Errors: NotProven.
    """
    proof = read_tlog_proof(raw)
    checkpoint, _ = open_checkpoint(proof.checkpoint, keys)
    check_inclusion(leaf_hash(entry), proof.index, checkpoint.size, proof.path, checkpoint.root)
    return checkpoint
