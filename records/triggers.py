"""Insert-only tables, held by the database itself: against bugs and careless hands.

An owner can switch triggers off; that is noticed by `manage.py verify` and by checkpoints kept
elsewhere. Installing again is harmless and done after every migrate, since Django's remake of a
table on SQLite silently drops its triggers.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db import connections, models
from django.db.backends.base.base import BaseDatabaseWrapper

from records.domain.errors import Code, TarebookError
from records.rows import insert_only_models

FUNCTION = "tarebook_insert_only"
# ENABLE ALWAYS ('A') also fires under session_replication_role = replica
FIRES_ALWAYS = "A"


@dataclass(frozen=True, slots=True)
class Trigger:
    """One trigger: its table, its name, and the statements that make it."""

    table: str
    name: str
    statements: tuple[str, ...]


def install(connection: BaseDatabaseWrapper) -> None:
    """Make every trigger anew on the tables that are there."""
    uninstall(connection)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(_POSTGRESQL_FUNCTION)
        for trigger in expected(connection):
            for statement in trigger.statements:
                cursor.execute(statement)


def uninstall(connection: BaseDatabaseWrapper) -> None:
    """Take every trigger away (tests that flush a database; never a running shop)."""
    quote = connection.ops.quote_name
    on_table = connection.vendor == "postgresql"
    with connection.cursor() as cursor:
        for trigger in expected(connection):
            where = f" ON {quote(trigger.table)}" if on_table else ""
            cursor.execute(f"DROP TRIGGER IF EXISTS {quote(trigger.name)}{where}")


def missing(connection: BaseDatabaseWrapper) -> list[str]:
    """Return "table: trigger" for each trigger that is not there as we would make it."""
    found = _there(connection)
    return [
        f"{trigger.table}: {trigger.name}"
        for trigger in expected(connection)
        if found.get((trigger.table, trigger.name)) != _mark(connection, trigger)
    ]


def install_after_migrate(sender: Any, using: str, **_: Any) -> None:
    """Answer post_migrate of the records app."""
    install(connections[using])


def expected(connection: BaseDatabaseWrapper) -> list[Trigger]:
    """Return the triggers that should be there, for the insert-only tables that exist."""
    there = set(connection.introspection.table_names())
    tables = [model for model in insert_only_models() if model._meta.db_table in there]
    if connection.vendor == "postgresql":
        return [trigger for model in tables for trigger in _postgresql(connection, model)]
    if connection.vendor == "sqlite":
        return [trigger for model in tables for trigger in _sqlite(connection, model)]
    raise TarebookError(
        Code.CONFLICT, f"expected a postgresql or sqlite database, got {connection.vendor}"
    )


# --- PostgreSQL ---------------------------------------------------------------------------------

_POSTGRESQL_BODY = """
BEGIN
    RAISE EXCEPTION '% is insert-only: % refused; record a correcting row instead',
        TG_TABLE_NAME, lower(TG_OP) USING ERRCODE = 'restrict_violation';
END
"""
_POSTGRESQL_FUNCTION = (
    f"CREATE OR REPLACE FUNCTION {FUNCTION}() RETURNS trigger LANGUAGE plpgsql "
    f"AS $body${_POSTGRESQL_BODY}$body$"
)


def _postgresql(connection: BaseDatabaseWrapper, model: type[models.Model]) -> Iterator[Trigger]:
    table = model._meta.db_table
    quoted = connection.ops.quote_name(table)
    for name, event in (
        ("insert_only_row", "UPDATE OR DELETE ON {} FOR EACH ROW"),
        ("insert_only_truncate", "TRUNCATE ON {} FOR EACH STATEMENT"),
    ):
        yield Trigger(
            table,
            name,
            (
                f"CREATE TRIGGER {name} BEFORE {event.format(quoted)} "
                f"EXECUTE FUNCTION {FUNCTION}()",
                f"ALTER TABLE {quoted} ENABLE ALWAYS TRIGGER {name}",
            ),
        )


def _there_postgresql(connection: BaseDatabaseWrapper) -> dict[tuple[str, str], str]:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT c.relname, t.tgname, t.tgenabled, p.prosrc, pg_get_triggerdef(t.oid) "
            "FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid "
            "JOIN pg_proc p ON p.oid = t.tgfoid "
            "WHERE NOT t.tgisinternal AND pg_table_is_visible(c.oid)"
        )
        return {
            (table, name): enabled + body + _event_of(definition)
            for table, name, enabled, body, definition in cursor.fetchall()
        }


def _event_of(definition: str) -> str:
    """Return what a trigger answers to; the server writes DELETE OR UPDATE in its own order."""
    events = re.search(r" BEFORE ([A-Z ]+) ON ", definition)
    whole = " WHEN " not in definition and " OF " not in definition
    return " ".join(sorted(events[1].split(" OR "))) if events and whole else "other"


# --- SQLite -------------------------------------------------------------------------------------


def _sqlite(connection: BaseDatabaseWrapper, model: type[models.Model]) -> Iterator[Trigger]:
    table = model._meta.db_table
    quoted = connection.ops.quote_name(table)
    guards = " OR ".join(_same_key(connection, table))
    for what, event, guard in (
        ("update", "UPDATE", ""),
        ("delete", "DELETE", ""),
        # INSERT OR REPLACE deletes what is in its way without firing the delete trigger
        ("replace", "INSERT", f" WHEN {guards}"),
    ):
        name = f"{table}_no_{what}"
        says = f"{table} is insert-only: {what} refused; record a correcting row instead"
        if what == "replace":
            says = f"{table} is insert-only: UNIQUE key is there already"
        yield Trigger(
            table,
            name,
            (
                f"CREATE TRIGGER {connection.ops.quote_name(name)} BEFORE {event} ON {quoted}"
                f"{guard} BEGIN SELECT RAISE(ABORT, '{says}'); END",
            ),
        )


def _same_key(connection: BaseDatabaseWrapper, table: str) -> Iterator[str]:
    """Yield, for each unique key of a table, the condition that a new row meets an old one.

    An index over expressions is left to `PRAGMA recursive_triggers`, which settings switch on.
    """
    quote = connection.ops.quote_name
    with connection.cursor() as cursor:
        columns = [(row[1], row[5]) for row in cursor.execute(f"PRAGMA table_info({quote(table)})")]
        keys = [([name for name, place in columns if place], "")]
        listed = cursor.execute(f"PRAGMA index_list({quote(table)})").fetchall()
        for _, index, unique, origin, partial in listed:
            if unique and origin != "pk":
                parts = cursor.execute(f"PRAGMA index_info({quote(index)})").fetchall()
                keys.append(([part[2] for part in parts], _condition(cursor, index, partial)))
    whole = ", ".join(f"NEW.{quote(name)} AS {quote(name)}" for name, _ in columns)
    for names, condition in keys:
        if None not in names:
            yield _meets(quote(table), [quote(name) for name in names], condition, whole)


def _meets(table: str, key: list[str], condition: str, whole: str) -> str:
    """Return the condition that the new row has the key of one that is there.

    For a partial index both rows must lie in it. The names are Django's own, and quoted.
    """
    same = " AND ".join(f"{name} = NEW.{name}" for name in key)
    if not condition:
        return f"EXISTS (SELECT 1 FROM {table} WHERE {same})"  # noqa: S608
    old = f"EXISTS (SELECT 1 FROM {table} WHERE {same} AND ({condition}))"  # noqa: S608
    return f"({old} AND EXISTS (SELECT 1 FROM (SELECT {whole}) WHERE {condition}))"  # noqa: S608


def _condition(cursor: Any, index: str, partial: int) -> str:
    if not partial:
        return ""
    cursor.execute("SELECT sql FROM sqlite_master WHERE type = 'index' AND name = %s", [index])
    return str(cursor.fetchone()[0]).partition(" WHERE ")[2]


def _there_sqlite(connection: BaseDatabaseWrapper) -> dict[tuple[str, str], str]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT tbl_name, name, sql FROM sqlite_master WHERE type = 'trigger'")
        return {(table, name): sql for table, name, sql in cursor.fetchall()}


# --- both ---------------------------------------------------------------------------------------


def _there(connection: BaseDatabaseWrapper) -> dict[tuple[str, str], str]:
    if connection.vendor == "postgresql":
        return _there_postgresql(connection)
    return _there_sqlite(connection)


def _mark(connection: BaseDatabaseWrapper, trigger: Trigger) -> str:
    """Return what a trigger must look like where the database keeps it."""
    if connection.vendor == "postgresql":
        event = "TRUNCATE" if trigger.name.endswith("truncate") else "DELETE UPDATE"
        return FIRES_ALWAYS + _POSTGRESQL_BODY + event
    return trigger.statements[0]
