"""Find a row that a deed names, or say at the field that there is none."""

from __future__ import annotations

from typing import TypeVar

from django.db import models

from records.domain.errors import BadValue, Code, Conflict

Row = TypeVar("Row", bound=models.Model)


def found(model: type[Row], key: object, field: str) -> Row:
    """Return the row with this primary key.

    Errors: BadValue `unknown_number` at the field.
    """
    row = _first(model, key)
    if row is None:
        what = model._meta.verbose_name
        raise BadValue(
            Code.UNKNOWN_NUMBER,
            f"no {what} is known as {key!r}; book it first",
            field=field,
            expected=f"the number of a {what} on record",
            got=str(key),
        )
    return row


def refuse_taken(model: type[models.Model], key: object, field: str) -> None:
    """Refuse a number that is on record (Conflict `already_there`)."""
    if _first(model, key) is not None:
        what = model._meta.verbose_name
        raise Conflict(
            Code.ALREADY_THERE,
            f"{what} {key} is on record already; choose another number",
            field=field,
            expected="a number not yet on record",
            got=str(key),
        )


def text(value: str, field: str, longest: int) -> str:
    """Return a text trimmed, refused when empty, too long, or with control characters."""
    trimmed = value.strip()
    if not trimmed:
        raise BadValue(Code.MISSING, "expected a text, got none", field=field, expected="a text")
    if len(trimmed) > longest or not trimmed.isprintable():
        raise BadValue(
            Code.BAD_VALUE,
            f"expected at most {longest} printable characters, got {len(trimmed)}",
            field=field,
            expected=f"at most {longest} printable characters",
            got=trimmed[:40],
        )
    return trimmed


def _first(model: type[Row], key: object) -> Row | None:
    try:
        return model._default_manager.filter(pk=key).first()
    except (ValueError, OverflowError):  # a key of the wrong kind is an unknown one
        return None
