"""Lists a page at a time: `limit` rows after the row that `cursor` names.

A cursor is the key of the last row seen, not a count, so a row recorded meanwhile at the head of
a list neither hides one nor shows one twice.
"""

from __future__ import annotations

import base64
from collections.abc import Callable, Sequence
from typing import Any

from rest_framework.request import Request

from records.domain.errors import BadValue, Code

USUAL = 50
MOST = 500


def page_of(request: Request, rows: Sequence[Any], key: Callable[[Any], object]) -> dict[str, Any]:
    """Return the page of rows that a request asks for.

    Errors: BadValue for a limit out of range or a cursor that names no row of this list.
    """
    limit = _limit(request.query_params.get("limit"))
    start = _start(request.query_params.get("cursor"), rows, key)
    items = list(rows[start : start + limit])
    more = start + limit < len(rows)
    return {"items": items, "next": _cursor(key(items[-1])) if more else None}


def _limit(given: str | None) -> int:
    if given is None:
        return USUAL
    if not given.isascii() or not given.isdigit() or not 1 <= int(given[:9]) <= MOST:
        raise _bad("limit", f"1 to {MOST}", given)
    return int(given)


def _start(given: str | None, rows: Sequence[Any], key: Callable[[Any], object]) -> int:
    if given is None:
        return 0
    for index, row in enumerate(rows):
        if _cursor(key(row)) == given:
            return index + 1
    raise _bad("cursor", "the `next` of a page of this list", given)


def _cursor(key: object) -> str:
    return base64.urlsafe_b64encode(str(key).encode()).decode().rstrip("=")


def _bad(field: str, expected: str, got: str) -> BadValue:
    return BadValue(
        Code.BAD_VALUE,
        f"expected {expected}, got {got[:40]!r}",
        field=field,
        expected=expected,
        got=got[:40],
    )
