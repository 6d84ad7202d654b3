"""Sheets that are refused: each bad row named, and nothing written."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from records.actions.clock import SetClock
from records.domain.errors import BadValue, Code, Conflict, ManyErrors, NotAllowed
from tests.domain.sheet.sample import sheet
from tests.records import factory
from tests.records.actions.taking_in import (
    BUILD,
    MORNING,
    NO_LENGTHS,
    PISTON,
    ROWS,
    Untouched,
    taken,
    the_shop_of_the_sheet,
)


@pytest.fixture(autouse=True)
def _shop(db: None) -> None:
    the_shop_of_the_sheet()


BAD = {
    "an unknown kind": ("piston,", "cheese,", "part"),
    "an end of a piston": ("whole", "big end", "what"),
    "a place that the engine hasn't": (",1,445", ",9,445", "place"),
    "a piston for every place": (",1,445", ",,445", "place"),
    "more than the scale carries": ("445.9", "2000.1", "reading"),
    "fourteen decimal places in grams": ("445.9,g", "15.85611,oz", "reading"),
    "a scale nobody booked": ("S-02", "S-77", "scale"),
    "an operator nobody knows": ("ines", "nils", "operator"),
    "an operator who never might weigh": ("ines", "P-03", "operator"),
    "a time ahead": ("2026-03-02", "2099-03-02", "measured at"),
    "an unknown unit": (",g,", ",stone,", "unit"),
}


class TestRefusals:
    @pytest.mark.parametrize(("was", "is_now", "column"), BAD.values(), ids=BAD)
    def test_a_bad_cell_is_named_and_nothing_is_written(
        self, was: str, is_now: str, column: str
    ) -> None:
        row = PISTON.replace(was, is_now, 1)
        assert row != PISTON
        with Untouched(), pytest.raises(ManyErrors) as refusal:
            taken(sheet(*ROWS[1:], row))
        assert [error.field for error in refusal.value.errors] == [f"rows/4/{column}"]

    def test_what_can_t_be_read_and_what_is_not_on_record_are_told_together(self) -> None:
        unread, unknown = PISTON.replace(",g,", ",st,"), ROWS[1].replace("S-02", "S-77")
        with Untouched(), pytest.raises(ManyErrors) as refusal:
            taken(sheet(unread, unknown))
        assert [e.field for e in refusal.value.errors] == ["rows/2/unit", "rows/3/scale"]

    def test_a_serial_of_two_kinds_is_refused_but_not_two_words_for_one(self) -> None:
        second = PISTON.replace("08:05", "08:10")
        with Untouched(), pytest.raises(ManyErrors) as refusal:
            taken(sheet(PISTON, second.replace("piston", "pin")))
        assert "rows/3/part" in [error.field for error in refusal.value.errors]
        assert len(taken(sheet(PISTON, second.replace("piston", "Pistons"))).parts) == 1

    def test_two_of_a_kind_for_one_place_are_refused(self) -> None:
        with Untouched(), pytest.raises(ManyErrors, match="PA01") as refusal:
            taken(sheet(PISTON, ROWS[1].replace(",2,", ",1,")))
        assert refusal.value.errors[0].field == "rows/3/place"

    def test_two_that_each_stand_for_every_place_are_refused(self) -> None:
        locks = "LA01,pin locks,whole,,2.3,g,S-02,ines,2026-03-02 12:05,"
        with Untouched(), pytest.raises(ManyErrors) as refusal:
            taken(sheet(locks, locks.replace("LA01", "LA02")))
        assert refusal.value.errors[0].field == "rows/3/place"

    def test_a_part_that_is_on_record_as_another_kind_is_refused(self) -> None:
        factory.a_part("RA01", spec=factory.a_spec("piston"))
        with Untouched(), pytest.raises(ManyErrors) as refusal:
            taken(sheet(*ROWS))
        assert refusal.value.errors[0].field == "rows/4/part"

    def test_a_part_that_stands_in_another_build_is_refused(self) -> None:
        factory.fitted(factory.a_build("26-001"), factory.a_part("PA01"), 1)
        with Untouched(), pytest.raises(ManyErrors, match="26-001") as refusal:
            taken(sheet(*ROWS))
        assert refusal.value.errors[0].field == "rows/2/serial"

    def test_a_part_that_stands_at_another_place_is_refused(self) -> None:
        factory.fitted(factory.a_build(BUILD), factory.a_part("PA01"), 5)
        with Untouched(), pytest.raises(ManyErrors, match="where PA01 stands") as refusal:
            taken(sheet(*ROWS), **NO_LENGTHS)
        assert refusal.value.errors[0].field == "rows/2/place"

    @pytest.mark.parametrize("length", ["NaN", "-1", "0", "99999"])
    def test_an_absurd_length_opens_no_build(self, length: str) -> None:
        with Untouched(), pytest.raises(BadValue):
            taken(rod_length_mm=Decimal(length))

    @pytest.mark.parametrize("person", ["P-03", "P-99", ""])
    def test_who_may_not_book_parts_takes_nothing_in(self, person: str) -> None:
        with Untouched(), pytest.raises(NotAllowed):
            taken(by=person)

    def test_a_set_clock_is_for_a_demo_shop_only(self) -> None:
        with Untouched(), pytest.raises(NotAllowed):
            taken(clock=SetClock(MORNING))

    def test_a_failure_in_the_middle_leaves_nothing(self, monkeypatch: pytest.MonkeyPatch) -> None:
        def broken(*_: object) -> list[Any]:
            raise Conflict(Code.CONFLICT, "the last step of all fails")

        monkeypatch.setattr("records.actions.take_in.raise_findings", broken)
        with Untouched(), pytest.raises(Conflict, match="the last step"):
            taken()
