"""Find a row that a deed names, or say at the field that there is none; take in words as given."""

from __future__ import annotations

from collections.abc import Sequence
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
    """Return a text as one trimmed line, refused when empty, too long, or with control characters.

    Line breaks and tabs become blanks.
    """
    line = optional_text(value, field, longest)
    if not line:
        raise BadValue(Code.MISSING, "expected a text, got none", field=field, expected="a text")
    return line


def optional_text(value: str, field: str, longest: int) -> str:
    """Return a text that may be empty, as `text` does."""
    line = " ".join(value.split())
    if len(line) > longest or not line.isprintable():
        raise BadValue(
            Code.BAD_VALUE,
            f"expected at most {longest} printable characters, got {len(line)}",
            field=field,
            expected=f"at most {longest} printable characters",
            got=line[:40],
        )
    return line


def new_number(value: str, field: str, longest: int) -> str:
    """Return the number under which something is to be booked.

    It stands in addresses and in the names of streams, so that a slash, a number sign, a question
    mark and blanks around it are refused.
    """
    number = text(value, field, longest)
    if number != value or not set("/\\?#%").isdisjoint(number) or not number.strip("."):
        raise BadValue(
            Code.BAD_VALUE,
            f"expected a number without / \\ ? # % and without blanks around it, got {value!r}",
            field=field,
            expected="letters, digits, hyphens, points, single blanks between",
            got=value[:40],
        )
    return number


def one_of(value: str, field: str, known: Sequence[str]) -> str:
    """Return a word that is one of those known, or refuse it at the field."""
    if value not in known:
        raise BadValue(
            Code.BAD_VALUE,
            f"expected one of {', '.join(known)}, got {value!r}",
            field=field,
            expected=", ".join(known),
            got=str(value)[:40],
        )
    return value


def _first(model: type[Row], key: object) -> Row | None:
    try:
        return model._default_manager.filter(pk=key).first()
    except (ValueError, OverflowError):  # a key of the wrong kind is an unknown one
        return None
