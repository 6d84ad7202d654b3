"""Rows of the record kept aside and put back: a played build for many tests at the price of one.

They go in by plain INSERT, which the insert-only triggers allow, and come out as they were.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.core.management.color import no_style
from django.db import connection, models, transaction


@dataclass(frozen=True)
class KeptRows:
    """The rows of each table of the record, as the database holds them."""

    tables: dict[type[models.Model], tuple[list[str], list[tuple[Any, ...]]]]

    def put_back(self) -> None:
        """Insert them into empty tables."""
        with transaction.atomic(), connection.cursor() as cursor:
            for model, (columns, rows) in self.tables.items():
                cursor.executemany(_insert(model, columns), rows)
            used = [model for model, (_, rows) in self.tables.items() if rows]
            for statement in connection.ops.sequence_reset_sql(no_style(), used):
                cursor.execute(statement)


def kept() -> KeptRows:
    """Keep the rows that are there now."""
    tables = {}
    with connection.cursor() as cursor:
        for model in apps.get_app_config("records").get_models(include_auto_created=True):
            columns = [str(field.column) for field in model._meta.concrete_fields]
            names = ", ".join(connection.ops.quote_name(column) for column in columns)
            table = connection.ops.quote_name(model._meta.db_table)
            cursor.execute(f"SELECT {names} FROM {table}")  # noqa: S608 (names of our own tables)
            rows = [tuple(_plain(value) for value in row) for row in cursor.fetchall()]
            tables[model] = (columns, rows)
    return KeptRows(tables)


def kept_once(store: dict[str, KeptRows], name: str, play: Callable[[], None]) -> None:
    """Play, and keep what it left; when that was done before in this run, only put it back."""
    if name in store:
        store[name].put_back()
        return
    play()
    store[name] = kept()


def _insert(model: type[models.Model], columns: list[str]) -> str:
    quote = connection.ops.quote_name
    places = ", ".join(["%s"] * len(columns))
    names = ", ".join(quote(column) for column in columns)
    return f"INSERT INTO {quote(model._meta.db_table)} ({names}) VALUES ({places})"  # noqa: S608


def _plain(value: Any) -> Any:
    return bytes(value) if isinstance(value, memoryview) else value
