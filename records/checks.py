"""System checks of the record: `manage.py check --database default` names what is missing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from django.core import checks
from django.core.checks import CheckMessage, Tags
from django.db import connections, models

from records import triggers
from records.log_keys import is_demo_name, known_log_keys
from records.rows import record_models, schemas_of, table_of

MISSING_TRIGGER = "records.W001"
NOT_IN_THE_LEDGER = "records.E002"
DEMO_LOG_KEY = "records.E003"


@checks.register(Tags.database)
def insert_only_tables_have_their_triggers(
    databases: Sequence[str] | None = None, **_: Any
) -> list[CheckMessage]:
    """Warn of each trigger that is not there: an error would stop the migrate that makes it."""
    return [
        checks.Warning(
            f"{name}: trigger is missing or not ours",
            hint="run `manage.py migrate`, which installs it, then `manage.py verify`",
            id=MISSING_TRIGGER,
        )
        for alias in databases or ()
        for name in triggers.missing(connections[alias])
    ]


@checks.register(Tags.models)
def every_column_is_in_the_ledger(**_: Any) -> list[CheckMessage]:
    """Refuse a record table without `ledger_fields`, or with a column that its newest leaves out.

    What no entry names could be changed without `manage.py verify` noticing.
    """
    return [
        checks.Error(
            f"{table_of(model)}: {what}",
            hint="list it in ledger_fields, or the table in records/changeable.py",
            obj=model,
            id=NOT_IN_THE_LEDGER,
        )
        for model in record_models()
        for what in _left_out(model)
    ]


@checks.register(Tags.security, deploy=True)
def no_demo_key_signs_the_log(**_: Any) -> list[CheckMessage]:
    """Refuse a log that a demo's key signs: it proves nothing, and its name says so."""
    return [
        checks.Error(
            f"the log is signed by the demo key {known.key.name}",
            hint="open a shop of your own in a fresh TAREBOOK_VAR and TAREBOOK_KEYS_FOLDER",
            id=DEMO_LOG_KEY,
        )
        for known in known_log_keys()[-1:]
        if is_demo_name(known.key.name)
    ]


def _left_out(model: type[models.Model]) -> Iterator[str]:
    schemas = schemas_of(model)
    if not schemas:
        yield "expected ledger_fields, got none"
        return
    columns = {field.name for field in model._meta.concrete_fields if not field.primary_key}
    listed = set(schemas[max(schemas)])
    for name in sorted(columns - listed):
        yield f"column {name} is not in ledger_fields[{max(schemas)}]"
    known = {field.name for field in model._meta.concrete_fields}
    for schema, names in sorted(schemas.items()):
        for name in sorted(set(names) - known):
            yield f"ledger_fields[{schema}] names {name}, which is no column"
