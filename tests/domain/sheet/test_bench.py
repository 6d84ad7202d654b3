"""Bench sheets read: what is one weighing, which shapes are taken, where a bad row is named."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

from records.domain.errors import BadValue, Code, ManyErrors, Unreadable
from records.domain.sheet.bench import Sheet, read_sheet
from records.domain.sheet.refusal import refuse_all
from records.domain.sheet.table import LARGEST_BYTES, MOST_ROWS
from tests.domain.sheet.sample import HEAD, REFUSED, V8, lines_of, sheet

PISTON = "PA01,piston,whole,1,445.9,g,S-02,ines,2026-03-02 08:05,"
AGAIN = "PA01,piston,whole,1,445.8,g,S-02,ines,2026-03-02 08:10,"


def read(data: bytes, timezone: str = "Europe/Dublin") -> Sheet:
    return read_sheet(data, timezone=timezone)


def facts(one: Sheet) -> list[tuple[object, ...]]:
    """All that a sheet says, without the file's row numbers and the figures' spelling."""
    return [
        (r.serial, r.part, r.what, r.place, r.reading, r.unit, r.scale, r.operator, r.measured_at)
        for r in one.rows
    ]


class TestTheSheetOfTheV8:
    def test_it_is_42_weighings_of_84_readings(self) -> None:
        # counted in the file: 8 × (piston, pin, ring set), locks, 8 × (big end, whole), shells
        whole = read(V8)
        assert not whole.bad
        assert (len(whole.weighings), len(whole.rows)) == (42, 84)
        assert {len(one.rows) for one in whole.weighings} == {2}

    def test_rows_are_numbered_as_in_the_file_blank_lines_too(self) -> None:
        lines = V8.decode().splitlines()
        for row in read(V8).rows:
            assert lines[row.number - 1].startswith(f"{row.serial},{row.part},{row.what}")

    def test_units_may_be_mixed_in_one_weighing(self) -> None:
        pair = next(w for w in read(V8).weighings if w.first.serial == "PA05")
        assert [(row.reading, row.unit) for row in pair.rows] == [("449.5", "g"), ("15.856", "oz")]

    def test_an_empty_place_means_one_piece_for_every_place(self) -> None:
        everywhere = {w.first.serial for w in read(V8).weighings if w.first.place is None}
        assert everywhere == {"LA01", "BA01"}

    def test_a_remark_may_hold_the_delimiter(self) -> None:
        remarks = {w.first.serial: w.remark for w in read(V8).weighings if w.remark}
        assert remarks["NA08"] == "door opened, read again"

    def test_with_semicolons_and_decimal_commas_it_says_the_same(self) -> None:
        other = _with_semicolons(V8.decode())
        assert facts(read(other.encode())) == facts(read(V8))
        pair = next(w for w in read(other.encode()).weighings if w.first.serial == "PA05")
        assert [row.text for row in pair.rows] == ["449,5", "15,856"], "kept as it stands"

    def test_bom_and_line_ends_of_other_machines_say_the_same(self) -> None:
        for other in (b"\xef\xbb\xbf" + V8, V8.replace(b"\n", b"\r\n"), V8.replace(b"\n", b"\r")):
            assert facts(read(other)) == facts(read(V8))

    def test_columns_may_stand_in_any_order_and_case(self) -> None:
        assert facts(read(_turned_round(V8.decode()).encode())) == facts(read(V8))


def _cells(text: str) -> list[list[str]]:
    import csv

    return list(csv.reader(text.splitlines()))


def _with_semicolons(text: str) -> str:
    lines = []
    for cells in _cells(text):
        if cells:
            cells[4] = cells[4].replace(".", ",")
        lines.append(";".join(f'"{cell}"' if "," in cell else cell for cell in cells))
    return "\n".join(lines)


def _turned_round(text: str) -> str:
    head, *rows = (list(reversed(cells)) for cells in _cells(text))
    head = [name.title().replace(" ", "_") for name in head]
    return "\n".join(",".join(f'"{cell}"' for cell in cells) for cells in (head, *rows))


class TestNeighbours:
    def test_blank_lines_and_remark_lines_part_none(self) -> None:
        between = ["", ",,,,,,,,,", ",,,,,,,,,after the tea break", "# cold, the door was open"]
        one = read(sheet(PISTON, *between, AGAIN))
        assert not one.bad
        assert [len(weighing.rows) for weighing in one.weighings] == [2]

    @pytest.mark.parametrize(
        ("was", "other"),
        [
            ("PA01", "PA02"),
            ("whole", "big end"),
            ("S-02", "S-03"),
            ("ines", "tomas"),
            ("2026-03-02", "2026-03-03"),
        ],
    )
    def test_another_serial_what_scale_operator_or_day_is_another_weighing(
        self, was: str, other: str
    ) -> None:
        assert len(read(sheet(PISTON, AGAIN.replace(was, other))).weighings) == 2

    def test_the_day_is_the_shops(self) -> None:
        # 23:55 and 00:05 in Dublin's summer: one day in UTC, two in the shop
        late = "PA01,piston,whole,1,445.9,g,S-02,ines,2026-07-01 23:55,"
        early = "PA01,piston,whole,1,445.9,g,S-02,ines,2026-07-02 00:05,"
        assert len(read(sheet(late, early)).weighings) == 2

    def test_a_part_weighed_again_later_is_two_weighings(self) -> None:
        other = "PA02,piston,whole,2,446.8,g,S-02,ines,2026-03-02 08:15,"
        later = PISTON.replace("08:05", "09:05")
        assert len(read(sheet(PISTON, other, later)).weighings) == 3

    def test_a_weighing_is_as_old_as_its_first_reading(self) -> None:
        one = read(sheet(AGAIN, PISTON)).weighings[0]
        assert one.measured_at == datetime(2026, 3, 2, 8, 5, tzinfo=UTC)

    def test_remarks_are_told_once_each(self) -> None:
        rows = (PISTON + "cold", AGAIN + "cold", AGAIN.replace(":10", ":15") + "warm")
        assert read(sheet(*rows)).weighings[0].remark == "cold; warm"


class TestTimes:
    def test_they_are_of_the_shops_zone(self) -> None:
        # IANA zone data: New York is 5 hours behind UTC in early March
        row = read(sheet(PISTON), "America/New_York").rows[0]
        assert row.measured_at == datetime(2026, 3, 2, 13, 5, tzinfo=UTC)

    def test_of_an_hour_told_twice_the_first_is_meant(self) -> None:
        # IANA zone data: Dublin goes back from 2:00 to 1:00 on 25 October 2026
        row = read(sheet(PISTON.replace("2026-03-02 08:05", "2026-10-25 01:30"))).rows[0]
        assert row.measured_at == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)

    @pytest.mark.parametrize("unknown", ["", "Europe/Nowhere", "../etc/passwd"])
    def test_an_unknown_zone_is_refused(self, unknown: str) -> None:
        with pytest.raises(BadValue) as refusal:
            read(V8, unknown)
        assert refusal.value.field == "timezone"


class TestRefusals:
    @pytest.mark.parametrize("case", REFUSED["row_by_row"], ids=lambda case: case["name"])
    def test_each_bad_row_is_named_by_row_and_column(self, case: dict[str, Any]) -> None:
        found = read(lines_of(case)).bad
        assert [[error.field, error.code] for error in found] == case["wrong"]
        assert all("expected" in error.message and "got" in error.message for error in found)

    @pytest.mark.parametrize("case", REFUSED["header"], ids=lambda case: case["name"])
    def test_a_header_is_refused_with_all_that_is_wrong(self, case: dict[str, Any]) -> None:
        with pytest.raises(ManyErrors) as refusal:
            read(lines_of(case))
        assert [[error.field, error.code] for error in refusal.value.errors] == case["wrong"]

    @pytest.mark.parametrize("case", REFUSED["unreadable"], ids=lambda case: case["name"])
    def test_what_is_no_sheet_is_unreadable(self, case: dict[str, Any]) -> None:
        with pytest.raises(Unreadable):
            read(lines_of(case))

    @pytest.mark.parametrize(
        "data",
        [
            b"PK\x03\x04\x14\x00\x06\x00 a workbook",
            b"\x89PNG\r\n\x1a\n\x00\x00",
            HEAD.encode("utf-16"),
            sheet(PISTON + "k\xfchl").decode().encode("latin-1"),
            sheet(PISTON).ljust(LARGEST_BYTES + 1, b"\n"),
        ],
        ids=["workbook", "picture", "UTF-16", "Latin-1", "too big"],
    )
    def test_bytes_that_are_no_csv_in_utf_8_are_unreadable(self, data: bytes) -> None:
        with pytest.raises(Unreadable) as refusal:
            read(data)
        assert refusal.value.code == Code.UNREADABLE

    def test_a_header_alone_is_refused(self) -> None:
        with pytest.raises(BadValue) as refusal:
            read(sheet())
        assert refusal.value.code == Code.MISSING

    def test_rows_beyond_the_most_are_refused(self) -> None:
        rows = [f"P{i},piston,whole,1,4.9,g,S,i,2026-03-02 08:05," for i in range(MOST_ROWS + 1)]
        with pytest.raises(BadValue) as refusal:
            read(sheet(*rows))
        assert refusal.value.code == Code.OUT_OF_RANGE
        assert len(read(sheet(*rows[:-1])).rows) == MOST_ROWS

    def test_remarks_too_long_together_are_refused_and_not_cut(self) -> None:
        rows = (PISTON + "a" * 399, AGAIN + "b" * 399)
        assert [error.field for error in read(sheet(*rows)).bad] == ["rows/2/remark"]

    def test_a_row_of_semicolons_is_no_remark_where_remarks_stand_first(self) -> None:
        head = "remark," + HEAD.removesuffix(",remark")
        data = f"{head}\nPA01;piston;whole;1;445,9;g;S-02;ines;2026-03-02 08:05;".encode()
        assert [error.field for error in read(data).bad] == ["rows/2"]

    def test_a_serial_that_starts_with_a_hash_is_a_serial(self) -> None:
        assert read(sheet("#" + PISTON)).rows[0].serial == "#PA01"

    def test_errors_are_raised_in_the_order_of_the_rows(self) -> None:
        found = read(sheet(PISTON.replace("g,", "st,"), AGAIN.replace("445.8", "x"))).bad
        with pytest.raises(ManyErrors) as refusal:
            refuse_all(reversed(found))
        assert [error.field for error in refusal.value.errors] == ["rows/2/unit", "rows/3/reading"]

    def test_an_open_quote_hides_no_later_row(self) -> None:
        rows = (PISTON + '"cold', AGAIN + '"warm"', AGAIN.replace("445.8", "x"))
        assert [error.field for error in read(sheet(*rows)).bad] == ["rows/2", "rows/4/reading"]
