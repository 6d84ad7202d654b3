"""Sheets for tests: the invented V8, and rows of one's own below the usual header."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

DATA = Path(__file__).parents[2] / "data"
V8 = (DATA / "sheet_v8.csv").read_bytes()
REFUSED: dict[str, Any] = json.loads((DATA / "sheets" / "refused.json").read_text("utf-8"))
HEAD: str = REFUSED["head"]


def sheet(*rows: str) -> bytes:
    """Return a sheet of these rows below the usual header."""
    return "\n".join([HEAD, *rows]).encode()


def lines_of(case: dict[str, Any]) -> bytes:
    """Return the bytes of a case of refused.json; a header ending in ; has semicolons."""
    lines = [line.replace("HEAD", HEAD) for line in case["lines"]]
    if lines and lines[0] == HEAD + ";":
        lines[0] = HEAD.replace(",", ";")
    return "\n".join(lines).encode()
