"""A small invented log for tests: two streams, two certificates, one earlier checkpoint."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from records.domain.proof.archive import pack, unpack
from records.domain.proof.bundle import (
    BundleEntry,
    BundleFile,
    BundleStream,
    EarlierCheckpoint,
    write_bundle,
)
from records.domain.proof.checkpoint import Checkpoint
from records.domain.proof.envelope import NOTHING_BEFORE, Envelope, entry_hash, envelope_bytes
from records.domain.proof.merkle import leaf_hash
from records.domain.proof.note_signing import key_of, sign_note
from records.domain.proof.tree import Tree, consistency_path, inclusion_path, root_of

ORIGIN = "ferrow-lane.example/log"
PRIVATE = Ed25519PrivateKey.from_private_bytes(sha256(b"a key for tests alone").digest())
STRANGER = Ed25519PrivateKey.from_private_bytes(sha256(b"Nils is from another team").digest())
KEY = str(key_of(ORIGIN, PRIVATE))
FIRST_PAPER, SECOND_PAPER = b"%PDF-1.7 first", b"%PDF-1.7 second"
BUILD, SCALE = "build/26-014", "scale/S-04"


@dataclass(frozen=True)
class Log:
    """Streams as chains of stored bytes, and the order in which the log took their entries."""

    streams: dict[str, list[bytes]]
    order: list[tuple[str, int]]

    @property
    def tree(self) -> Tree:
        tree = Tree()
        for stream, seq in self.order:
            tree.append(leaf_hash(self.streams[stream][seq - 1]))
        return tree

    def checkpoint(self, size: int, private: Ed25519PrivateKey = PRIVATE) -> bytes:
        root = root_of(self.tree.node, size)
        return sign_note(Checkpoint(ORIGIN, size, root).text(), ORIGIN, private)

    def stream(self, name: str) -> BundleStream:
        node, size = self.tree.node, self.tree.size
        entries = []
        for seq, raw in enumerate(self.streams[name], start=1):
            index = self.order.index((name, seq))
            entries.append(BundleEntry(raw, index, tuple(inclusion_path(node, index, size))))
        return BundleStream(name, entries)

    def earlier(self, size: int) -> EarlierCheckpoint:
        path = consistency_path(self.tree.node, size, self.tree.size)
        return EarlierCheckpoint(self.checkpoint(size), tuple(path))


def chained(stream: str, datas: Sequence[dict[str, Any]]) -> list[bytes]:
    """Return a stream's stored bytes, one entry for each data."""
    found: list[bytes] = []
    prev = NOTHING_BEFORE
    for seq, data in enumerate(datas, start=1):
        at = f"2026-03-02T08:{seq % 60:02}:00.000000Z"
        raw = envelope_bytes(Envelope(1, stream, seq, prev, at, "P-02", "weighing recorded", data))
        found.append(raw)
        prev = entry_hash(raw)
    return found


def small_log() -> Log:
    """Return a log of nine entries: five of a build, three of a scale, one of another build."""
    papers = [{"pdf_sha256": sha256(paper).hexdigest()} for paper in (FIRST_PAPER, SECOND_PAPER)]
    streams = {
        BUILD: chained(BUILD, [{"n": 1}, {"mass_g": "412.35"}, papers[0], {"n": 4}, papers[1]]),
        SCALE: chained(SCALE, [{"n": 1}, {"words": "Prüfgewicht µ"}, {"n": 3}]),
        "build/26-015": chained("build/26-015", [{"n": 1}]),
    }
    order = [(BUILD, 1), (SCALE, 1), (BUILD, 2), (SCALE, 2), ("build/26-015", 1), (BUILD, 3)]
    order += [(BUILD, 4), (SCALE, 3), (BUILD, 5)]
    return Log(streams, order)


def bundle_of(log: Log) -> bytes:
    """Return the bundle of the build and its scale, with both papers."""
    return write_bundle(
        streams=[log.stream(SCALE), log.stream(BUILD)],
        checkpoint=log.checkpoint(log.tree.size),
        log_keys=[KEY],
        files=[BundleFile("pdf", FIRST_PAPER), BundleFile("pdf", SECOND_PAPER)],
        earlier=[log.earlier(6)],
    )


def changed(raw: bytes, bodies: dict[str, bytes | None]) -> bytes:
    """Return a bundle with members put in place of others (None: left out), well packed."""
    members = unpack(raw) | {name: body for name, body in bodies.items() if body is not None}
    return pack({name: body for name, body in members.items() if bodies.get(name, b"") is not None})
