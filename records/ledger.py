"""The one door to the ledger: who writes a record row appends the entry that names it.

A stream is a build, a scale, a part's life outside builds, a person, or the shop. Each is a chain
of its own, so that two benches at two builds never wait for each other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import IntegrityError, connection, models
from django.db.models import Exists, OuterRef, Prefetch, Q, TextField
from django.db.models.functions import Cast

from records.domain.errors import BadValue, Code, Conflict, NotFound, TarebookError
from records.domain.proof.chain import StoredEntry
from records.domain.proof.envelope import (
    NOTHING_BEFORE,
    VERSION,
    Envelope,
    entry_hash,
    envelope_bytes,
    read_envelope,
    utc_text,
)
from records.models.ledger import Entry, EntryRow, StreamHead
from records.rows import row_item, table_of

SHOP_STREAM = "shop"
CHUNK = 500


@dataclass(frozen=True, slots=True)
class Receipt:
    """Where a deed stands in the ledger; who keeps it can prove that it was there."""

    stream: str
    seq: int
    hash: str


@dataclass(frozen=True, slots=True)
class EntryFacts:
    """An entry, read: its receipt, its envelope and its bytes."""

    receipt: Receipt
    envelope: Envelope
    raw: bytes


@dataclass(frozen=True, slots=True)
class Kept:
    """An entry as it is stored, unread, with the columns and the index beside its bytes."""

    stored: StoredEntry
    recorded_at: datetime
    kind: str
    named: frozenset[tuple[str, str]]


def build_stream(number: str) -> str:
    """Return the stream of a build."""
    return f"build/{number}"


def scale_stream(number: str) -> str:
    """Return the stream of a scale."""
    return f"scale/{number}"


def part_stream(number: str) -> str:
    """Return the stream of a part's life outside builds."""
    return f"part/{number}"


def person_stream(number: str) -> str:
    """Return the stream of a person."""
    return f"person/{number}"


def lock(streams: Iterable[str]) -> None:
    """Lock several streams until the transaction ends, in sorted order so that none waits in turn.

    Errors: TarebookError `no_transaction` outside a transaction; BadValue for a name of no stream.
    """
    for stream in sorted(set(streams)):
        _locked_head(stream)


def append(
    *,
    stream: str,
    kind: str,
    actor: str,
    recorded_at: datetime,
    data: Mapping[str, Any],
    rows: Sequence[models.Model] = (),
) -> Receipt:
    """Append one entry to a stream, naming the rows it stands for, and return its receipt.

    `actor` is a person's shop number, `data` plain JSON without floats; its key "rows" is the
    ledger's own, and "schema" (1 unless given) numbers the shape of the rest. A row is named by
    one entry only. The stream is locked until the transaction ends.
    Errors: TarebookError `no_transaction` outside a transaction; BadValue for what can't stand in
    an entry; Conflict when an entry names a row already (the transaction is lost).
    """
    if "rows" in data:
        raise BadValue(Code.BAD_VALUE, 'expected data without the key "rows"', field="rows")
    head = _locked_head(stream)
    items = [row_item(row) for row in rows]
    envelope = Envelope(
        version=VERSION,
        stream=stream,
        seq=head.seq + 1,
        prev=head.hash,
        recorded_at=utc_text(recorded_at),
        actor=actor,
        kind=kind,
        data={"schema": 1, **data, "rows": items},
    )
    raw = envelope_bytes(envelope)
    return _store(envelope, raw, recorded_at)


def head(stream: str) -> Receipt | None:
    """Return where a stream ends, or None for one without entries."""
    found = StreamHead.objects.filter(stream=stream, seq__gt=0).first()
    return Receipt(found.stream, found.seq, found.hash) if found else None


def hash_at(stream: str, seq: int) -> str | None:
    """Return the hash of an entry, or None when there is none at this place."""
    return Entry.objects.filter(stream=stream, seq=seq).values_list("hash", flat=True).first()


def entries(stream: str) -> Iterator[EntryFacts]:
    """Yield the entries of a stream in order.

    Errors: Unreadable when the stored bytes are no entry.
    """
    for entry in Entry.objects.filter(stream=stream).order_by("seq").iterator(CHUNK):
        yield _facts(entry)


def entry_naming(row: models.Model) -> EntryFacts:
    """Return the entry that names a row.

    Errors: NotFound when none does, Unreadable when the stored bytes are no entry.
    """
    return _facts(_entry_of(row))


def receipt_of(row: models.Model) -> Receipt:
    """Return the receipt of the deed that recorded a row.

    Errors: NotFound when no entry names it.
    """
    return _receipt(_entry_of(row))


# --- for the verification of the record ---------------------------------------------------------


def stored_entries() -> Iterator[StoredEntry]:
    """Yield every entry as stored, by stream and seq, in constant memory."""
    columns = ("stream", "seq", "prev", "hash", "bytes")
    every = Entry.objects.order_by("stream", "seq").values_list(*columns)
    for stream, seq, prev, digest, raw in every.iterator(CHUNK):
        yield StoredEntry(stream, seq, prev, digest, bytes(raw))


def kept_entries() -> Iterator[Kept]:
    """Yield every entry with its columns and the rows that the index gives it."""
    index = Prefetch("named_rows", EntryRow.objects.all(), to_attr="index")
    every = Entry.objects.order_by("stream", "seq").prefetch_related(index)
    for entry in every.iterator(CHUNK):
        named = frozenset((row.table, row.row_id) for row in entry.index)
        stored = StoredEntry(entry.stream, entry.seq, entry.prev, entry.hash, bytes(entry.bytes))
        yield Kept(stored, entry.recorded_at, entry.kind, named)


def heads_that_differ() -> Iterator[tuple[str, int, str]]:
    """Yield (stream, seq, what) where a head and its entries don't end at the same place.

    Each half is one statement, so that a writer at work can't make a difference appear.
    """
    there = Entry.objects.filter(
        stream=OuterRef("stream"), seq=OuterRef("seq"), hash=OuterRef("hash")
    )
    unfounded = StreamHead.objects.filter(~Exists(there)).exclude(seq=0, hash=NOTHING_BEFORE)
    for found in unfounded.order_by("stream").iterator(CHUNK):
        yield found.stream, found.seq, "the head names an entry that is not there"
    reaching = StreamHead.objects.filter(stream=OuterRef("stream"), seq__gte=OuterRef("seq"))
    beyond = Entry.objects.filter(~Exists(reaching)).order_by("stream", "seq")
    for stream, seq in beyond.values_list("stream", "seq").iterator(CHUNK):
        yield stream, seq, "the entry lies beyond the head of its stream"


def rows_without_entry(model: type[models.Model]) -> Iterator[str]:
    """Yield the keys of rows of a table that no entry's index names."""
    key = Cast(OuterRef("pk"), TextField())
    naming = EntryRow.objects.filter(table=table_of(model), row_id=key)
    nameless = model._default_manager.filter(~Exists(naming)).order_by("pk")
    for pk in nameless.values_list("pk", flat=True).iterator(CHUNK):
        yield str(pk)


def index_without_entry() -> Iterator[tuple[str, str]]:
    """Yield (table, row id) of index rows whose entry is gone (references were switched off)."""
    entry = Entry.objects.filter(pk=OuterRef("entry_id"))
    lost = EntryRow.objects.filter(~Exists(entry)).order_by("table", "row_id")
    yield from lost.values_list("table", "row_id").iterator(CHUNK)


# --- inside -------------------------------------------------------------------------------------


def _locked_head(stream: str) -> StreamHead:
    if not connection.in_atomic_block:
        raise TarebookError(
            Code.NO_TRANSACTION,
            f"{stream}: expected to run inside a transaction, got none; open one around the deed",
        )
    found = _head_for_update(stream)
    if found is None:
        _check_name(stream)
        # two writers may both find none: ON CONFLICT DO NOTHING lets the second wait, then lock
        StreamHead.objects.bulk_create(
            [StreamHead(stream=stream, seq=0, hash=NOTHING_BEFORE)], ignore_conflicts=True
        )
        found = StreamHead.objects.select_for_update().get(stream=stream)
    return found


def _head_for_update(stream: str) -> StreamHead | None:
    # FOR UPDATE on PostgreSQL; on SQLite the IMMEDIATE transaction is the lock
    return StreamHead.objects.select_for_update().filter(stream=stream).first()


def _check_name(stream: str) -> None:
    start, slash, number = stream.partition("/")
    known = start in ("build", "scale", "part", "person") and slash and number.strip()
    if not (known or stream == SHOP_STREAM) or len(stream) > 100 or not stream.isprintable():
        raise BadValue(
            Code.BAD_VALUE,
            f"expected build/…, scale/…, part/…, person/… or {SHOP_STREAM}, got {stream!r}",
            field="stream",
        )


def _store(envelope: Envelope, raw: bytes, recorded_at: datetime) -> Receipt:
    entry = Entry.objects.create(
        stream=envelope.stream,
        seq=envelope.seq,
        prev=envelope.prev,
        hash=entry_hash(raw),
        bytes=raw,
        recorded_at=recorded_at,
        kind=envelope.kind,
    )
    items = envelope.data["rows"]
    try:
        EntryRow.objects.bulk_create(
            EntryRow(entry=entry, table=item["table"], row_id=item["id"]) for item in items
        )
    except IntegrityError as error:
        raise Conflict(
            Code.ALREADY_THERE,
            f"{envelope.stream} {envelope.seq}: expected rows that no entry names yet, got {error}",
        ) from error
    StreamHead.objects.filter(stream=entry.stream).update(seq=entry.seq, hash=entry.hash)
    return _receipt(entry)


def _entry_of(row: models.Model) -> Entry:
    named = Q(named_rows__table=table_of(row), named_rows__row_id=str(row.pk))
    found = Entry.objects.filter(named).first()
    if found is None:
        raise NotFound(Code.NOT_FOUND, f"{table_of(row)} {row.pk}: expected an entry, got none")
    return found


def _receipt(entry: Entry) -> Receipt:
    return Receipt(entry.stream, entry.seq, entry.hash)


def _facts(entry: Entry) -> EntryFacts:
    raw = bytes(entry.bytes)
    return EntryFacts(_receipt(entry), read_envelope(raw), raw)
