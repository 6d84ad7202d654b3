"""Check proofs of the log's Merkle tree: that a leaf is in it, that a later tree extends it.

The tree is that of RFC 9162, 2.1 (RFC 6962 has the same). Nothing here makes a proof, so that the
offline verifier stays short enough to be read whole; `tree` makes them.
"""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import sha256

from records.domain.errors import Code, NotProven

HASH_LENGTH = 32


def leaf_hash(raw: bytes) -> bytes:
    """Return SHA-256(0x00 ‖ bytes): the hash of a leaf, and of a ledger's entry (2.1.1)."""
    return sha256(b"\x00" + raw).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    """Return SHA-256(0x01 ‖ left ‖ right) (2.1.1)."""
    return sha256(b"\x01" + left + right).digest()


def check_inclusion(leaf: bytes, index: int, size: int, path: Sequence[bytes], root: bytes) -> None:
    """Check that the hash `leaf` is leaf `index`, from 0, of the tree of `size`, or NotProven."""
    if not 0 <= index < size:
        raise not_proven(f"a leaf below {size}", str(index))
    _check_root(_root_over(leaf, index, size, path), root)


def check_consistency(
    size: int, root: bytes, later_size: int, later_root: bytes, path: Sequence[bytes]
) -> None:
    """Check that the later tree begins with the earlier one, or NotProven.

    An earlier size of 0 is refused: any tree extends it, so such a proof says nothing.
    """
    if not 0 < size <= later_size:
        raise not_proven(f"an earlier size from 1 to {later_size}", str(size))
    found, later_found = _roots_over(size, later_size, path, [root])
    _check_root(found, root)
    _check_root(later_found, later_root)


def greatest_half(size: int) -> int:
    """Return the greatest power of two below `size`, where a tree of 2 or more splits (2.1.1)."""
    return 1 << ((size - 1).bit_length() - 1)


def not_proven(expected: str, got: str) -> NotProven:
    """Return the refusal that says what was expected and what came."""
    words = f"expected {expected}, got {got}"
    return NotProven(Code.NOT_PROVEN, words, expected=expected, got=got)


def _root_over(leaf: bytes, index: int, size: int, path: Sequence[bytes]) -> bytes:
    # the mirror of PATH (2.1.3.1): its last hash covers the half that the leaf is not in
    if size == 1:
        return _only([leaf, *path])
    half, other = greatest_half(size), _last(path)
    if index < half:
        return node_hash(_root_over(leaf, index, half, path[:-1]), other)
    return node_hash(other, _root_over(leaf, index - half, size - half, path[:-1]))


def _roots_over(
    size: int, later_size: int, path: Sequence[bytes], known: Sequence[bytes]
) -> tuple[bytes, bytes]:
    # the mirror of SUBPROOF (2.1.4.1): known: the root of a whole earlier tree
    if size == later_size:
        whole = _only([*known, *path])
        return whole, whole
    half, other = greatest_half(later_size), _last(path)
    if size <= half:
        found, later_found = _roots_over(size, half, path[:-1], known)
        return found, node_hash(later_found, other)
    found, later_found = _roots_over(size - half, later_size - half, path[:-1], ())
    return node_hash(other, found), node_hash(other, later_found)


def _only(nodes: Sequence[bytes]) -> bytes:
    if len(nodes) != 1:
        raise not_proven("a proof of the tree's height", "a longer or a shorter one")
    return nodes[0]


def _last(path: Sequence[bytes]) -> bytes:
    if not path or len(path[-1]) != HASH_LENGTH:
        raise not_proven("one hash for each height", "fewer, or one of another length")
    return path[-1]


def _check_root(found: bytes, root: bytes) -> None:
    if found != root or len(root) != HASH_LENGTH:
        raise not_proven(f"the root {root.hex()}", found.hex())
