"""A second implementation of FORMAT.md: zipfile, hashlib, rfc8785, pymerkle; no code of ours."""

import base64
import hashlib
import io
import json
import re
import zipfile
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
from pymerkle import InmemoryTree

from records.domain.proof.verify import verify_bundle
from tests.domain.proof.small_log import BUILD, KEY, bundle_of, small_log

ROOT = Path(__file__).resolve().parents[3]
PAGE = (ROOT / "records/domain/proof/FORMAT.md").read_text("utf-8")
VECTORS = json.loads((ROOT / "tests/data/proof/bundle_vectors.json").read_text("utf-8"))
BUNDLE = base64.b64decode(VECTORS["bundle"])


def _members(raw: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(raw)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def _climb(leaf: bytes, index: int, size: int, path: list[bytes]) -> bytes:
    """Walk up as RFC 9162, 2.1.3.2 says it, step by step; ours mirrors 2.1.3.1 instead."""
    at, last, found = index, size - 1, leaf
    for node in path:
        right = at % 2 == 1 or at == last
        pair = node + found if right else found + node
        found = hashlib.sha256(b"\x01" + pair).digest()
        while right and at % 2 == 0 and at != 0:
            at, last = at >> 1, last >> 1
        at, last = at >> 1, last >> 1
    return found if last == 0 else b""


def test_the_vector_is_what_is_written_today() -> None:
    # the format is kept for ever: if this fails, it changed and needs a new number; only the words
    # of the README may change
    written = _members(bundle_of(small_log()))
    assert {**written, "README.txt": b""} == {**_members(BUNDLE), "README.txt": b""}


def test_an_old_bundle_holds_for_ever() -> None:
    assert verify_bundle(BUNDLE, [VECTORS["key"]]).refused == ""


def test_the_checkpoint_is_signed_by_the_key() -> None:
    members = _members(BUNDLE)
    text, _, signature = members["checkpoint.txt"].partition(b"\n\n")
    name, key_id, body = members["keys/log.txt"].decode().strip().split("+", 2)
    public = base64.b64decode(body)[1:]
    assert hashlib.sha256(name.encode() + b"\n\x01" + public).digest()[:4].hex() == key_id
    signed = base64.b64decode(signature.split(b" ")[2])
    assert signed[:4].hex() == key_id
    Ed25519PublicKey.from_public_bytes(public).verify(signed[4:], text + b"\n")
    with pytest.raises(InvalidSignature):
        Ed25519PublicKey.from_public_bytes(public).verify(signed[4:], text)


def test_every_entry_is_chained_canonical_and_in_the_tree() -> None:
    members = _members(BUNDLE)
    _, size, root = members["checkpoint.txt"].decode().split("\n")[:3]
    streams = json.loads(members["manifest.json"])["streams"]
    for number, claim in enumerate(streams, start=1):
        prev = "0" * 64
        entries = members[f"entries/{number:04}.jsonl"].split(b"\n")[:-1]
        proofs = members[f"proofs/{number:04}.jsonl"].split(b"\n")[:-1]
        for seq, (raw, proof_line) in enumerate(zip(entries, proofs, strict=True), start=1):
            entry, proof = json.loads(raw), json.loads(proof_line)
            assert rfc8785.dumps(entry) == raw
            assert (entry["stream"], entry["seq"], entry["prev"]) == (claim["stream"], seq, prev)
            leaf = hashlib.sha256(b"\x00" + raw).digest()
            path = [bytes.fromhex(node) for node in proof["path"]]
            assert _climb(leaf, proof["index"], int(size), path) == base64.b64decode(root)
            prev = leaf.hex()
        assert (len(entries), prev) == (claim["entries"], claim["head"])


def test_the_root_is_that_of_an_independent_package() -> None:
    log, tree = small_log(), InmemoryTree(algorithm="sha256")
    for stream, seq in log.order:
        tree.append_entry(log.streams[stream][seq - 1])
    root = _members(BUNDLE)["checkpoint.txt"].decode().split("\n")[2]
    assert tree.get_root(9) == base64.b64decode(root)


def test_files_bear_the_hash_that_an_entry_names() -> None:
    members = _members(BUNDLE)
    named = set(re.findall(rb'"pdf_sha256":"([0-9a-f]{64})"', members["entries/0001.jsonl"]))
    files = {name: body for name, body in members.items() if name.startswith("files/")}
    assert len(files) == 2
    for name, body in files.items():
        digest = hashlib.sha256(body).hexdigest()
        assert name == f"files/{digest}.pdf"
        assert digest.encode() in named


def test_the_page_tells_the_figures_of_the_vector() -> None:
    members = _members(BUNDLE)
    first = members["entries/0001.jsonl"].split(b"\n")[0]
    figures: dict[str, Any] = {
        "key": KEY,
        "first entry": first.decode(),
        "its hash": hashlib.sha256(b"\x00" + first).hexdigest(),
        "its proof": members["proofs/0001.jsonl"].split(b"\n")[0].decode(),
        "checkpoint": members["checkpoint.txt"].decode().split("\n")[2],
        "bundle": hashlib.sha256(BUNDLE).hexdigest(),
    }
    assert BUILD in figures["first entry"]
    missing = [name for name, figure in figures.items() if figure not in PAGE]
    assert missing == []


def test_the_page_is_one_page() -> None:
    assert len(PAGE.splitlines()) < 100
