"""Read a checkpoint: the head of the log's tree in a signed note (C2SP tlog-checkpoint)."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from records.domain.proof.merkle import not_proven
from records.domain.proof.note import NoteKey, decode64, encode64, open_note

SIZE = re.compile(r"0|[1-9][0-9]{0,18}", re.ASCII)


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """The log's name, the number of its entries, the root over them (32 bytes)."""

    origin: str
    size: int
    root: bytes
    extensions: tuple[str, ...] = ()

    def text(self) -> str:
        """Return the note's text: each value on a line of its own."""
        lines = (self.origin, str(self.size), encode64(self.root), *self.extensions)
        return "".join(f"{line}\n" for line in lines)


def read_checkpoint(text: str) -> Checkpoint:
    """Return the checkpoint that a note's text holds, or NotProven."""
    lines = text.split("\n")[:-1]
    if len(lines) < 3 or not all(lines) or not SIZE.fullmatch(lines[1]):
        raise not_proven("a checkpoint: origin, size, root, each on its line", text[:200])
    root = decode64(lines[2], "the root")
    if len(root) != 32:
        raise not_proven("a root of 32 bytes", str(len(root)))
    return Checkpoint(lines[0], int(lines[1]), root, tuple(lines[3:]))


def open_checkpoint(raw: bytes, keys: Sequence[NoteKey]) -> tuple[Checkpoint, list[NoteKey]]:
    """Return the checkpoint of a note and which of `keys` signed it.

    Errors: NotProven, also when no key of the log's own name is among the signers: a witness may
    sign beside the log, never instead of it.
    """
    text, signers = open_note(raw, keys)
    checkpoint = read_checkpoint(text)
    if checkpoint.origin not in {key.name for key in signers}:
        raise not_proven(f"a signature by the log {checkpoint.origin}", "one by others")
    return checkpoint, signers
