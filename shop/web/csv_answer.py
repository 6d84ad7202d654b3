"""A table as a CSV file that a spreadsheet opens without running any of it."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from django.http import HttpResponse

# what a spreadsheet takes for a formula, or skips to reach one (OWASP, CSV injection)
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def csv_answer(name: str, heads: Sequence[str], rows: Iterable[Sequence[object]]) -> HttpResponse:
    """Answer with a file to keep; UTF-8 with its mark, since spreadsheets ask for it."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(heads)
    writer.writerows([escaped(cell) for cell in row] for row in rows)
    answer = HttpResponse("\ufeff" + text.getvalue(), content_type="text/csv; charset=utf-8")
    safe = "".join(c if c.isascii() and (c.isalnum() or c in "-.") else "-" for c in name)
    answer["Content-Disposition"] = f'attachment; filename="{safe}.csv"'
    answer["Cache-Control"] = "no-store"
    return answer


def escaped(cell: object) -> str:
    """Return a cell as text; one that would begin a formula begins with an apostrophe instead."""
    text = "" if cell is None else str(cell)
    return f"'{text}" if text.startswith(FORMULA) else text
