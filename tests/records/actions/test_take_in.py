"""A bench sheet taken in: what comes in, what is said not to count, who may."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal
from time import perf_counter

import pytest

from records import ledger
from records.actions.take_in import who_takes_in
from records.actions.weighings import correct_weighing
from records.domain.errors import BadValue, Conflict, ManyErrors, NotAllowed
from records.models import Fitment, Part, PersonEnd, Reading, Weighing
from records.queries.verification import verify_record
from tests.domain.sheet.sample import V8, sheet
from tests.records import factory
from tests.records.actions.taking_in import (
    BUILD,
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


class TestTheSheetOfTheV8:
    def test_every_part_comes_in_at_its_place(self) -> None:
        came = taken()
        assert len(came.parts) == 34
        kinds = [part.spec.kind for part in came.parts]
        assert {kind: kinds.count(kind) for kind in sorted(set(kinds))} == {
            "bearing shells": 1,
            "pin": 8,
            "pin locks": 1,
            "piston": 8,
            "ring set": 8,
            "rod": 8,
        }
        places = dict(Fitment.objects.values_list("part_id", "place"))
        assert [places[f"RA0{place}"] for place in range(1, 9)] == list(range(1, 9))
        assert places["LA01"] is None and places["BA01"] is None

    def test_every_weighing_has_its_two_readings_operator_and_time(self) -> None:
        came = taken()
        assert (len(came.weighings), came.readings) == (42, 84)
        assert Reading.objects.count() == 84
        rod = Weighing.objects.get(part="RA06", what="big end")
        assert (rod.source, rod.operator_id, rod.scale_id) == ("sheet", "P-01", "S-02")
        assert rod.measured_at == datetime(2026, 3, 2, 13, 55, tzinfo=UTC)
        assert rod.late
        assert rod.calibration is not None and rod.check_before is not None

    def test_an_end_is_hung_anew_for_each_reading(self) -> None:
        taken()
        hung = Weighing.objects.get(part="RA01", what="big end")
        assert (hung.how, hung.fixture_id is not None) == ("hung", True)
        assert [reading.hanging for reading in hung.readings.order_by("order")] == [1, 2]
        whole = Weighing.objects.get(part="RA01", what="whole")
        assert [reading.hanging for reading in whole.readings.all()] == [None, None]

    def test_ounces_become_exact_grams(self) -> None:
        # NIST SP 811 App. B: 1 oz is 28.349523125 g, so 15.856 oz is 449.510038670 g
        taken()
        pair = Weighing.objects.get(part="PA05")
        read = [(r.text, r.unit, r.grams) for r in pair.readings.order_by("order")]
        assert read[0] == ("449.5", "g", Decimal("449.5"))
        assert read[1] == ("15.856", "oz", Decimal("15.856") * Decimal("28.349523125"))
        assert pair.mean_g == Decimal("449.505019335")

    def test_rod_zones_stand_where_the_length_puts_them(self) -> None:
        taken()
        spec = Part.objects.get(number="RA01").spec
        assert spec.zones.get(key="rod-sides").x_mm == Decimal("152.4")
        assert Part.objects.get(number="PA01").spec.number == "default-piston"

    def test_each_weighing_has_an_entry_and_the_record_verifies(self) -> None:
        taken()
        kinds = [entry.envelope.kind for entry in ledger.entries(ledger.build_stream(BUILD))]
        assert kinds.count("weighing recorded") == 42
        assert kinds[0] == "build opened" and kinds[-1] == "sheet taken in"
        assert ledger.head(ledger.part_stream("RA06")) is not None
        assert verify_record().stands

    def test_on_a_calibrated_and_checked_scale_all_count(self) -> None:
        assert taken().warnings == ()

    def test_it_takes_seconds_not_minutes(self) -> None:
        start = perf_counter()
        taken()
        assert perf_counter() - start < 5

    def test_work_done_later_that_day_comes_after_the_fitting(self) -> None:
        taken()
        fitment = Fitment.objects.get(part="PA01")
        assert fitment.fitted_at == datetime(2026, 3, 2, 8, 5, tzinfo=UTC)
        assert fitment.at_booking, "booking in is not the work"


class TestIntoABuildThatIsOpen:
    def test_parts_on_record_are_not_booked_again(self) -> None:
        build = factory.a_build(BUILD, rod_length_mm="152.4")
        piston = factory.a_part("PA01")
        factory.fitted(build, piston, 1)
        came = taken(sheet(*ROWS), open_layout=None)
        assert [part.number for part in came.parts] == ["PA02", "RA01"]
        assert Fitment.objects.filter(part="PA01").count() == 1
        assert verify_record().stands

    def test_a_second_sheet_brings_the_next_weighings(self) -> None:
        taken(sheet(*ROWS))
        again = sheet(PISTON.replace("03-02 08:05", "03-03 08:05").replace("445.9", "445.7"))
        came = taken(again, **NO_LENGTHS)
        assert came.parts == () and len(came.weighings) == 1

    def test_a_weighing_taken_back_may_come_in_again(self) -> None:
        wrong = taken(sheet(PISTON)).weighings[0]
        correct_weighing(by="P-01", build=BUILD, weighing=wrong.pk, reason="another piston")
        right = sheet(PISTON.replace("445.9", "446.2"))
        taken(right, **NO_LENGTHS)
        assert Weighing.objects.filter(part="PA01").count() == 2

    def test_the_same_sheet_twice_is_refused(self) -> None:
        taken()
        with Untouched(), pytest.raises(Conflict, match="42 of 42") as refusal:
            taken(**NO_LENGTHS)
        assert refusal.value.code == "already_there"

    def test_one_row_that_is_on_record_is_refused_with_the_rest(self) -> None:
        taken(sheet(PISTON))
        with Untouched(), pytest.raises(Conflict, match="1 of 3"):
            taken(sheet(*ROWS), open_layout=None)

    def test_opening_a_build_that_is_there_is_refused(self) -> None:
        factory.a_build(BUILD)
        with Untouched(), pytest.raises(Conflict):
            taken()

    def test_a_build_nobody_opened_is_refused(self) -> None:
        with Untouched(), pytest.raises(BadValue, match="no build is known"):
            taken(**NO_LENGTHS)


class TestWhatDoesNotCount:
    def test_a_scale_without_calibration_comes_in_and_is_said(self) -> None:
        factory.a_scale("S-09", calibrated=False)
        came = taken(sheet(*(row.replace("S-02", "S-09") for row in ROWS)))
        assert len(came.weighings) == 3
        said = [text for text in came.warnings if "expected a calibration" in text]
        assert len(said) == 1, "one sentence for all the rows that it concerns"
        assert said[0].startswith("does not count: scale S-09")
        assert said[0].endswith("(rows 2 to 4: PA01 whole, PA02 whole, RA01 big end)")

    def test_a_day_without_a_check_is_said(self) -> None:
        came = taken(sheet(PISTON.replace("2026-03-02", "2026-03-09")))
        assert any("expected a passed check on 2026-03-09" in text for text in came.warnings)

    def test_a_part_heavier_than_the_check_is_said(self) -> None:
        came = taken(sheet(PISTON.replace("445.9", "1200.5")))
        assert any("S-02: checked up to" in text for text in came.warnings), came.warnings

    def test_ends_without_a_rod_length_are_said_to_have_no_u(self) -> None:
        came = taken(sheet(*ROWS), rod_length_mm=None)
        assert any("rod length" in text for text in came.warnings)
        assert Part.objects.get(number="RA01").spec.number == "default-rod"


class TestADryRun:
    def test_it_tells_all_and_writes_nothing(self) -> None:
        with Untouched():
            came = taken(dry_run=True)
        assert (len(came.parts), len(came.weighings), came.readings) == (34, 42, 84)
        assert len(taken().parts) == 34, "and the sheet can still come in"

    def test_it_finds_the_same_errors(self) -> None:
        with Untouched(), pytest.raises(ManyErrors):
            taken(sheet(PISTON.replace("S-02", "S-77")), dry_run=True)


class TestWhoTakesItIn:
    def test_the_one_operator_of_the_sheet_unless_another_is_named(self) -> None:
        assert who_takes_in(sheet_bytes=V8) == "P-01"
        assert who_takes_in(sheet_bytes=V8, name="P-04") == "P-04"
        assert who_takes_in(sheet_bytes=V8, name="Ines") == "P-01"

    def test_a_sheet_of_two_operators_asks_for_a_name(self) -> None:
        two = sheet(PISTON, ROWS[1].replace("ines", "P-02"))
        with pytest.raises(BadValue, match="say by account name"):
            who_takes_in(sheet_bytes=two)

    def test_a_name_that_nobody_has_is_refused(self) -> None:
        with pytest.raises(BadValue):
            who_takes_in(sheet_bytes=V8, name="nils")

    def test_a_manager_may_take_in_what_ines_weighed(self) -> None:
        taken(sheet(PISTON), by="P-04")
        weighing = Weighing.objects.get(part="PA01")
        assert (weighing.operator_id, weighing.recorded_by_id) == ("P-01", "P-04")

    def test_who_has_left_may_have_weighed_but_takes_nothing_in(self) -> None:
        gone = PersonEnd(person_id="P-01", reason="left", **factory.stamp())
        factory.entered(gone, stream=ledger.person_stream("P-01"))
        with Untouched(), pytest.raises(NotAllowed):
            taken(sheet(PISTON))
        assert len(taken(sheet(PISTON), by="P-04").weighings) == 1
