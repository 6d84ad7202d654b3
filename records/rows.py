"""A row of the record as an entry names it: exactly the fields that its schema number lists."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, datetime
from decimal import Decimal
from hashlib import sha256
from typing import Any, NoReturn, cast

from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import models

from records.changeable import CHANGEABLE, LEDGER_TABLES
from records.domain.errors import BadValue, Code, TarebookError
from records.domain.proof.envelope import utc_text

Schemas = Mapping[int, tuple[str, ...]]
Plain = dict[str, Any]


def insert_only_models() -> Iterator[type[models.Model]]:
    """Yield every model of the records app whose table is never changed, the ledger's too."""
    for model in apps.get_app_config("records").get_models(include_auto_created=True):
        if model._meta.managed and not model._meta.proxy and table_of(model) not in CHANGEABLE:
            yield model


def record_models() -> list[type[models.Model]]:
    """Return the models whose rows must each be named by an entry, in the order of their names."""
    found = (model for model in insert_only_models() if table_of(model) not in LEDGER_TABLES)
    return sorted(found, key=table_of)


def table_of(model: type[models.Model] | models.Model) -> str:
    """Return the name under which entries speak of a table, as "records.weighing"."""
    return model._meta.label_lower


def schemas_of(model: type[models.Model] | models.Model) -> Schemas:
    """Return the lists of fields by schema number; empty for a model that has none."""
    return cast(Schemas, getattr(model, "ledger_fields", {}))


def row_item(row: models.Model) -> Plain:
    """Return what an entry says of a row, under the newest schema of its table.

    Errors: BadValue when the row can't stand in the ledger; the message names table and field.
    """
    schemas = schemas_of(row)
    if not schemas or table_of(row) in CHANGEABLE | LEDGER_TABLES:
        raise BadValue(
            Code.BAD_VALUE,
            f"expected a row of the record, got one of {table_of(row)}, which has no ledger_fields",
        )
    if row.pk is None or row._state.adding:
        raise BadValue(Code.BAD_VALUE, f"expected a saved row of {table_of(row)}, got a new one")
    schema = max(schemas)
    return {
        "table": table_of(row),
        "id": str(row.pk),
        "schema": schema,
        "fields": row_fields(row, schema),
    }


def row_fields(row: models.Model, schema: int) -> Plain:
    """Return exactly the fields that `ledger_fields[schema]` lists, as canonical JSON allows them.

    Times are RFC 3339 in UTC with microseconds, days ISO 8601, decimals plain texts without
    exponent or trailing zeros, a reference the key of the row it points to, bytes their SHA-256.
    Errors: BadValue naming the field, for an unknown schema or a value that can't be held exactly.
    """
    names = schemas_of(row).get(schema)
    if names is None:
        raise BadValue(
            Code.BAD_VALUE,
            f"{table_of(row)} {row.pk}: expected a schema of {sorted(schemas_of(row))}, "
            f"got {schema}",
        )
    return {name: _field(row, name) for name in names}


def plain_decimal(value: Decimal) -> str:
    """Return a decimal so that equal values give equal texts, whatever zeros they trail."""
    if not value:
        return "0"
    text = format(value, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def _field(row: models.Model, name: str) -> Any:
    field = row._meta.get_field(name)
    if not isinstance(field, models.Field) or field.many_to_many:
        _refuse(row, name, "a column", type(field).__name__)
    value = getattr(row, field.attname)
    try:
        return _plain(_target(field), value)
    except ValidationError as error:
        _refuse(row, name, field.get_internal_type(), "; ".join(error.messages))
    except TarebookError as error:
        _refuse(row, name, error.expected or error.message, error.got or repr(value))


def _target(field: models.Field[Any, Any]) -> models.Field[Any, Any]:
    """Follow references to the column that holds the value."""
    while isinstance(field, models.ForeignKey):
        field = field.target_field
    return field


def _plain(field: models.Field[Any, Any], value: Any) -> Any:
    """Return a value as it will be read back, in plain JSON."""
    if value is None or isinstance(field, models.JSONField):
        return value
    if isinstance(value, float) or isinstance(field, models.FloatField):
        _not("an exact value", f"the float {value}")
    if isinstance(field, models.BinaryField):
        return sha256(bytes(value)).hexdigest()
    value = field.to_python(value)
    if isinstance(field, models.DecimalField):
        return _stored_decimal(field, value)
    return _plain_scalar(value)


def _plain_scalar(value: Any) -> Any:
    if isinstance(value, datetime):
        return utc_text(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, bool | int | str):
        return value
    return _not("a time, day, decimal, integer, text or bytes", type(value).__name__)


def _stored_decimal(field: models.DecimalField[Any, Any], value: Decimal) -> str:
    """Refuse a decimal with more places than its column keeps: it would come back another."""
    exponent = value.normalize().as_tuple().exponent if value.is_finite() else None
    if not isinstance(exponent, int):
        _not("a finite decimal", str(value))
    if -exponent > field.decimal_places:
        _not(f"at most {field.decimal_places} decimal places", str(value))
    return plain_decimal(value)


def _not(expected: str, got: str) -> NoReturn:
    raise BadValue(Code.BAD_VALUE, f"expected {expected}, got {got}", expected=expected, got=got)


def _refuse(row: models.Model, name: str, expected: str, got: str) -> NoReturn:
    raise BadValue(
        Code.BAD_VALUE,
        f"{table_of(row)} {row.pk}: expected {expected}, got {got}",
        field=name,
        expected=expected,
        got=got,
    )
