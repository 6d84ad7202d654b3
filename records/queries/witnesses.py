"""What was kept outside the database, made ready to be held against it: heads, papers, receipts."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from records import anchors
from records.documents.attached import ENTRY_FILE, PROOF_FILE, WITNESS_FILES
from records.documents.signing.apart import examine_apart
from records.domain.errors import TarebookError
from records.domain.proof.envelope import entry_hash, read_envelope
from records.domain.proof.merkle import check_inclusion, leaf_hash
from records.domain.proof.tlog_proof import read_tlog_proof
from records.log_keys import open_known
from records.queries.papers import LARGEST_BYTES, verify_paper
from records.shop_keys import trusted_roots


@dataclass(frozen=True, slots=True)
class SeenHead:
    """A head of the log that somebody outside holds; `root` in hex."""

    where: str
    size: int
    root: str


@dataclass(frozen=True, slots=True)
class HeldReceipt:
    """Where an entry stood when it was written, by who kept its receipt."""

    where: str
    stream: str
    seq: int
    hash: str


@dataclass(frozen=True, slots=True)
class Amiss:
    """Something kept outside that can't be used, and why."""

    where: str
    expected: str
    got: str


@dataclass(frozen=True, slots=True)
class Outside:
    """What one thing kept outside says of the record."""

    heads: tuple[SeenHead, ...] = ()
    receipts: tuple[HeldReceipt, ...] = ()
    amiss: tuple[Amiss, ...] = ()


def checkpoint_outside(where: str, note: bytes) -> Outside:
    """Read a head that was kept as a file; one that no key of this log signed is amiss."""
    try:
        return Outside(heads=(_seen(where, note),))
    except TarebookError as error:
        return Outside(amiss=(_amiss(where, "a head signed by this log", error),))


def folder_outside() -> Iterator[Outside]:
    """Yield every head in the folder that the settings name."""
    try:
        for anchored in anchors.notes_outside():
            yield checkpoint_outside(anchored.where, anchored.note)
    except TarebookError as error:
        yield Outside(amiss=(_amiss("the folder of checkpoints", "files to read", error),))


def paper_outside(where: str, pdf: bytes) -> Outside:
    """Read what a certificate carries of the ledger: its release's entry, and the head over it.

    The paper's own signature is examined first, apart; what isn't our paper is not read further.
    """
    try:
        seen = examine_apart(pdf, trusted_roots(), largest=LARGEST_BYTES)
    except TarebookError as error:
        return Outside(amiss=(_amiss(where, "a root to judge the paper by", error),))
    if not seen.ok:
        return Outside(amiss=(Amiss(where, "a paper of ours", "; ".join(seen.problems)),))
    told = [Amiss(where, "a paper as it was issued", each) for each in verify_paper(pdf).problems]
    lacking = [name for name in WITNESS_FILES if name not in seen.witness_files]
    if lacking:
        missing = Amiss(where, f"{', '.join(lacking)} inside it", "a paper that carries no head")
        return Outside(amiss=(*told, missing))
    try:
        head, receipt = _on_paper(where, seen.witness_files[ENTRY_FILE], seen.witness_files)
    except TarebookError as error:
        return Outside(amiss=(*told, _amiss(where, "a proof that holds inside it", error)))
    return Outside((head,), (receipt,), tuple(told))


def receipts_outside(where: str, raw: bytes) -> Outside:
    """Read receipts, one a line: JSON with stream, seq and hash, or an answer with a receipt."""
    held: list[HeldReceipt] = []
    amiss: list[Amiss] = []
    for number, line in enumerate(raw.decode("utf-8", "replace").splitlines(), start=1):
        if not line.strip():
            continue
        at = f"{where}, line {number}"
        receipt = _receipt(at, line)
        if receipt:
            held.append(receipt)
        else:
            amiss.append(Amiss(at, "JSON with stream, seq and hash", line[:120]))
    return Outside(receipts=tuple(held), amiss=tuple(amiss))


def _seen(where: str, note: bytes) -> SeenHead:
    head = open_known(note)
    return SeenHead(where, head.size, head.root.hex())


def _on_paper(where: str, entry: bytes, files: Any) -> tuple[SeenHead, HeldReceipt]:
    proof = read_tlog_proof(files[PROOF_FILE])
    head = open_known(proof.checkpoint)
    check_inclusion(leaf_hash(entry), proof.index, head.size, proof.path, head.root)
    envelope = read_envelope(entry)
    return (
        SeenHead(where, head.size, head.root.hex()),
        HeldReceipt(where, envelope.stream, envelope.seq, entry_hash(entry)),
    )


def _receipt(where: str, line: str) -> HeldReceipt | None:
    try:
        told = json.loads(line)
    except ValueError:
        return None
    if isinstance(told, dict) and isinstance(told.get("receipt"), dict):
        told = told["receipt"]
    if not isinstance(told, dict):
        return None
    stream, seq, digest = (told.get(key) for key in ("stream", "seq", "hash"))
    if isinstance(stream, str) and type(seq) is int and isinstance(digest, str):
        return HeldReceipt(where, stream, seq, digest)
    return None


def _amiss(where: str, expected: str, error: TarebookError) -> Amiss:
    return Amiss(where, expected, error.message)
