"""A bench sheet taken in: its parts booked and fitted, its weighings recorded, or nothing."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal

from django.db import models, transaction

from records import ledger
from records.actions.builds import note_detail, open_build
from records.actions.clock import SYSTEM, Clock
from records.actions.deed import Act, deed
from records.actions.default_specs import default_spec, rod_length_of
from records.actions.findings import raise_findings
from records.actions.fitments import fitted
from records.actions.lookup import found
from records.actions.parts import booked
from records.actions.reading import ReadingGiven
from records.actions.sheet_rows import Known, known_rows, number_of, people_by_name
from records.actions.sheet_warnings import warnings_of
from records.actions.weighings import WeighingGiven, written
from records.domain.errors import BadValue, Code, Conflict, TarebookError
from records.domain.sheet.bench import Sheet, SheetWeighing, read_sheet
from records.domain.sheet.refusal import field_of, refuse_all
from records.domain.sheet.row import Row
from records.models import Build, Fitment, Part, ShopSettings, Weighing


@dataclass(frozen=True, slots=True)
class TakeIn:
    """What a sheet brought: parts new on record, weighings in the order of the file, warnings.

    After a dry run the rows are as they would have been, and stand nowhere.
    """

    build: Build
    parts: tuple[Part, ...]
    weighings: tuple[Weighing, ...]
    readings: int
    warnings: tuple[str, ...]


def take_in(
    *,
    by: str,
    build: str,
    sheet_bytes: bytes,
    open_layout: str | None = None,
    rod_length_mm: Decimal | None = None,
    stroke_mm: Decimal | None = None,
    engine: str = "",
    customer: str | None = None,
    dry_run: bool = False,
    clock: Clock = SYSTEM,
) -> TakeIn:
    """Take a bench sheet in, all of it or nothing; with `open_layout` open its build first.

    A part's number is its serial on the sheet. A dry run does all and takes it back. Errors:
    Unreadable; ManyErrors with every bad row at `rows/17/reading`; Conflict for a sheet whose
    weighings are on record.
    """
    sheet = read_sheet(sheet_bytes, timezone=_timezone())
    with transaction.atomic():
        if open_layout is None:
            _note_lengths(by, build, rod_length_mm, stroke_mm, clock)
        else:
            open_build(
                by=by,
                number=build,
                engine=engine or open_layout,
                layout=open_layout,
                use=Build.Use.STREET,
                customer=customer,
                rod_length_mm=rod_length_mm,
                stroke_mm=stroke_mm,
                clock=clock,
            )
        with deed(by=by, name="book parts", streams=_streams(build, sheet), clock=clock) as act:
            taken = _taken_in(act, found(Build, build, "build"), sheet, sheet_bytes)
        if dry_run:
            transaction.set_rollback(True)
        return taken


def who_takes_in(*, sheet_bytes: bytes, name: str = "") -> str:
    """Return the number of the person of this name, or of the one who weighed all of the sheet.

    Errors: BadValue when the name is unknown, or the sheet names several or nobody known.
    """
    people = people_by_name()
    if name:
        return _one_person({number_of(name, people)}, name)
    sheet = read_sheet(sheet_bytes, timezone=_timezone())
    names = {row.operator for row in sheet.rows}
    numbers = {number_of(each, people) for each in names} - {None}
    if len(numbers) != 1:
        refuse_all(sheet.bad)
    return _one_person(numbers, ", ".join(sorted(names)) or "nobody")


def _one_person(numbers: set[str | None], got: str) -> str:
    number = numbers.pop() if len(numbers) == 1 else None
    if number is None:
        raise BadValue(
            Code.UNKNOWN_NUMBER,
            f"expected one person on record, got {got}; "
            "say by account name or shop number who takes the sheet in",
            field="by",
            expected="one person on record",
            got=got,
        )
    return number


def _timezone() -> str:
    newest = ShopSettings.objects.order_by("-version").first()
    if newest is None:
        raise Conflict(Code.CONFLICT, "expected an open shop, got none yet; open it first")
    return newest.timezone


def _note_lengths(
    by: str, build: str, rod_length_mm: Decimal | None, stroke_mm: Decimal | None, clock: Clock
) -> None:
    for key, value in (("rod_length_mm", rod_length_mm), ("stroke_mm", stroke_mm)):
        if value is not None:
            note_detail(by=by, build=build, key=key, value=str(value), clock=clock)


def _streams(build: str, sheet: Sheet) -> list[str]:
    parts = {ledger.part_stream(row.serial) for row in sheet.rows}
    return [ledger.build_stream(build), *parts]


def _taken_in(act: Act, build: Build, sheet: Sheet, sheet_bytes: bytes) -> TakeIn:
    known = known_rows(sheet, build, act.at)
    _refuse_again(sheet)
    parts = _parts(act, build, sheet, known)
    came_in = [(_weighing(act, build, one, known), one) for one in sheet.weighings]
    weighings = tuple(weighing for weighing, _ in came_in)
    told = {
        "sheet_sha256": hashlib.sha256(sheet_bytes).hexdigest(),
        "readings": len(sheet.rows),
        "weighings": len(weighings),
    }
    stream = ledger.build_stream(build.number)
    act.enter(stream, "sheet taken in", raise_findings(act, build), told)
    warnings = warnings_of(build.number, {weighing.pk: one for weighing, one in came_in})
    return TakeIn(build, tuple(parts), weighings, len(sheet.rows), warnings)


def _refuse_again(sheet: Sheet) -> None:
    """Refuse a sheet of which any weighing is on record and was not taken back."""
    serials = {row.serial for row in sheet.rows}
    standing = Weighing.objects.filter(part__in=serials, correction__isnull=True)
    there = set(standing.values_list("part_id", "what", "scale_id", "measured_at"))
    again = [
        one
        for one in sheet.weighings
        if (one.first.serial, one.first.what, one.first.scale, one.measured_at) in there
    ]
    if again:
        first = again[0].first
        raise Conflict(
            Code.ALREADY_THERE,
            f"expected weighings not yet on record, got {len(again)} of {len(sheet.weighings)} "
            f"that are, the first {first.serial} {first.what}; this sheet was taken in before: "
            "leave out the rows that are on record",
            field=field_of(first.number),
        )


def _parts(act: Act, build: Build, sheet: Sheet, known: Known) -> list[Part]:
    """Book the parts that are not on record and put each in its place; return the new ones."""
    rod_length_mm = rod_length_of(build.number)
    new: list[Part] = []
    fitments: list[models.Model] = []
    for serial, rows in _by_serial(sheet).items():
        with _at_row(rows[0]):
            part = known.parts.get(serial)
            if part is None:
                spec = default_spec(act, known.kinds[serial], rod_length_mm)
                part = booked(act, number=serial, spec=spec, serial=serial, marking="")
                act.enter(ledger.part_stream(serial), "part booked", [part])
                new.append(part)
            if serial not in known.in_build:
                fitments.append(_fitted(act, build, part, rows))
    if fitments:
        act.enter(ledger.build_stream(build.number), "parts fitted", fitments)
    return new


def _by_serial(sheet: Sheet) -> dict[str, list[Row]]:
    parts: dict[str, list[Row]] = {}
    for row in sheet.rows:
        parts.setdefault(row.serial, []).append(row)
    return parts


def _fitted(act: Act, build: Build, part: Part, rows: Sequence[Row]) -> Fitment:
    """Fit a part as of its first reading: what was answered or matched since then came after."""
    at = min(row.measured_at for row in rows)
    return fitted(act, build, part, rows[0].place, at, at_booking=True)


def _weighing(act: Act, build: Build, one: SheetWeighing, known: Known) -> Weighing:
    first = one.first
    given = WeighingGiven(
        what=first.what,
        part=first.serial,
        readings=[
            ReadingGiven(row.reading, row.unit, row.text, read_at=row.measured_at)
            for row in one.rows
        ],
        scale=first.scale,
        measured_at=one.measured_at,
        source=Weighing.Source.SHEET,
        operator=number_of(first.operator, known.people),
        remark=one.remark,
    )
    with _at_row(first):
        weighing, rows = written(act, build, given)
        act.enter(ledger.build_stream(build.number), "weighing recorded", rows)
        return weighing


@contextmanager
def _at_row(row: Row) -> Iterator[None]:
    """Name the row in an error that a deed below raises at a field of its own."""
    try:
        yield
    except TarebookError as error:
        error.field = field_of(row.number, error.field.split("/")[0])
        raise
