"""The one door to the log over all entries: it grows here, and its proofs and heads come from here.

One sequencer at a time gives committed entries their index. What has none is found by its absence:
ids commit out of order, so "everything after the last" would lose an entry for ever.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime

from django.db import connection, transaction
from django.db.models import Exists, Max, OuterRef, QuerySet

from records.domain.errors import Code, NotFound, NotProven
from records.domain.proof.tree import Tree, consistency_path, inclusion_path, root_of
from records.models.ledger import Entry
from records.models.log import Checkpoint, CheckpointAnchor, LogEntry, LogNode

# any number that nothing else in the database locks; PostgreSQL's advisory locks know no names
SEQUENCER = 0x7461_7265_626F_6F6B
ENTRIES_AT_ONCE = 1_000
# nodes are kept at every eighth level: one row for 256 leaves, and 256 rows read for any node
STEP = 8
WIDTH = 1 << STEP
CHUNK = 2_000


@dataclass(frozen=True, slots=True)
class Leaf:
    """A leaf as stored, and the entry that it points to."""

    index: int
    leaf: str
    stream: str
    seq: int
    hash: str


@dataclass(frozen=True, slots=True)
class KeptCheckpoint:
    """A signed head of the log as it is stored; `root` in hex, `note` as it was signed."""

    pk: int
    size: int
    root: str
    key_id: str
    note: bytes
    made_at: datetime


@contextmanager
def alone() -> Iterator[None]:
    """Open a transaction in which nobody else makes the log or its heads grow."""
    with transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_advisory_xact_lock(%s)", [SEQUENCER])
        # on SQLite the IMMEDIATE transaction is the lock
        yield


def take_up_entries() -> int:
    """Give every committed entry that has none an index in the log; return how many there were."""
    taken = 0
    while batch := _take_up_some():
        taken += batch
    return taken


def size() -> int:
    """Return the number of entries in the log."""
    last: int | None = LogEntry.objects.aggregate(last=Max("index"))["last"]
    return 0 if last is None else last + 1


def waiting() -> int:
    """Return how many entries have no place in the log yet."""
    return Entry.objects.filter(~Exists(_logged())).count()


def index_of(stream: str, seq: int) -> int | None:
    """Return the index of an entry in the log, or None when it has none yet."""
    found = LogEntry.objects.filter(entry__stream=stream, entry__seq=seq)
    return found.values_list("index", flat=True).first()


def covered_entries(stream: str, size: int) -> list[tuple[int, bytes]]:
    """Return (index, bytes) of a stream's entries in order, as far as the log of `size` has them.

    Errors: NotFound for a stream of which it has none.
    """
    leaves = LogEntry.objects.filter(entry__stream=stream).order_by("entry__seq")
    found: list[tuple[int, bytes]] = []
    for index, seq, raw in leaves.values_list("index", "entry__seq", "entry__bytes"):
        if index >= size or seq != len(found) + 1:
            break
        found.append((index, bytes(raw)))
    if not found:
        raise NotFound(Code.NOT_FOUND, f"{stream}: expected entries in the log, got none")
    return found


class Nodes:
    """The full nodes of the log's tree, for root, inclusion and consistency; each tile read once.

    Errors: BadValue for a node that is not full.
    """

    def __init__(self) -> None:
        self._tiles: dict[tuple[int, int], Tree] = {}

    def __call__(self, level: int, place: int) -> bytes:
        kept = level - level % STEP
        tile = (place << (level - kept)) >> STEP
        if (kept, tile) not in self._tiles:
            self._tiles[kept, tile] = _tile(kept, tile)
        first = (tile << STEP) >> (level - kept)
        return self._tiles[kept, tile].node(level - kept, place - first)

    def root(self, size: int) -> bytes:
        """Return the root over the first `size` entries."""
        return root_of(self, size)

    def inclusion(self, index: int, size: int) -> tuple[bytes, ...]:
        """Return the proof that leaf `index` is among the first `size`."""
        return tuple(inclusion_path(self, index, size))

    def consistency(self, size: int, later_size: int) -> tuple[bytes, ...]:
        """Return the proof that the log of `later_size` extends that of `size`."""
        return tuple(consistency_path(self, size, later_size))


# --- checkpoints --------------------------------------------------------------------------------


def keep_checkpoint(
    *, size: int, root: bytes, key_id: bytes, note: bytes, made_at: datetime
) -> KeptCheckpoint:
    """Store a signed head. It must have been signed over leaves that were committed before."""
    made = Checkpoint.objects.create(
        size=size, root=root.hex(), key_id=key_id.hex(), note=note, made_at=made_at
    )
    return _kept(made)


def newest_checkpoint() -> KeptCheckpoint | None:
    """Return the greatest head that was signed, of two by two keys the later one."""
    found = Checkpoint.objects.order_by("-size", "-pk").first()
    return _kept(found) if found else None


def first_checkpoint_over(index: int) -> KeptCheckpoint | None:
    """Return the first head that covers a leaf, which stays the same whenever one asks."""
    found = Checkpoint.objects.filter(size__gt=index).order_by("size", "pk").first()
    return _kept(found) if found else None


def newest_pk() -> int:
    """Return the key of the head that was stored last, 0 for none."""
    return Checkpoint.objects.aggregate(last=Max("pk"))["last"] or 0


def checkpoints(*, until: int) -> Iterator[KeptCheckpoint]:
    """Yield the signed heads by size, without those stored after the one of key `until`."""
    for found in Checkpoint.objects.filter(pk__lte=until).order_by("size", "pk").iterator(CHUNK):
        yield _kept(found)


def checkpoint(pk: int) -> KeptCheckpoint:
    """Return one head by its key, or NotFound."""
    found = Checkpoint.objects.filter(pk=pk).first()
    if found is None:
        raise NotFound(Code.NOT_FOUND, f"expected a checkpoint, got none under {pk}")
    return _kept(found)


def note_anchor(checkpoint: int, place: str, anchored_at: datetime) -> None:
    """Note that a place outside has a checkpoint; twice is once."""
    with alone():
        if not is_anchored(checkpoint, place):
            CheckpointAnchor.objects.create(
                checkpoint_id=checkpoint, place=place, anchored_at=anchored_at
            )


def is_anchored(checkpoint: int, place: str) -> bool:
    """Say whether a place outside was given a checkpoint."""
    return CheckpointAnchor.objects.filter(checkpoint=checkpoint, place=place).exists()


# --- for the verification of the record ---------------------------------------------------------


def leaves() -> Iterator[Leaf]:
    """Yield every leaf with its entry, by index, in constant memory; one without entry is left out.

    One statement, so that a log which grows meanwhile is seen as it was at one moment.
    """
    columns = ("index", "leaf", "entry__stream", "entry__seq", "entry__hash")
    for row in LogEntry.objects.order_by("index").values_list(*columns).iterator(CHUNK):
        yield Leaf(*row)


def kept_nodes() -> dict[tuple[int, int], str]:
    """Return the stored nodes above the leaves by level and place: one for some 255 leaves."""
    rows = LogNode.objects.values_list("level", "place", "hash")
    return {(level, place): digest for level, place, digest in rows.iterator(CHUNK)}


# --- inside -------------------------------------------------------------------------------------


def _logged() -> QuerySet[LogEntry]:
    return LogEntry.objects.filter(entry=OuterRef("pk"))


def _take_up_some() -> int:
    with alone():
        before = size()
        without = Entry.objects.filter(~Exists(_logged())).order_by("pk")
        rows = [
            LogEntry(index=index, entry_id=pk, leaf=digest)
            for index, (pk, digest) in enumerate(
                without.values_list("pk", "hash")[:ENTRIES_AT_ONCE], start=before
            )
        ]
        LogEntry.objects.bulk_create(rows)
        _fill_nodes(before, before + len(rows))
        return len(rows)


def _fill_nodes(before: int, after: int) -> None:
    """Store the nodes at every eighth level that the new leaves have made full."""
    level = STEP
    while after >> level:
        LogNode.objects.bulk_create(
            LogNode(level=level, place=place, hash=_tile(level - STEP, place).node(STEP, 0).hex())
            for place in range(before >> level, after >> level)
        )
        level += STEP


def _tile(level: int, tile: int) -> Tree:
    tree = Tree()
    try:
        for digest in _hashes(level, tile * WIDTH):
            tree.append(bytes.fromhex(digest))
    except ValueError as error:
        raise NotProven(
            Code.NOT_PROVEN,
            f"expected hashes in the log from leaf {tile << (STEP + level)} on, got {error}; "
            "run `manage.py verify`",
        ) from error
    return tree


def _hashes(level: int, first: int) -> Sequence[str]:
    if level == 0:
        leaves = LogEntry.objects.filter(index__gte=first, index__lt=first + WIDTH)
        return list(leaves.order_by("index").values_list("leaf", flat=True))
    nodes = LogNode.objects.filter(level=level, place__gte=first, place__lt=first + WIDTH)
    return list(nodes.order_by("place").values_list("hash", flat=True))


def _kept(found: Checkpoint) -> KeptCheckpoint:
    note = bytes(found.note)
    return KeptCheckpoint(found.pk, found.size, found.root, found.key_id, note, found.made_at)
