"""The bytes of a bench sheet as rows of named cells, each with its row number in the file.

RFC 4180, with a comma or a semicolon between cells. The header says which: commas go with a
decimal point, semicolons with a decimal comma, as spreadsheets write them.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from records.domain.errors import BadValue, Code, TarebookError, Unreadable
from records.domain.sheet.refusal import field_of, refuse_all, refused

COLUMNS = (
    "serial",
    "part",
    "what",
    "place",
    "reading",
    "unit",
    "scale",
    "operator",
    "measured at",
    "remark",
)
DELIMITERS = (",", ";")
LARGEST_BYTES = 1 << 20
MOST_ROWS = 5000
MIXTURE = "commas go with a decimal point, semicolons with a decimal comma; export it anew"

Cells = tuple[int, list[str]]


@dataclass(frozen=True, slots=True)
class RawRow:
    """A row's cells by column, trimmed; `number` counts lines as the file does, from 1."""

    number: int
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Table:
    """The rows that have the shape of the header, and what is wrong with the others."""

    delimiter: str
    rows: tuple[RawRow, ...]
    bad: tuple[TarebookError, ...]


def read_table(data: bytes) -> Table:
    """Return the rows of a sheet, without blank lines and lines of remarks.

    A remark line holds nothing but its remark, or starts with # and measures nothing.
    Errors: Unreadable for what is no CSV text in UTF-8 (with or without BOM) of at most 1 MiB;
    ManyErrors for a header with columns unknown, missing or doubled; BadValue for too many rows.
    """
    lines = list(io.StringIO(_decoded(data), newline=""))
    first, delimiter = _header_line(lines)
    bad: list[TarebookError] = []
    parsed = _parsed(lines[first:], first, delimiter, bad)
    number, names = next(parsed, (first + 1, []))
    refuse_all(bad)
    columns = _columns(number, names)
    rows = list(_rows(parsed, columns, delimiter, bad))
    if len(rows) > MOST_ROWS:
        raise refused(
            f"at most {MOST_ROWS} rows", str(len(rows)), "split the sheet", code=Code.OUT_OF_RANGE
        )
    return Table(delimiter, tuple(rows), tuple(bad))


def _decoded(data: bytes) -> str:
    if len(data) > LARGEST_BYTES:
        raise _unreadable(f"at most {LARGEST_BYTES} bytes", f"{len(data)} bytes")
    if b"\0" in data:
        raise _unreadable("a CSV text", "a file with zero bytes, as programs and workbooks are")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        got = f"a byte 0x{data[error.start]:02x} in line {line} that is none"
        raise _unreadable("text in UTF-8", got) from error


def _unreadable(expected: str, got: str) -> Unreadable:
    return Unreadable(
        Code.UNREADABLE,
        f"expected {expected}, got {got}; save the sheet as CSV (UTF-8)",
        expected=expected,
        got=got,
    )


def _header_line(lines: list[str]) -> tuple[int, str]:
    """Return the header's place and the delimiter it shows."""
    for index, line in enumerate(lines):
        if not line.strip(" \t\r\n,;\"'") or line.startswith("#"):
            continue
        shown = [delimiter for delimiter in DELIMITERS if delimiter in line]
        if len(shown) == 1:
            return index, shown[0]
        if shown:
            raise _unreadable("one delimiter in the header, comma or semicolon", "both")
        break
    raise _unreadable(f"a header with the columns {', '.join(COLUMNS)}", "none")


def _parsed(
    lines: list[str], before: int, delimiter: str, bad: list[TarebookError]
) -> Iterator[Cells]:
    """Yield each row's number and cells; a row that breaks the rules of quotes goes to `bad`."""
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    while True:
        number = before + reader.line_num + 1
        try:
            yield number, [" ".join(cell.split()) for cell in next(reader)]
        except StopIteration:
            return
        except csv.Error as error:
            bad.append(_badly_quoted(number, error))


def _badly_quoted(row: int, error: csv.Error) -> TarebookError:
    return refused("cells with each quote closed", str(error), field=field_of(row))


def _columns(row: int, names: list[str]) -> list[str]:
    """Return the header's names, or say of each what is wrong."""
    while names and not names[-1]:
        names.pop()
    columns = [name.lower().replace("_", " ") for name in names]
    missing = [name for name in COLUMNS if name not in columns]
    wrong = [_unknown(row, name) for name in columns if name not in COLUMNS]
    wrong += [_missing(row, name) for name in missing]
    wrong += [_doubled(row, name) for name in COLUMNS if columns.count(name) > 1]
    refuse_all(wrong)
    return columns


def _unknown(row: int, name: str) -> BadValue:
    known = ", ".join(COLUMNS)
    field = field_of(row, name[:40])
    return refused(f"a column of {known}", name, code=Code.UNKNOWN_KEY, field=field)


def _missing(row: int, name: str) -> BadValue:
    return refused(f"a column {name}", "", code=Code.MISSING, field=field_of(row, name))


def _doubled(row: int, name: str) -> BadValue:
    return refused(f"one column {name}", "it twice", field=field_of(row, name))


def _rows(
    parsed: Iterator[Cells], columns: list[str], delimiter: str, bad: list[TarebookError]
) -> Iterator[RawRow]:
    for number, cells in parsed:
        row = RawRow(number, dict.fromkeys(columns, "") | dict(zip(columns, cells, strict=False)))
        if not any(cells) or _is_marked_remark(row, cells[0]):
            continue
        wrong = _misshapen(number, cells, columns, delimiter)
        if wrong:
            bad.append(wrong)
        elif any(cell for column, cell in row.cells.items() if column != "remark"):
            yield row


def _misshapen(
    number: int, cells: list[str], columns: list[str], delimiter: str
) -> TarebookError | None:
    """Say what keeps cells from fitting the header; those left out at the end are empty."""
    other = next(each for each in DELIMITERS if each != delimiter)
    line = delimiter.join(cells)
    if len(cells) < len(columns) and line.count(other) >= len(columns) - 2:
        return refused(f"cells parted by {delimiter!r}", line, MIXTURE, field=field_of(number))
    if delimiter == "," and _has_loose_comma(cells, columns):
        at = columns.index("reading")
        got = ",".join(cells[at : at + 2])
        return refused("a decimal point", got, MIXTURE, field=field_of(number, "reading"))
    if any(cells[len(columns) :]):
        hint = "quote a cell that holds the delimiter"
        expected = f"{len(columns)} cells, as the header has"
        return refused(expected, f"{len(cells)} cells", hint, field=field_of(number))
    return None


def _has_loose_comma(cells: list[str], columns: list[str]) -> bool:
    """Say whether a decimal comma parted a reading in two: digits stand where the unit should."""
    unit = columns.index("unit")
    return unit == columns.index("reading") + 1 and "".join(cells[unit : unit + 1]).isdecimal()


def _is_marked_remark(row: RawRow, first: str) -> bool:
    measured = (row.cells[name] for name in ("reading", "unit", "scale", "measured at"))
    return first.startswith("#") and not any(measured)
