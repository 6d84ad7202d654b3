"""The fourteen attacks of an insider on the ledger, and the first check that notices each.

`noticed_by` is what tests/faults/test_attacks.py proves of each; the table in DEVELOPERS.md is made
from here by `python -m tests.faults.attack_table`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import IntEnum

from records.actions.checkpoints import make_checkpoint
from records.ledger import Receipt
from records.log import KeptCheckpoint
from records.models.ledger import Entry, StreamHead
from records.queries.differences import Kind
from records.queries.verification import verify_record
from records.queries.witnesses import HeldReceipt, Outside, checkpoint_outside
from tests.faults import insider
from tests.records.filled_log import BUILD, OTHER, enter


class Layer(IntEnum):
    """What somebody has to have so as to notice; each has what those before it have."""

    CHAIN = 0
    LOG = 1
    OLDER = 2
    LATEST = 3
    RECEIPTS = 4

    @property
    def words(self) -> str:
        """Return the heading of its column."""
        return (
            "chain alone",
            "+ log, signed in the same database",
            "+ an older checkpoint kept outside",
            "+ the latest kept outside",
            "+ receipts",
        )[self]


OF_THE_CHAIN = {Kind.CHAIN_BROKEN, Kind.HEAD_DIFFERS}


@dataclass(frozen=True)
class Scene:
    """A record with two heads handed outside, and entries after the last of them."""

    older: KeptCheckpoint
    latest: KeptCheckpoint
    receipts: tuple[Receipt, ...]
    backup: dict[str, tuple[int, str]]
    last_entry: int


@dataclass(frozen=True)
class Attack:
    """What the insider does, and the first layer that notices it."""

    words: str
    noticed_by: Layer
    do: Callable[[Scene], None]


def set_scene() -> Scene:
    """Enter two builds and a scale; sign a head, enter more, sign another, and enter more still."""
    receipts = [*enter(BUILD, 5), *enter(OTHER, 3), *enter("scale/S-02", 2)]
    older = make_checkpoint()
    heads = StreamHead.objects.values_list("stream", "seq", "hash")
    backup = {stream: (seq, digest) for stream, seq, digest in heads}
    last_entry = Entry.objects.order_by("-pk").values_list("pk", flat=True)[0]
    receipts += [*enter(BUILD, 2), *enter(OTHER, 1)]
    latest = make_checkpoint()
    receipts += [*enter(BUILD, 2), *enter(OTHER, 1)]
    if older is None or latest is None:
        raise AssertionError("no head was signed")
    return Scene(older, latest, tuple(receipts), backup, last_entry)


def first_to_notice(scene: Scene) -> Layer | None:
    """Return the first layer by which `manage.py verify` sees a difference, or None."""
    inside = verify_record()
    if OF_THE_CHAIN & inside.counts.keys():
        return Layer.CHAIN
    if not inside.stands:
        return Layer.LOG
    older = checkpoint_outside("older", scene.older.note)
    latest = checkpoint_outside("latest", scene.latest.note)
    held = tuple(HeldReceipt("bench", one.stream, one.seq, one.hash) for one in scene.receipts)
    for layer, outside in (
        (Layer.OLDER, [older]),
        (Layer.LATEST, [older, latest]),
        (Layer.RECEIPTS, [older, latest, Outside(receipts=held)]),
    ):
        if not verify_record(None, outside).stands:
            return layer
    return None


def _edit_and_rehash(seq: int) -> None:
    insider.edit(BUILD, seq)
    insider.rehash(BUILD)


def _edit_rehash_and_relog(seq: int = 2) -> None:
    _edit_and_rehash(seq)
    insider.relog()


def _cut(_: Scene) -> None:
    insider.cut(BUILD, 3)
    insider.relog()


def _delete_build(_: Scene) -> None:
    insider.cut(OTHER, 0)
    StreamHead.objects.filter(stream=OTHER).delete()
    insider.relog()


def _insert(_: Scene) -> None:
    insider.insert(BUILD, 3)
    insider.relog()


def _without_heads(_: Scene) -> None:
    _edit_rehash_and_relog()
    insider.forget_heads()


def _signed_by_another(_: Scene) -> None:
    _edit_rehash_and_relog()
    insider.sign_again(insider.another_key())


def _signed_by_the_stolen(_: Scene) -> None:
    _edit_rehash_and_relog()
    insider.sign_again(insider.stolen_key())


def _after_the_kept(scene: Scene) -> None:
    _edit_rehash_and_relog(6)
    insider.sign_again(insider.stolen_key(), beyond=scene.older.size)


def _put_back(scene: Scene) -> None:
    insider.put_back(scene.backup, scene.last_entry, scene.older.pk)


ATTACKS: tuple[Attack, ...] = (
    Attack("edit a body", Layer.CHAIN, lambda _: insider.edit(BUILD, 2)),
    Attack("edit body and hash", Layer.CHAIN, lambda _: insider.edit(BUILD, 2, rehash=True)),
    Attack("edit and re-hash the stream from there on", Layer.LOG, lambda _: _edit_and_rehash(2)),
    Attack("3, and rewrite the log's leaves", Layer.LOG, lambda _: _edit_rehash_and_relog()),
    Attack("cut a stream's tail off and renumber the log", Layer.LOG, _cut),
    Attack("delete a whole build and renumber the log", Layer.LOG, _delete_build),
    Attack("insert a back-dated entry, re-hash and renumber", Layer.LOG, _insert),
    Attack("4, and delete all checkpoints", Layer.OLDER, _without_heads),
    Attack("4, and sign again with another key", Layer.LOG, _signed_by_another),
    Attack("4, and sign again with the stolen log key", Layer.OLDER, _signed_by_the_stolen),
    Attack(
        "stolen log key: edit what came after the kept checkpoint", Layer.LATEST, _after_the_kept
    ),
    Attack(
        "edit an entry that no checkpoint covers yet", Layer.RECEIPTS, lambda _: _edit_and_rehash(8)
    ),
    Attack("drop such entries", Layer.RECEIPTS, lambda _: insider.cut(BUILD, 7)),
    Attack("put an older backup back", Layer.LATEST, _put_back),
)
