"""Is the record as it was entered? Chains on stored bytes, rows with entries, the log over all.

Nothing is trusted but the bytes: an entry's columns, the index of named rows and the heads are
compared with them. What can't be read counts as a difference. What was kept outside the database
(heads, papers, receipts) is held against it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import Any

from django.apps import apps
from django.db import connection, models

from records import ledger, triggers
from records.domain.errors import Code, TarebookError, Unreadable
from records.domain.proof.canonical import canonical_bytes
from records.domain.proof.chain import Broken, StoredEntry, check_chain
from records.domain.proof.envelope import Envelope, read_envelope, utc_text
from records.ledger import Kept
from records.queries.differences import Difference, Kind, Progress, Verification
from records.queries.log_verification import verify_log, verify_receipts
from records.queries.witnesses import Outside
from records.rows import record_models, row_fields, schemas_of, table_of

# entries read at once with the rows they name: bounds memory, also where rows hold whole papers
ENTRIES_AT_ONCE = 200
TELL_EVERY = 10_000

__all__ = ["Difference", "Kind", "Verification", "verify_record"]


def verify_record(
    progress: Progress | None = None, outside: Sequence[Outside] = ()
) -> Verification:
    """Verify every chain, compare every row with its entry, both ways, and walk the log.

    `progress` is told (what is under way, how many so far). Writers may be at work meanwhile, and
    memory is constant. `outside` is what was kept elsewhere: the log must extend it.
    """
    result = Verification()
    tell: Progress = progress or (lambda what, count: None)
    _verify_chains(result, tell)
    _compare_rows_with_entries(result, tell)
    _look_for_rows_without_entry(result, tell)
    verify_log(result, tell, outside)
    verify_receipts(result, outside)
    for name in triggers.missing(connection):
        result.found(Kind.TRIGGER_MISSING, name, "the trigger as `migrate` makes it", "none")
    return result


# --- first pass ---------------------------------------------------------------------------------


def _verify_chains(result: Verification, tell: Progress) -> None:
    def counted() -> Iterator[StoredEntry]:
        for entry in ledger.stored_entries():
            result.entries += 1
            if result.entries % TELL_EVERY == 0:
                tell("entries hashed", result.entries)
            yield entry

    for end in check_chain(counted()):
        result.streams += 1
        if isinstance(end, Broken):
            where = f"{end.stream} {end.seq}, {end.fault}"
            result.found(Kind.CHAIN_BROKEN, where, end.expected, end.got)
    for stream, seq, what in ledger.heads_that_differ():
        result.found(
            Kind.HEAD_DIFFERS, f"{stream} {seq}", "the head to be the stream's last entry", what
        )


# --- second pass, from the entries --------------------------------------------------------------


def _compare_rows_with_entries(result: Verification, tell: Progress) -> None:
    seen = 0
    for chunk in _chunks(ledger.kept_entries(), ENTRIES_AT_ONCE):
        named: dict[str, dict[str, dict[str, Any]]] = defaultdict(dict)
        for kept in chunk:
            for item in _items_of(result, kept):
                named[item["table"]][item["id"]] = item
        for table, items in named.items():
            _compare_table(result, table, items)
        seen += len(chunk)
        tell("entries compared with rows", seen)
    for table, row_id in ledger.index_without_entry():
        result.found(Kind.INDEX_DIFFERS, f"{table} {row_id}", "an entry that names it", "none")


def _items_of(result: Verification, kept: Kept) -> list[dict[str, Any]]:
    """Return the rows that an entry names, having compared its columns and its index."""
    where = f"{kept.stored.stream} {kept.stored.seq}"
    try:
        envelope = read_envelope(kept.stored.raw)
        items = _rows_of(envelope)
    except TarebookError as error:
        result.found(Kind.ENTRY_UNREADABLE, where, "an entry as it was written", str(error))
        return []
    for column, expected, got in _columns(envelope, kept):
        if expected != got:
            result.found(Kind.ENTRY_COLUMN, f"{where}, {column}", expected, got)
    named = [(item["table"], item["id"]) for item in items]
    for table, row_id in sorted(kept.named.symmetric_difference(named)):
        expected = "named" if (table, row_id) in named else "not named"
        got = "not in the index" if expected == "named" else "in the index"
        result.found(Kind.INDEX_DIFFERS, f"{where}, {table} {row_id}", expected, got)
    return items


def _columns(envelope: Envelope, kept: Kept) -> list[tuple[str, str, str]]:
    return [
        ("stream", envelope.stream, kept.stored.stream),
        ("seq", str(envelope.seq), str(kept.stored.seq)),
        ("prev", envelope.prev, kept.stored.prev),
        ("recorded_at", envelope.recorded_at, utc_text(kept.recorded_at)),
        ("kind", envelope.kind, kept.kind),
    ]


_ITEM_TYPES = {"table": str, "id": str, "schema": int, "fields": dict}


def _rows_of(envelope: Envelope) -> list[dict[str, Any]]:
    """Return the rows of an entry, or refuse an entry whose rows aren't of the shape we write."""
    items = envelope.data.get("rows")
    shaped = isinstance(items, list) and all(
        isinstance(item, dict)
        and item.keys() == _ITEM_TYPES.keys()
        and all(type(item[key]) is kind for key, kind in _ITEM_TYPES.items())
        for item in items
    )
    if not shaped:
        raise Unreadable(Code.UNREADABLE, "expected rows of table, id, schema and fields")
    return list(items or [])


def _compare_table(result: Verification, table: str, items: dict[str, dict[str, Any]]) -> None:
    model = _record_model(table)
    if model is None:
        for row_id in items:
            result.found(Kind.ROW_GONE, f"{table} {row_id}", "a table of the record", "none")
        return
    rows = _rows_by_id(model, items)
    for row_id, item in items.items():
        row = rows.get(row_id)
        if row is None:
            result.found(Kind.ROW_GONE, f"{table} {row_id}", "the row", "none")
        else:
            result.rows += 1
            _compare_row(result, row, item)


def _rows_by_id(model: type[models.Model], ids: Iterable[str]) -> dict[str, models.Model]:
    key = model._meta.pk
    wanted = [value for value in ids if _could_be_key(key, value)]
    found = model._default_manager.filter(pk__in=wanted)
    return {str(row.pk): row for row in found}


def _could_be_key(key: models.Field[Any, Any] | None, value: str) -> bool:
    while isinstance(key, models.ForeignKey):
        key = key.target_field
    return not isinstance(key, models.IntegerField) or value.lstrip("-").isdecimal()


def _record_model(table: str) -> type[models.Model] | None:
    try:
        model = apps.get_model(table)
    except (LookupError, ValueError):
        return None
    return model if model in record_models() else None


def _compare_row(result: Verification, row: models.Model, item: dict[str, Any]) -> None:
    where = f"{item['table']} {item['id']}"
    try:
        fields = row_fields(row, item["schema"])
    except TarebookError as error:
        result.found(Kind.ROW_CHANGED, where, "a row that reads as entered", str(error))
        return
    expected = item["fields"]
    if _same(expected, fields):
        return
    for name in sorted(expected.keys() | fields.keys()):
        before, now = _shown(expected, name), _shown(fields, name)
        if before != now:
            result.found(Kind.ROW_CHANGED, f"{where}, {name}", before, now)


def _same(expected: dict[str, Any], fields: dict[str, Any]) -> bool:
    try:
        return canonical_bytes(expected) == canonical_bytes(fields)
    except TarebookError:
        return False


def _shown(fields: dict[str, Any], name: str) -> str:
    """Return a field as canonical JSON, so that true and 1 differ and key order doesn't matter."""
    if name not in fields:
        return "nothing"
    try:
        return canonical_bytes(fields[name]).decode()
    except TarebookError as error:
        return f"something that can't be on record ({error})"


# --- second pass, from the rows -----------------------------------------------------------------


def _look_for_rows_without_entry(result: Verification, tell: Progress) -> None:
    for model in record_models():
        table = table_of(model)
        result.tables += 1
        if not schemas_of(model):
            result.found(Kind.TABLE_NOT_COVERED, table, "ledger_fields", "none")
        for row_id in ledger.rows_without_entry(model):
            result.found(Kind.ROW_WITHOUT_ENTRY, f"{table} {row_id}", "an entry", "none")
        tell("tables looked through", result.tables)


def _chunks(every: Iterable[Kept], size: int) -> Iterator[list[Kept]]:
    walk = iter(every)
    while chunk := list(islice(walk, size)):
        yield chunk
