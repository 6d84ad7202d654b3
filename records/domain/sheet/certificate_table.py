"""A calibration certificate's table as CSV: points as left and as found, and the scatter.

The header names each column with its unit, as `state, load_g, error_mg, U_mg, k, s_mg`; a unit in
brackets will do. A row's state is `as left` (also when empty), `as found` or `repeatability`.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from records.domain.errors import BadValue, Code, Unreadable
from records.domain.measure.units import MASS, to_grams, unit_named

LARGEST_BYTES = 64 * 1024
MOST_ROWS = 200
MASSES = ("load", "error", "U", "s")
COLUMNS = ("state", *MASSES, "k")
AS_LEFT, AS_FOUND, SCATTER = "as left", "as found", "repeatability"
NAMED = re.compile(r"(?P<name>[A-Za-z]+)\s*[_\[(]?\s*(?P<unit>[A-Za-z]*)\s*[\])]?")
FIGURE = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)", re.ASCII)


@dataclass(frozen=True, slots=True)
class CertificateLine:
    """A point of a certificate, in g."""

    load_g: Decimal
    error_g: Decimal
    U_g: Decimal
    k: Decimal


@dataclass(frozen=True, slots=True)
class CertificateTable:
    """What a certificate's CSV holds; scatter is (load_g, s_g) each."""

    as_left: tuple[CertificateLine, ...]
    as_found: tuple[CertificateLine, ...]
    scatter: tuple[tuple[Decimal, Decimal], ...]


@dataclass(frozen=True, slots=True)
class _Column:
    name: str
    unit: str


@dataclass(frozen=True, slots=True)
class _Row:
    number: int
    cells: Mapping[str, str]
    units: Mapping[str, str]
    decimal_comma: bool


def read_certificate(data: bytes) -> CertificateTable:
    """Return the points and scatter of a certificate's CSV, masses in exact grams.

    Errors: Unreadable for what is no such CSV; BadValue at `csv/<row>/<column>`, rows counted as
    in the file, from 1.
    """
    points: dict[str, list[CertificateLine]] = {AS_LEFT: [], AS_FOUND: []}
    scatter = []
    for row in _rows(_decoded(data)):
        state = row.cells.get("state", "").lower() or AS_LEFT
        if state == SCATTER:
            scatter.append((_mass(row, "load"), _mass(row, "s")))
        elif state in points:
            points[state].append(_point(row))
        else:
            raise _refused(row, "state", f"{AS_LEFT}, {AS_FOUND} or {SCATTER}", state)
    return CertificateTable(tuple(points[AS_LEFT]), tuple(points[AS_FOUND]), tuple(scatter))


def _decoded(data: bytes) -> str:
    if len(data) > LARGEST_BYTES:
        raise _unreadable(f"at most {LARGEST_BYTES} bytes", f"{len(data)} bytes")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise _unreadable("text in UTF-8", "bytes that are none") from error
    if "\0" in text:
        raise _unreadable("text", "zero bytes, as workbooks have")
    return text


def _rows(text: str) -> Iterator[_Row]:
    lines = text.splitlines()
    header = next((line for line in lines if line.strip()), "")
    delimiter = next((sign for sign in (";", "\t", ",") if sign in header), None)
    if delimiter is None:
        raise _unreadable("a header such as load_g, error_g, U_g, k", header[:60] or "nothing")
    columns: list[_Column] | None = None
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    for cells in reader:
        trimmed = [" ".join(cell.split()) for cell in cells]
        if not any(trimmed):
            continue
        if columns is None:
            columns = _columns(trimmed)
            continue
        if reader.line_num > MOST_ROWS:
            raise _unreadable(f"at most {MOST_ROWS} rows", "more")
        names = [column.name for column in columns]
        units = {column.name: column.unit for column in columns}
        row = dict(zip(names, trimmed, strict=False))
        yield _Row(reader.line_num, row, units, delimiter == ";")


def _columns(cells: list[str]) -> list[_Column]:
    columns = [_column(cell) for cell in cells]
    names = [column.name for column in columns]
    doubled = sorted({name for name in names if names.count(name) > 1})
    missing = [name for name in ("load",) if name not in names]
    if doubled or missing:
        expected = f"each of {', '.join(COLUMNS)} once at most, load among them"
        raise _unreadable(expected, ", ".join(cells)[:80])
    return columns


def _column(cell: str) -> _Column:
    found = NAMED.fullmatch(cell)
    known = {name.lower(): name for name in COLUMNS}
    name = known.get(found["name"].lower()) if found else None
    if found is None or name is None:
        raise _unreadable(f"columns of {', '.join(COLUMNS)} with their units", cell[:40])
    unit = found["unit"]
    if name not in MASSES:
        return _Column(name, "")
    if not unit:
        raise _unreadable(f"the unit of {name}, as {name}_g or {name}_mg", cell[:40])
    if unit_named(unit, f"csv/1/{name}").dimension != MASS:
        raise _unreadable(f"a unit of mass for {name}", unit)
    return _Column(name, unit)


def _point(row: _Row) -> CertificateLine:
    k = row.cells.get("k", "")
    return CertificateLine(
        load_g=_mass(row, "load"),
        error_g=_mass(row, "error"),
        U_g=_mass(row, "U"),
        k=_figure(row, "k") if k else Decimal(2),
    )


def _mass(row: _Row, name: str) -> Decimal:
    if name not in row.units:
        raise _refused(row, name, f"a column {name} with its unit", "none")
    return to_grams(_figure(row, name), row.units[name], f"csv/{row.number}/{name}")


def _figure(row: _Row, name: str) -> Decimal:
    cell = row.cells.get(name, "")
    text = cell.replace("\N{MINUS SIGN}", "-")
    text = text.replace(",", ".", 1) if row.decimal_comma and "." not in text else text
    if not FIGURE.fullmatch(text) or len(text) > 40:
        raise _refused(row, name, "a number", cell)
    try:
        return Decimal(text)
    except InvalidOperation as error:
        raise _refused(row, name, "a number", cell) from error


def _refused(row: _Row, name: str, expected: str, got: str) -> BadValue:
    shown = repr(got[:40]) if got else "nothing"
    return BadValue(
        Code.BAD_VALUE,
        f"row {row.number}, {name}: expected {expected}, got {shown}",
        field=f"csv/{row.number}/{name}",
        expected=expected,
        got=shown,
    )


def _unreadable(expected: str, got: str) -> Unreadable:
    return Unreadable(
        Code.UNREADABLE,
        f"expected {expected}, got {got}; save the table as CSV (UTF-8)",
        field="csv",
        expected=expected,
        got=got,
    )
