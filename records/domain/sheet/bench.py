"""A bench sheet as shops keep them: one row a reading, neighbours of one kind one weighing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from records.domain.errors import BadValue, Code, TarebookError
from records.domain.sheet.refusal import field_of, refused
from records.domain.sheet.row import LONGEST, Row, read_row, readers, zone_named
from records.domain.sheet.table import read_table


@dataclass(frozen=True, slots=True)
class SheetWeighing:
    """A weighing with its readings, each a row; it was made when the first was read."""

    rows: tuple[Row, ...]

    @property
    def first(self) -> Row:
        """Return the row that says what all of them share."""
        return self.rows[0]

    @property
    def measured_at(self) -> datetime:
        """Return when the first of the readings was taken, in UTC."""
        return min(row.measured_at for row in self.rows)

    @property
    def remark(self) -> str:
        """Return the remarks, each once."""
        return "; ".join(dict.fromkeys(row.remark for row in self.rows if row.remark))


@dataclass(frozen=True, slots=True)
class Sheet:
    """The weighings in the order of the file, and what is wrong with its other rows.

    `bad` is not raised here, so that what the record says of the good rows is told with it.
    """

    weighings: tuple[SheetWeighing, ...]
    bad: tuple[TarebookError, ...]

    @property
    def rows(self) -> tuple[Row, ...]:
        """Return the rows that could be read."""
        return tuple(row for weighing in self.weighings for row in weighing.rows)


def read_sheet(data: bytes, *, timezone: str) -> Sheet:
    """Return a sheet's weighings; neighbours of equal serial, what, scale, operator, day are one.

    Blank lines and remark lines part no neighbours. Times are the shop's, by `timezone`. Errors:
    Unreadable, and ManyErrors for a header that says nothing; a bad row is in the sheet's `bad`.
    """
    zone = zone_named(timezone)
    table = read_table(data)
    by_column = readers(table.delimiter, zone)
    rows: list[Row] = []
    bad = list(table.bad)
    for raw in table.rows:
        row, wrong = read_row(raw, by_column, zone)
        bad += wrong
        if row:
            rows.append(row)
    if not rows and not bad:
        raise BadValue(Code.MISSING, "expected a reading below the header, got none", field="rows")
    weighings = tuple(_weighings(rows))
    bad += [*_moved(rows), *_told_twice(weighings), *_remarked_too_long(weighings)]
    return Sheet(weighings, tuple(bad))


def _weighings(rows: Sequence[Row]) -> Iterator[SheetWeighing]:
    for _, group in groupby(rows, lambda r: (r.serial, r.what, r.scale, r.operator, r.day)):
        yield SheetWeighing(tuple(group))


def _moved(rows: Iterable[Row]) -> Iterator[TarebookError]:
    """A part that stands in two places on one sheet: one of the two is a slip."""
    seen: dict[str, Row] = {}
    for row in rows:
        before = seen.setdefault(row.serial, row)
        if row.place != before.place:
            yield refused(
                f"{row.serial} in {_said(before.place)} as in row {before.number}",
                _said(row.place),
                field=field_of(row.number, "place"),
            )


def _said(place: int | None) -> str:
    return "every place" if place is None else f"place {place}"


def _told_twice(weighings: Iterable[SheetWeighing]) -> Iterator[TarebookError]:
    """One weighing that stands twice on the sheet, as when rows were pasted again."""
    seen: dict[tuple[object, ...], SheetWeighing] = {}
    for weighing in weighings:
        row = weighing.first
        key = (row.serial, row.what, row.scale, weighing.measured_at)
        before = seen.setdefault(key, weighing)
        if before is not weighing:
            yield refused(
                "each weighing once",
                f"{row.serial} {row.what} of row {before.first.number} again",
                code=Code.ALREADY_THERE,
                field=field_of(row.number, "measured at"),
            )


def _remarked_too_long(weighings: Iterable[SheetWeighing]) -> Iterator[TarebookError]:
    longest = LONGEST["remark"]
    for weighing in weighings:
        if len(weighing.remark) > longest:
            yield refused(
                f"at most {longest} characters of remarks on one weighing",
                f"{len(weighing.remark)} characters",
                field=field_of(weighing.first.number, "remark"),
            )
