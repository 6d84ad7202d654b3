"""Read JSON text strictly: no NaN, no key twice, decimals kept as they were written."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import NoReturn

from records.domain.errors import BadValue, Code, Unreadable
from records.domain.reckon.numbers import say


def read_json(text: bytes) -> object:
    """Return what the text holds; floats come as Decimal, so that no digit is lost.

    Raise Unreadable when it isn't UTF-8 JSON, BadValue for NaN, Infinity and a doubled key.
    """
    try:
        parsed: object = json.loads(
            text.decode("utf-8-sig"),
            parse_float=Decimal,
            parse_constant=_no_constant,
            object_pairs_hook=_no_doubles,
        )
    except (ValueError, ArithmeticError, RecursionError) as error:
        reason = " ".join(str(error).split())[:100]
        raise Unreadable(
            Code.UNREADABLE,
            f"expected a JSON object in UTF-8, got text that can't be read: {reason}",
            expected="a JSON object in UTF-8",
            got=reason,
        ) from error
    return parsed


def _no_constant(name: str) -> NoReturn:
    raise BadValue(
        Code.NOT_A_NUMBER,
        f"expected a finite number, got {name}",
        expected="a finite number",
        got=name,
    )


def _no_doubles(pairs: list[tuple[str, object]]) -> dict[str, object]:
    read: dict[str, object] = {}
    for key, value in pairs:
        if key in read:
            raise BadValue(
                Code.BAD_VALUE,
                f"expected each key once, got {say(key)} twice",
                field=key,
                expected="each key once",
                got="twice",
            )
        read[key] = value
    return read
