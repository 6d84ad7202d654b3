"""One reading of a bench sheet: its cells read, or each said to be wrong."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import partial
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from records.domain.errors import BadValue, Code, TarebookError
from records.domain.sheet.refusal import field_of, refused
from records.domain.sheet.table import MIXTURE, RawRow

UNITS = ("g", "oz", "grain")
WHATS = ("whole", "big end", "small end")
LONGEST = {"serial": 40, "part": 40, "scale": 20, "operator": 80, "remark": 400}

_FIGURE = re.compile(r"[0-9]{1,9}(?:([.,])[0-9]{1,13})?")
_PLACE = re.compile(r"[1-9][0-9]{0,2}")
_MOMENT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}[ T][0-9]{2}:[0-9]{2}(?::[0-9]{2})?")


@dataclass(frozen=True, slots=True)
class Row:
    """A row as read: `reading` with a decimal point, `text` as it stands, the moment in UTC.

    `part` and `operator` stay words: what they name is known further up. `place` None: one piece
    stands for every place. `day` is the shop's.
    """

    number: int
    serial: str
    part: str
    what: str
    place: int | None
    reading: str
    text: str
    unit: str
    scale: str
    operator: str
    measured_at: datetime
    day: date
    remark: str


Reader = Callable[[str], object]


def readers(delimiter: str, zone: ZoneInfo) -> Mapping[str, Reader]:
    """Return what reads each column of a sheet with this delimiter."""
    mark = "." if delimiter == "," else ","
    required = {name: partial(_text, longest=LONGEST[name]) for name in ("serial", "scale")}
    return {
        **required,
        "part": partial(_text, longest=LONGEST["part"]),
        "what": _what,
        "place": _place,
        "reading": partial(_figure, mark=mark),
        "unit": _unit,
        "operator": partial(_text, longest=LONGEST["operator"]),
        "measured at": partial(_moment, zone=zone),
        "remark": partial(_text, longest=LONGEST["remark"], required=False),
    }


def read_row(
    raw: RawRow, by_column: Mapping[str, Reader], zone: ZoneInfo
) -> tuple[Row | None, list[TarebookError]]:
    """Return the row, or None with an error for each cell that can't be read."""
    values: dict[str, Any] = {}
    bad: list[TarebookError] = []
    for column, cell in raw.cells.items():
        try:
            values[column.replace(" ", "_")] = by_column[column](cell)
        except TarebookError as error:
            error.field = field_of(raw.number, column)
            bad.append(error)
    if bad:
        return None, bad
    day = values["measured_at"].astimezone(zone).date()
    return Row(number=raw.number, text=raw.cells["reading"], day=day, **values), []


def zone_named(timezone: str) -> ZoneInfo:
    """Return the shop's zone (BadValue for a name that no zone has)."""
    try:
        return ZoneInfo(timezone)
    except (ZoneInfoNotFoundError, ValueError, OSError) as missing:
        raise refused("a zone such as Europe/London", timezone, field="timezone") from missing


def _text(cell: str, *, longest: int, required: bool = True) -> str:
    if required and not cell:
        raise refused("a text", "", code=Code.MISSING)
    if len(cell) > longest or not cell.isprintable():
        raise refused(f"at most {longest} printable characters", cell)
    return cell


def _what(cell: str) -> str:
    what = " ".join(cell.lower().replace("-", " ").replace("_", " ").split())
    if what in WHATS:
        return what
    hint = "a set weighed together is recorded at its place" if what == "set" else ""
    raise _none_of(WHATS, cell, hint)


def _unit(cell: str) -> str:
    """Return the unit; `gr` is refused, since some mean grams by it and some grains."""
    unit = cell.lower()
    if unit in UNITS:
        return unit
    raise _none_of(UNITS, cell, code=Code.UNKNOWN_UNIT)


def _none_of(
    known: tuple[str, ...], cell: str, hint: str = "", code: Code = Code.BAD_VALUE
) -> BadValue:
    return refused(f"one of {', '.join(known)}", cell, hint, code=code if cell else Code.MISSING)


def _place(cell: str) -> int | None:
    if not cell:
        return None
    if not _PLACE.fullmatch(cell):
        raise refused("a place such as 1, or none where one piece stands for every place", cell)
    return int(cell)


def _figure(cell: str, *, mark: str) -> str:
    """Return the figure with a decimal point, whatever the sheet's mark is."""
    expected = f"a figure above 0 such as 446{mark}8"
    if not cell:
        raise refused(expected, "", code=Code.MISSING)
    found = _FIGURE.fullmatch(cell)
    if found is None:
        raise refused(expected, cell)
    if found[1] not in (None, mark):
        raise refused(f"a decimal {'point' if mark == '.' else 'comma'}", cell, MIXTURE)
    if not cell.strip("0.,"):
        raise refused(expected, cell, code=Code.OUT_OF_RANGE)
    return cell.replace(",", ".")


def _moment(cell: str, *, zone: ZoneInfo) -> datetime:
    """Return the UTC of a time on the shop's clock; of an hour told twice in autumn, the first."""
    expected = "a time such as 2026-03-02 08:05"
    if not cell:
        raise refused(expected, "", code=Code.MISSING)
    if not _MOMENT.fullmatch(cell):
        raise refused(expected, cell)
    try:
        told = datetime.fromisoformat(cell).replace(tzinfo=zone)
        moment = told.astimezone(UTC)
    except (ValueError, OverflowError) as error:
        raise refused(expected, cell) from error
    if moment.astimezone(zone).replace(tzinfo=None) != told.replace(tzinfo=None):
        raise refused(f"a time that the clock of {zone.key} showed", cell, "it was put on then")
    return moment
