"""An insider with full rights on the database: what such a one can do to entries, log and heads.

Every tool does its work well: what could be made to fit by SQL is made to fit, so that a test shows
what a check is worth against somebody who knows how the record is built.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from records import log
from records.domain.proof.checkpoint import Checkpoint as Head
from records.domain.proof.envelope import (
    NOTHING_BEFORE,
    Envelope,
    entry_hash,
    envelope_bytes,
    read_envelope,
)
from records.log_keys import LogSigner, log_signer
from records.models.ledger import Entry, StreamHead
from records.models.log import Checkpoint, CheckpointAnchor, LogEntry, LogNode

Change = Callable[[Envelope], Envelope]


def lighter(envelope: Envelope) -> Envelope:
    """Say something else than what was entered."""
    return replace(envelope, data={**envelope.data, "note": "two grams lighter"})


def edit(stream: str, seq: int, change: Change = lighter, *, rehash: bool = False) -> None:
    """Change what an entry says; with `rehash` its own hash fits again."""
    entry = Entry.objects.get(stream=stream, seq=seq)
    raw = envelope_bytes(change(read_envelope(bytes(entry.bytes))))
    Entry.objects.filter(pk=entry.pk).update(bytes=raw)
    if rehash:
        Entry.objects.filter(pk=entry.pk).update(hash=entry_hash(raw))


def rehash(stream: str) -> None:
    """Let every entry of a stream name the one before it again, and the head the last."""
    prev, seq = NOTHING_BEFORE, 0
    entries = list(Entry.objects.filter(stream=stream).order_by("seq"))
    for entry in entries:  # out of the way of each other: no two may name the same one before
        Entry.objects.filter(pk=entry.pk).update(prev=f"{entry.pk:064}")
    for seq, entry in enumerate(entries, start=1):
        envelope = read_envelope(bytes(entry.bytes))
        raw = envelope_bytes(replace(envelope, seq=seq, prev=prev))
        Entry.objects.filter(pk=entry.pk).update(
            seq=seq, prev=prev, bytes=raw, hash=entry_hash(raw)
        )
        prev = entry_hash(raw)
    StreamHead.objects.filter(stream=stream).update(seq=seq, hash=prev)


def relog() -> None:
    """Write the log's leaves and nodes anew, in their order, over the entries there are now."""
    kept = list(LogEntry.objects.order_by("index").values_list("entry_id", flat=True))
    LogEntry.objects.all().delete()
    LogNode.objects.all().delete()
    hashes = dict(Entry.objects.values_list("pk", "hash"))
    there = [pk for pk in kept if pk in hashes]
    LogEntry.objects.bulk_create(
        LogEntry(index=index, entry_id=pk, leaf=hashes[pk]) for index, pk in enumerate(there)
    )


def cut(stream: str, after: int) -> None:
    """Take a stream's entries from there on, out of the log as well."""
    gone = Entry.objects.filter(stream=stream, seq__gt=after)
    LogEntry.objects.filter(entry__in=list(gone)).delete()
    gone.delete()
    rehash(stream)


def insert(stream: str, seq: int) -> None:
    """Slip an entry between others, dated as they are, and put it into the log beside them."""
    later = list(Entry.objects.filter(stream=stream, seq__gte=seq).order_by("-seq"))
    for entry in later:
        Entry.objects.filter(pk=entry.pk).update(seq=entry.seq + 1)
    model = read_envelope(bytes(later[-1].bytes))
    raw = envelope_bytes(replace(model, data={"schema": 1, "note": "as if then", "rows": []}))
    # what it names as its prev is put right by the rehashing
    made = Entry.objects.create(
        stream=stream, seq=seq, prev="f" * 64, hash=entry_hash(raw), bytes=raw,
        recorded_at=later[-1].recorded_at, kind=model.kind,
    )  # fmt: skip
    at = LogEntry.objects.get(entry=later[-1]).index
    for index in LogEntry.objects.filter(index__gte=at).order_by("-index"):
        LogEntry.objects.filter(index=index.index).update(index=index.index + 1)
    LogEntry.objects.create(index=at, entry=made, leaf=made.hash)
    rehash(stream)


def forget_heads() -> None:
    """Take every signed head out of the database."""
    CheckpointAnchor.objects.all().delete()
    Checkpoint.objects.all().delete()


def sign_again(signer: LogSigner, *, beyond: int = 0) -> None:
    """Sign the heads beyond a size anew, over the log as it is now."""
    nodes = log.Nodes()
    for head in list(Checkpoint.objects.filter(size__gt=beyond).order_by("size")):
        size = min(head.size, log.size())
        root = nodes.root(size)
        note = signer.sign(Head(signer.name, size, root).text())
        Checkpoint.objects.filter(pk=head.pk).update(
            size=size, root=root.hex(), note=note, key_id=signer.key.key_id.hex()
        )


def stolen_key() -> LogSigner:
    """Return the log's own key: the insider has the machine as well."""
    return log_signer(demo=False)


def another_key() -> LogSigner:
    """Return a key that bears the log's name and is not the log's."""
    return LogSigner(log_signer(demo=False).name, Ed25519PrivateKey.generate())


def put_back(backup: dict[str, tuple[int, str]], last_entry: int, last_head: int) -> None:
    """Put back the database as it was, by taking away what came since: `backup` has the heads."""
    CheckpointAnchor.objects.filter(checkpoint__gt=last_head).delete()
    Checkpoint.objects.filter(pk__gt=last_head).delete()
    LogEntry.objects.filter(entry__gt=last_entry).delete()
    Entry.objects.filter(pk__gt=last_entry).delete()
    for stream, (seq, digest) in backup.items():
        StreamHead.objects.filter(stream=stream).update(seq=seq, hash=digest)


def dumped() -> str:
    """Return all that the log's tables hold, to show that an attack did change something."""
    tables = (Entry, LogEntry, Checkpoint, StreamHead)
    rows = [list(table._default_manager.order_by("pk").values_list()) for table in tables]
    return repr([[[_plain(value) for value in row] for row in table] for table in rows])


def _plain(value: object) -> object:
    return bytes(value) if isinstance(value, memoryview) else value
