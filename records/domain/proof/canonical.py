"""Canonical JSON: one value, one sequence of bytes (RFC 8785, for the subset that we allow).

Allowed are null, true, false, integers, texts, lists, and objects with ASCII keys. Refused are
floats (a decimal is a text), integers that a double can't hold, keys that aren't ASCII, and
duplicate keys. Under these refusals `json.dumps` with sorted keys writes exactly RFC 8785: ASCII
keys sort alike by code point and by UTF-16 unit (3.2.3), and its escapes are those of 3.2.2.2.
"""

from __future__ import annotations

import json
from typing import Any, NoReturn

from records.domain.errors import BadValue, Code, Unreadable

# RFC 7493 (I-JSON) 2.2: an integer beyond this is not exact in every reader
GREATEST_INTEGER = 2**53 - 1
DEEPEST = 64


def canonical_bytes(value: object) -> bytes:
    """Return the canonical bytes of `value`.

    Errors: BadValue with the JSON pointer of what is refused.
    """
    _check(value, "", 0)
    text = json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return text.encode("utf-8")


def parse_canonical(raw: bytes) -> Any:
    """Return the value whose canonical bytes `raw` is.

    Errors: Unreadable when `raw` is not JSON, has a duplicate key, or is not canonical.
    """
    try:
        value = json.loads(
            raw.decode("utf-8"),
            object_pairs_hook=_without_duplicates,
            parse_float=_no_float,
            parse_constant=_no_float,
        )
    except (ValueError, RecursionError) as error:
        raise Unreadable(Code.UNREADABLE, f"expected canonical JSON, got {error}") from error
    try:
        again = canonical_bytes(value)
    except BadValue as error:
        raise Unreadable(Code.UNREADABLE, f"expected canonical JSON, got {error}") from error
    if again != raw:
        raise Unreadable(
            Code.UNREADABLE, "expected canonical JSON, got the same value written another way"
        )
    return value


def _check(value: object, where: str, depth: int) -> None:
    if depth > DEEPEST:
        _refuse(where, f"at most {DEEPEST} levels", "more")
    if isinstance(value, dict):
        for key, item in value.items():
            _check_key(key, where)
            _check(item, f"{where}/{key}", depth + 1)
    elif isinstance(value, list | tuple):
        for index, item in enumerate(value):
            _check(item, f"{where}/{index}", depth + 1)
    else:
        _check_scalar(value, where)


def _check_scalar(value: object, where: str) -> None:
    if isinstance(value, str):
        _check_text(value, where)
    elif isinstance(value, int):
        if abs(value) > GREATEST_INTEGER:
            _refuse(where, "an integer below 2^53", "a greater one")
    elif value is not None:
        _refuse(where, "null, true, false, integer, text, list or object", type(value).__name__)


def _check_key(key: object, where: str) -> None:
    if not isinstance(key, str) or not key.isascii():
        _refuse(where, "a key of ASCII characters", ascii(key))


def _check_text(text: str, where: str) -> None:
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        _refuse(where, "a text", "a lone surrogate in it")


def _refuse(where: str, expected: str, got: str) -> NoReturn:
    raise BadValue(
        Code.BAD_VALUE,
        f"expected {expected}, got {got}",
        field=where or "/",
        expected=expected,
        got=got,
    )


def _without_duplicates(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise Unreadable(Code.UNREADABLE, f"expected each key once, got {twice!a} twice")
    return found


def _no_float(text: str) -> NoReturn:
    raise Unreadable(Code.UNREADABLE, f"expected an integer or a text, got the number {text}")
