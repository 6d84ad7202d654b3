"""Weighings: kept as the scale gave them, or refused with nothing written."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from records.actions.parts import fit_part, take_out_part
from records.actions.reading import ReadingGiven
from records.actions.weighings import WeighingGiven, record_weighing
from records.domain.errors import BadValue, Code, Conflict
from records.models import Reading, SetMember, Weighing
from records.queries.receipts import receipt_of
from tests.records.actions.bench import (
    BUILD,
    INES,
    OTHER_SCALE,
    RUTH,
    SCALE,
    STREAM,
    TOMAS,
    Shop,
    calibrate,
    last_entry,
    tables,
)
from tests.records.actions.refusal import refused


class TestAWeighing:
    def test_it_keeps_text_unit_and_exact_grams(self, shop: Shop) -> None:
        # 15.873 oz × 28.349523125 g (units of 1959) = 449.991980563125 g
        row = shop.weigh("K1", "15.873", "15.874", unit="oz")
        one, two = Reading.objects.filter(weighing=row).order_by("order")
        assert (one.text, one.unit, one.grams) == ("15.873", "oz", Decimal("449.991980563125"))
        assert row.mean_g == (one.grams + two.grams) / 2
        assert row.operator_id == INES
        assert not row.late

    def test_its_entry_names_it_and_its_readings_under_who_weighed(self, shop: Shop) -> None:
        row = shop.weigh("K1", "450.0", "450.1")
        entry = last_entry(STREAM)
        assert tables(entry) == ["weighing", "reading", "reading"]
        assert (entry.envelope.kind, entry.envelope.actor) == ("weighing recorded", INES)
        assert receipt_of(row) == entry.receipt

    def test_it_keeps_a_devices_raw_line_as_it_came(self, shop: Shop) -> None:
        line = "ST,GS,+   450.0  g\r\n"
        reading = ReadingGiven("450.0", text=line)
        given = WeighingGiven(what="whole", part="K1", scale=SCALE, readings=[reading])
        row = record_weighing(by=INES, build=BUILD, given=given, clock=shop.clock)
        assert row.readings.get().text == line

    def test_it_names_the_calibration_and_the_check_that_stood_then(self, shop: Shop) -> None:
        before = shop.check()
        row = shop.weigh("K1", "450.0")
        assert row.check_before == before
        assert row.calibration is not None
        assert row.calibration.certificate_number == f"CAL-{SCALE}"

    def test_the_calibration_is_that_of_the_shops_day_not_of_the_utc_day(self, shop: Shop) -> None:
        # 23:30 UTC on 9 April is the 10th in London, where summer time holds
        shop.clock.at = shop.clock.at.replace(month=4, day=10, hour=12)
        calibrate(shop.clock, SCALE, "CAL-NEW", calibrated_on=date(2026, 4, 10))
        late = shop.clock.at.replace(day=9, hour=23, minute=30)
        row = shop.weigh("K1", "450.0", measured_at=late)
        assert row.calibration is not None
        assert row.calibration.certificate_number == "CAL-NEW"

    def test_a_hung_end_has_its_hangings_and_its_fixture(self, shop: Shop) -> None:
        row = shop.weigh("R1", "440.0", "440.1", what="big end")
        assert [reading.hanging for reading in row.readings.order_by("order")] == [1, 2]
        assert row.fixture is not None
        assert row.how == "hung"

    def test_one_on_a_scale_without_a_check_is_kept_and_does_not_count(self, shop: Shop) -> None:
        row = shop.weigh("K1", "450.0", "450.0")
        assert Weighing.objects.filter(pk=row.pk, check_before=None).exists()

    def test_a_declared_mass_needs_no_scale(self, shop: Shop) -> None:
        row = shop.weigh("K1", "450.0", source="declared", scale=None)
        assert row.scale is None
        assert row.calibration is None

    def test_a_reviewer_may_verify_without_working(self, shop: Shop) -> None:
        row = shop.weigh("K1", "450.0", by=RUTH, purpose="verification")
        assert row.purpose == "verification"

    def test_one_entered_after_the_fact_is_marked_late(self, shop: Shop) -> None:
        row = shop.weigh("K1", "450.0", measured_at=shop.clock.now() - timedelta(hours=3))
        assert row.late

    def test_a_sheet_names_who_weighed(self, shop: Shop) -> None:
        row = shop.weigh("K1", "450.0", by=INES, source="sheet", operator=TOMAS)
        assert (row.operator_id, row.recorded_by_id) == (TOMAS, INES)


class TestASetWeighedTogether:
    def test_it_names_the_parts_that_lay_on_the_pan(self, shop: Shop) -> None:
        row = shop.weigh(None, "610.0", what="set", place=1)
        members = SetMember.objects.filter(weighing=row).values_list("part_id", flat=True)
        assert sorted(members) == ["G1", "K1", "N1"]

    def test_one_entered_late_names_the_parts_that_stood_there_then(self, shop: Shop) -> None:
        then = shop.clock.forward(minutes=10)
        shop.clock.forward(hours=1)
        told: dict[str, Any] = {"by": INES, "build": BUILD, "clock": shop.clock}
        for part in ("N1", "N2"):
            take_out_part(part=part, reason="swapped", **told)
        for part, place in (("N1", 2), ("N2", 1)):
            fit_part(part=part, place=place, **told)
        shop.clock.forward(hours=1)
        row = shop.weigh(None, "610.0", what="set", place=1, measured_at=then)
        members = SetMember.objects.filter(weighing=row).values_list("part_id", flat=True)
        assert sorted(members) == ["G1", "K1", "N1"]

    @pytest.mark.parametrize("place", [3, 99, 0])
    def test_a_place_that_the_engine_has_not_is_refused(self, place: int, shop: Shop) -> None:
        with refused(BadValue, Code.OUT_OF_RANGE, "place"):
            shop.weigh(None, "610.0", what="set", place=place)


class TestWhatIsRefused:
    @pytest.mark.parametrize(
        "value",
        [
            "NaN",
            "nan",
            "Infinity",
            "-Infinity",
            "",
            "heavy",
            "4,5",
            "1e3",
            "1_000",
            "٤٥٠",
            "4" * 99,
        ],
    )
    def test_what_is_no_figure(self, value: str, shop: Shop) -> None:
        with refused(BadValue, Code.BAD_VALUE, "readings/0/value"):
            shop.weigh("K1", value)

    @pytest.mark.parametrize("value", ["0", "-450.0", "500000.1", "9" * 30])
    def test_a_mass_of_nothing_less_or_absurdly_much(self, value: str, shop: Shop) -> None:
        with refused(BadValue, Code.BAD_VALUE, "readings/0/value"):
            shop.weigh("K1", value)

    def test_more_places_than_a_row_keeps(self, shop: Shop) -> None:
        with refused(BadValue, Code.BAD_VALUE, "readings/1/value"):
            shop.weigh("K1", "450.0", "450.00000000000001")

    def test_more_than_the_scale_can_carry(self, shop: Shop) -> None:
        with refused(BadValue, Code.OUT_OF_RANGE, "readings/1/value") as caught:
            shop.weigh("K1", "2000.0", "2000.1")
        assert "at most 2000 g, what S-02 can carry, got 2000.1 g" in str(caught.value)

    @pytest.mark.parametrize(
        ("unit", "code"),
        [
            ("grams", Code.UNKNOWN_UNIT),
            ("", Code.UNKNOWN_UNIT),
            ("mm", Code.BAD_VALUE),
            ("g·mm", Code.BAD_VALUE),
        ],
    )
    def test_a_unit_that_is_none_of_mass(self, unit: str, code: Code, shop: Shop) -> None:
        with refused(BadValue, code, "readings/0/unit"):
            shop.weigh("K1", "450.0", unit=unit)

    def test_a_unit_that_the_scale_does_not_show(self, shop: Shop) -> None:
        with refused(BadValue, Code.UNKNOWN_UNIT, "readings/0/unit"):
            shop.weigh("K1", "6944.5", unit="grain")

    @pytest.mark.parametrize(
        ("changed", "code", "field"),
        [
            ({"scale": "S-99"}, Code.UNKNOWN_NUMBER, "scale"),
            ({"scale": None}, Code.MISSING, "scale"),
            ({"source": "declared"}, Code.BAD_VALUE, "scale"),
            ({"what": "middle"}, Code.BAD_VALUE, "what"),
            ({"what": "big end"}, Code.BAD_VALUE, "what"),
            ({"what": "set"}, Code.BAD_VALUE, "place"),
            ({"place": 1}, Code.MISSING, "part"),
            ({"source": "dream"}, Code.BAD_VALUE, "source"),
            ({"purpose": "fun"}, Code.BAD_VALUE, "purpose"),
            ({"how": "by eye"}, Code.BAD_VALUE, "how"),
            ({"operator": TOMAS}, Code.BAD_VALUE, "operator"),
            ({"operator": "P-99", "source": "sheet"}, Code.UNKNOWN_NUMBER, "operator"),
            ({"remark": "x" * 401}, Code.BAD_VALUE, "remark"),
            ({"remark": "nul\0"}, Code.BAD_VALUE, "remark"),
        ],
    )
    def test_what_does_not_fit(
        self, changed: dict[str, Any], code: Code, field: str, shop: Shop
    ) -> None:
        with refused(BadValue, code, field):
            shop.weigh("K1", "450.0", **changed)

    def test_an_unknown_part(self, shop: Shop) -> None:
        with refused(BadValue, Code.UNKNOWN_NUMBER, "part"):
            shop.weigh("K99", "450.0")

    def test_no_reading(self, shop: Shop) -> None:
        with refused(BadValue, Code.MISSING, "readings"):
            shop.weigh("K1")

    def test_too_many_readings(self, shop: Shop) -> None:
        with refused(BadValue, Code.OUT_OF_RANGE, "readings"):
            shop.weigh("K1", *(["450.0"] * 100))

    @pytest.mark.parametrize(
        ("reading", "field"),
        [
            (ReadingGiven("450.0", text="x" * 81), "readings/0/text"),
            (ReadingGiven("450.0", text="\0"), "readings/0/text"),
            (ReadingGiven("450.0", hanging=-1), "readings/0/hanging"),
        ],
    )
    def test_what_stands_beside_a_figure_and_cannot_be_kept(
        self, reading: ReadingGiven, field: str, shop: Shop
    ) -> None:
        given = WeighingGiven(what="whole", part="K1", scale=SCALE, readings=[reading])
        with refused(BadValue, Code.BAD_VALUE, field):
            record_weighing(by=INES, build=BUILD, given=given, clock=shop.clock)

    def test_an_unknown_build(self, shop: Shop) -> None:
        given = WeighingGiven(
            what="whole", part="K1", scale=SCALE, readings=[ReadingGiven("450.0")]
        )
        with refused(BadValue, Code.UNKNOWN_NUMBER, "build"):
            record_weighing(by=INES, build="26-999", given=given, clock=shop.clock)

    def test_a_part_on_two_scales_at_the_same_moment(self, shop: Shop) -> None:
        row = shop.weigh("K1", "450.0")
        with refused(Conflict, Code.CONFLICT, "measured_at"):
            shop.weigh("K1", "450.0", scale=OTHER_SCALE, measured_at=row.measured_at)
