"""Build the log's Merkle tree (RFC 9162, 2.1): its root as it grows, and the proofs out of it.

A proof is made of nodes over full halves, so whatever can answer for `node(level, index)` can make
it: the hash over the 2**level leaves from index * 2**level on. A table can, and `Tree` does.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from hashlib import sha256

from records.domain.errors import BadValue, Code
from records.domain.proof.merkle import HASH_LENGTH, greatest_half, node_hash

Nodes = Callable[[int, int], bytes]
EMPTY_ROOT = sha256(b"").digest()


@dataclass(frozen=True, slots=True)
class Frontier:
    """A tree by its full halves alone, largest first: all that the next root needs."""

    size: int = 0
    halves: tuple[bytes, ...] = ()

    def __post_init__(self) -> None:
        # a frontier is read back from a table; a torn one must not make a root
        full = self.size.bit_count() if self.size >= 0 else -1
        if len(self.halves) != full or any(len(half) != HASH_LENGTH for half in self.halves):
            raise BadValue(
                Code.BAD_VALUE,
                f"expected {full} hashes for a tree of {self.size}, got {len(self.halves)}",
                field="halves",
            )

    def append(self, leaf: bytes) -> Frontier:
        """Return the frontier with one more leaf (a hash) behind it."""
        halves, size, node = list(self.halves), self.size, leaf
        while size & 1:
            node, size = node_hash(halves.pop(), node), size >> 1
        return Frontier(self.size + 1, (*halves, node))

    def root(self) -> bytes:
        """Return the root of the tree; that of an empty one is SHA-256 of nothing (2.1.1)."""
        if not self.halves:
            return EMPTY_ROOT
        node = self.halves[-1]
        for half in reversed(self.halves[:-1]):
            node = node_hash(half, node)
        return node


class Tree:
    """All nodes over full halves of a growing tree, 64 bytes a leaf."""

    __slots__ = ("_levels",)

    def __init__(self) -> None:
        self._levels: list[bytearray] = [bytearray()]

    @property
    def size(self) -> int:
        """Return the number of leaves."""
        return len(self._levels[0]) // HASH_LENGTH

    def append(self, leaf: bytes) -> None:
        """Put a leaf (a hash) behind the others.

        Errors: BadValue for a hash of another length.
        """
        if len(leaf) != HASH_LENGTH:
            raise BadValue(Code.BAD_VALUE, f"expected {HASH_LENGTH} bytes, got {len(leaf)}")
        index, level, node = self.size, 0, leaf
        self._levels[0] += node
        while index & 1:
            node = node_hash(self.node(level, index - 1), node)
            index, level = index >> 1, level + 1
            if level == len(self._levels):
                self._levels.append(bytearray())
            self._levels[level] += node

    def node(self, level: int, index: int) -> bytes:
        """Return the hash over the 2**level leaves from index * 2**level on."""
        found = b""
        if 0 <= level < len(self._levels) and index >= 0:
            found = bytes(self._levels[level][index * HASH_LENGTH : (index + 1) * HASH_LENGTH])
        if not found:
            raise BadValue(Code.OUT_OF_RANGE, f"no full node {index} at level {level}")
        return found


def root_of(node: Nodes, size: int) -> bytes:
    """Return the root over the first `size` leaves."""
    return _over(node, 0, size) if size else EMPTY_ROOT


def inclusion_path(node: Nodes, index: int, size: int) -> list[bytes]:
    """Return the proof that leaf `index` is in the tree of the first `size` leaves (2.1.3.1).

    Errors: BadValue when the tree has no such leaf.
    """
    if not 0 <= index < size:
        raise BadValue(Code.OUT_OF_RANGE, f"expected a leaf from 0 to {size - 1}, got {index}")
    path: list[bytes] = []
    start, end = 0, size
    while end - start > 1:
        middle = start + greatest_half(end - start)
        if index < middle:
            path.append(_over(node, middle, end))
            end = middle
        else:
            path.append(_over(node, start, middle))
            start = middle
    return path[::-1]


def consistency_path(node: Nodes, size: int, later_size: int) -> list[bytes]:
    """Return the proof that the tree of `later_size` extends that of `size` (2.1.4.1).

    Errors: BadValue when `size` is 0 or beyond the later one.
    """
    if not 0 < size <= later_size:
        raise BadValue(Code.OUT_OF_RANGE, f"expected a size from 1 to {later_size}, got {size}")
    path: list[bytes] = []
    start, end = 0, later_size
    while end != size:
        middle = start + greatest_half(end - start)
        if size <= middle:
            path.append(_over(node, middle, end))
            end = middle
        else:
            path.append(_over(node, start, middle))
            start = middle
    if start:
        # the earlier tree is no full half of the later one, so its last part must be told
        path.append(_over(node, start, end))
    return path[::-1]


def _over(node: Nodes, start: int, end: int) -> bytes:
    width = end - start
    if width & (width - 1) == 0:
        level = width.bit_length() - 1
        return node(level, start >> level)
    middle = start + greatest_half(width)
    return node_hash(_over(node, start, middle), _over(node, middle, end))
