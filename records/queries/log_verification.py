"""Walk the log: its leaves against the entries, its nodes, and every head that was ever signed.

The tree is reckoned anew from the leaves, in one pass and constant memory; at each size that a head
names, in the database or outside, the root must be the one that was signed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import merge

from records import ledger, log
from records.domain.errors import TarebookError
from records.domain.proof.merkle import node_hash
from records.domain.proof.tree import Frontier
from records.log import STEP, Leaf
from records.log_keys import open_known
from records.queries.differences import Kind, Progress, Verification
from records.queries.witnesses import Outside

TELL_EVERY = 10_000


@dataclass(frozen=True, slots=True, order=True)
class _Claim:
    """A head that the log must still have, and how to name it when it doesn't."""

    size: int
    root: str
    where: str
    kind: Kind


class _Walk:
    """The tree as far as the leaves were walked; it gives each full node that a table keeps."""

    __slots__ = ("halves", "size")

    def __init__(self) -> None:
        self.size = 0
        self.halves: list[bytes] = []

    def take(self, leaf: bytes) -> list[tuple[int, int, bytes]]:
        """Take the next leaf; return (level, place, hash) of the kept nodes that it makes full."""
        halves, rest, node, level = self.halves, self.size, leaf, 0
        full: list[tuple[int, int, bytes]] = []
        self.size += 1
        while rest & 1:
            node, rest, level = node_hash(halves.pop(), node), rest >> 1, level + 1
            if level % STEP == 0:
                full.append((level, (self.size >> level) - 1, node))
        halves.append(node)
        return full

    def root(self) -> str:
        """Return the root of what was walked, in hex."""
        return Frontier(self.size, tuple(self.halves)).root().hex()


def verify_log(result: Verification, tell: Progress, outside: Sequence[Outside]) -> None:
    """Walk the log, and hold it against every head, ours and those kept outside."""
    # in this order, so that what is signed or taken up meanwhile makes no difference appear
    newest = log.newest_pk()
    claims = merge(_our_claims(result, newest), _claims_outside(result, outside))
    least = log.size()
    nodes = log.kept_nodes()
    walk = _Walk()
    due = next(claims, None)
    for leaf in log.leaves():
        if not _stands(result, leaf, walk.size):
            break
        for level, place, digest in walk.take(bytes.fromhex(leaf.leaf)):
            _check_node(result, level, place, digest.hex(), nodes, within=walk.size <= least)
        if walk.size % TELL_EVERY == 0:
            tell("leaves of the log walked", walk.size)
        while due is not None and due.size <= walk.size:
            _check_claim(result, due, walk.root() if due.size == walk.size else "none")
            due = next(claims, None)
    _look_at_what_is_left(result, walk, least, nodes)
    while due is not None:
        _check_claim(result, due, f"a log of {walk.size} entries")
        due = next(claims, None)
    result.logged, result.waiting = walk.size, log.waiting()


def verify_receipts(result: Verification, outside: Sequence[Outside]) -> None:
    """Look for the entry of each receipt, where it stood and as it was."""
    for receipt in (each for thing in outside for each in thing.receipts):
        result.receipts += 1
        got = ledger.hash_at(receipt.stream, receipt.seq)
        if got != receipt.hash:
            where = f"{receipt.stream} {receipt.seq}, by {receipt.where}"
            result.found(Kind.RECEIPT_DIFFERS, where, receipt.hash, got or "no entry")


def _our_claims(result: Verification, until: int) -> Iterator[_Claim]:
    for kept in log.checkpoints(until=until):
        result.checkpoints += 1
        where = f"checkpoint of {kept.size} entries"
        try:
            head = open_known(kept.note)
        except TarebookError as error:
            result.found(Kind.CHECKPOINT_UNSIGNED, where, "a signature by this log", error.message)
            continue
        if (head.size, head.root.hex()) != (kept.size, kept.root):
            got = f"{head.size} entries, root {head.root.hex()}"
            result.found(Kind.CHECKPOINT_DIFFERS, f"{where}, its row", f"root {kept.root}", got)
        yield _Claim(kept.size, head.root.hex(), where, Kind.CHECKPOINT_DIFFERS)


def _claims_outside(result: Verification, outside: Sequence[Outside]) -> list[_Claim]:
    claims = []
    for thing in outside:
        for each in thing.amiss:
            result.found(Kind.OUTSIDE_UNREADABLE, each.where, each.expected, each.got)
        for head in thing.heads:
            result.outside += 1
            claims.append(_Claim(head.size, head.root, head.where, Kind.OUTSIDE_DIFFERS))
    return sorted(claims)


def _stands(result: Verification, leaf: Leaf, index: int) -> bool:
    """Say whether a leaf is where and what it must be; after one that isn't, no root holds."""
    if leaf.index != index:
        # also when the entry that leaf `index` points to is gone
        result.found(
            Kind.LOG_DIFFERS, f"leaf {index}", "the leaf with its entry", f"leaf {leaf.index}"
        )
        return False
    if leaf.leaf != leaf.hash:
        where = f"leaf {index}, {leaf.stream} {leaf.seq}"
        result.found(Kind.LOG_DIFFERS, where, leaf.hash, leaf.leaf)
    if len(leaf.leaf) != 64 or set(leaf.leaf) - set("0123456789abcdef"):
        result.found(Kind.LOG_DIFFERS, f"leaf {index}", "64 hex digits", leaf.leaf)
        return False
    return True


def _check_node(
    result: Verification,
    level: int,
    place: int,
    digest: str,
    nodes: dict[tuple[int, int], str],
    *,
    within: bool,
) -> None:
    got = nodes.pop((level, place), None)
    # a node that was made full after the walk began may not be among those read before
    if got != digest and (got is not None or within):
        result.found(
            Kind.TREE_DIFFERS, f"node {place} at level {level}", digest, got or "no such node"
        )


def _look_at_what_is_left(
    result: Verification, walk: _Walk, least: int, nodes: dict[tuple[int, int], str]
) -> None:
    if walk.size < least and Kind.LOG_DIFFERS not in result.counts:
        result.found(
            Kind.LOG_DIFFERS, f"leaf {walk.size}", f"{least} leaves with their entries", "no more"
        )
    if Kind.LOG_DIFFERS in result.counts:
        return
    for level, place in sorted(nodes):
        if (place + 1) << level <= walk.size or walk.size <= least:
            where = f"node {place} at level {level}"
            result.found(Kind.TREE_DIFFERS, where, "no such node yet", nodes[level, place])


def _check_claim(result: Verification, claim: _Claim, root: str) -> None:
    if root != claim.root:
        result.found(claim.kind, f"{claim.where}, {claim.size} entries", claim.root, root)
