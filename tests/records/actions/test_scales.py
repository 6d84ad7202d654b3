"""Scales, their certificates and check weights, as a manager books them."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from records.actions.scales import (
    PointGiven,
    Repeatability,
    Step,
    book_check_weight,
    book_scale,
    record_calibration,
)
from records.domain.errors import BadValue, Code, Conflict
from records.models import Calibration, Scale, ScaleStep
from records.queries.scale_facts import scale_facts
from tests.records.actions.bench import MARTA, SCALE, Shop, calibrate, last_entry, tables
from tests.records.actions.refusal import refused

GRAM_STEP = Step("g", Decimal("0.1"))


def _book(shop: Shop, **more: Any) -> Scale:
    told: dict[str, Any] = {
        "number": "S-09",
        "capacity_g": Decimal(3000),
        "steps": [GRAM_STEP, Step("oz", Decimal("0.0001"))],
    }
    return book_scale(by=MARTA, clock=shop.clock, **(told | more))


def _points(*loads: str, **changed: str) -> list[PointGiven]:
    told = {"error_g": "0", "U_g": "0.05", "k": "2"} | changed
    exact = {name: Decimal(value) for name, value in told.items()}
    return [PointGiven(load_g=Decimal(load), **exact) for load in loads]


class TestAScale:
    def test_it_keeps_a_step_for_each_unit_with_its_exact_grams(self, people: Shop) -> None:
        _book(people)
        # 0.0001 oz × 28.349523125 g: thirteen places
        assert ScaleStep.objects.get(unit="oz").step_g == Decimal("0.0028349523125")
        assert tables(last_entry("scale/S-09")) == ["scale", "scalestep", "scalestep"]

    @pytest.mark.parametrize(
        ("changed", "code", "field"),
        [
            ({"number": "S/9"}, Code.BAD_VALUE, "number"),
            ({"number": "x" * 21}, Code.BAD_VALUE, "number"),
            ({"capacity_g": Decimal("NaN")}, Code.OUT_OF_RANGE, "capacity_g"),
            ({"capacity_g": Decimal(0)}, Code.OUT_OF_RANGE, "capacity_g"),
            ({"steps": []}, Code.MISSING, "steps"),
            ({"steps": [Step("oz", Decimal(1))]}, Code.MISSING, "steps"),
            ({"steps": [Step("g", Decimal("-0.1"))]}, Code.OUT_OF_RANGE, "steps/0/step"),
            ({"steps": [GRAM_STEP, Step("stone", Decimal(1))]}, Code.UNKNOWN_UNIT, "steps/1/unit"),
            ({"steps": [GRAM_STEP, GRAM_STEP]}, Code.BAD_VALUE, "steps/1"),
            ({"steps": [Step("g", Decimal(9999))]}, Code.OUT_OF_RANGE, "steps/0/step"),
            (
                {"steps": [Step("oz", Decimal("0.00001")), GRAM_STEP]},
                Code.OUT_OF_RANGE,
                "steps/0/step",
            ),
            ({"note": "x" * 401}, Code.BAD_VALUE, "note"),
        ],
    )
    def test_what_does_not_fit_is_refused(
        self, changed: dict[str, Any], code: Code, field: str, people: Shop
    ) -> None:
        with refused(BadValue, code, field):
            _book(people, **changed)

    def test_a_number_on_record_is_refused(self, people: Shop) -> None:
        _book(people)
        with refused(Conflict, Code.ALREADY_THERE, "number"):
            _book(people)


class TestACalibration:
    def test_it_is_entered_with_its_points_in_the_scales_stream(self, equipped: Shop) -> None:
        calibrate(equipped.clock, SCALE, "CAL-2")
        entry = last_entry(f"scale/{SCALE}")
        assert entry.envelope.kind == "calibration recorded"
        named = tables(entry)
        assert named.count("calibrationpoint") == 8
        assert named.count("calibrationrepeatability") == 1

    def test_of_a_scale_not_adjusted_as_left_speaks_for_both(self, equipped: Shop) -> None:
        (only,) = scale_facts()[SCALE].calibrations
        assert only.as_found == only.as_left

    def test_of_an_adjusted_scale_nothing_is_invented_as_found(self, equipped: Shop) -> None:
        calibrate(equipped.clock, SCALE, "CAL-2", adjusted=True)
        row = Calibration.objects.get(certificate_number="CAL-2")
        assert set(row.points.values_list("state", flat=True)) == {"as left"}

    @pytest.mark.parametrize(
        ("changed", "code", "field"),
        [
            ({"calibrated_on": date(2026, 3, 3)}, Code.IN_THE_FUTURE, "calibrated_on"),
            ({"due_on": date(2026, 1, 15)}, Code.BAD_VALUE, "due_on"),
            ({"as_left": []}, Code.MISSING, "as_left"),
            ({"as_left": _points("2000.1")}, Code.OUT_OF_RANGE, "as_left/0/load_g"),
            ({"as_left": _points("0", U_g="0")}, Code.OUT_OF_RANGE, "as_left/0/U_g"),
            ({"as_left": _points("0", k="0")}, Code.OUT_OF_RANGE, "as_left/0/k"),
            ({"as_left": _points("0", error_g="NaN")}, Code.OUT_OF_RANGE, "as_left/0/error_g"),
            ({"as_left": _points("500", "500")}, Code.OUT_OF_RANGE, "as_left/1/load_g"),
            ({"as_found": _points("-1")}, Code.OUT_OF_RANGE, "as_found/0/load_g"),
            ({"repeatability": []}, Code.MISSING, "repeatability"),
            (
                {"repeatability": [Repeatability(Decimal(1), Decimal(-1))]},
                Code.OUT_OF_RANGE,
                "repeatability/0/s_g",
            ),
            (
                {"repeatability": [Repeatability(Decimal(1), Decimal(1))] * 2},
                Code.BAD_VALUE,
                "repeatability",
            ),
            ({"repeatability_nu": 0}, Code.OUT_OF_RANGE, "repeatability_nu"),
            ({"eccentricity": (Decimal(0), Decimal(0))}, Code.OUT_OF_RANGE, "eccentricity/load_g"),
            ({"laboratory": "x" * 201}, Code.BAD_VALUE, "laboratory"),
        ],
    )
    def test_what_does_not_fit_is_refused(
        self, changed: dict[str, Any], code: Code, field: str, equipped: Shop
    ) -> None:
        with refused(BadValue, code, field):
            calibrate(equipped.clock, SCALE, "CAL-2", **changed)

    def test_a_certificate_on_record_is_refused(self, equipped: Shop) -> None:
        with refused(Conflict, Code.ALREADY_THERE, "certificate_number"):
            calibrate(equipped.clock, SCALE, f"CAL-{SCALE}")

    def test_an_unknown_scale_is_refused(self, equipped: Shop) -> None:
        with refused(BadValue, Code.UNKNOWN_NUMBER, "scale"):
            record_calibration(
                by=MARTA,
                scale="S-99",
                certificate_number="CAL-9",
                calibrated_on=date(2026, 1, 15),
                due_on=date(2027, 1, 15),
                as_left=_points("0"),
                repeatability=[],
                clock=equipped.clock,
            )


class TestACheckWeight:
    def _book(self, shop: Shop, nominal: str, accuracy_class: str, number: str = "W-9") -> None:
        book_check_weight(
            by=MARTA,
            number=number,
            nominal_g=Decimal(nominal),
            accuracy_class=accuracy_class,
            clock=shop.clock,
        )

    def test_it_is_entered_in_the_shops_stream(self, people: Shop) -> None:
        self._book(people, "500", "M1")
        assert tables(last_entry("shop")) == ["checkweight"]

    @pytest.mark.parametrize(
        ("nominal", "accuracy_class", "code"),
        [
            ("501", "M1", Code.BAD_VALUE),
            ("500", "M9", Code.BAD_VALUE),
            ("NaN", "M1", Code.OUT_OF_RANGE),
            ("-500", "M1", Code.OUT_OF_RANGE),
        ],
    )
    def test_what_the_table_does_not_hold_is_refused(
        self, nominal: str, accuracy_class: str, code: Code, people: Shop
    ) -> None:
        with refused(BadValue, code):
            self._book(people, nominal, accuracy_class)

    def test_a_number_on_record_is_refused(self, equipped: Shop) -> None:
        with refused(Conflict, Code.ALREADY_THERE, "number"):
            self._book(equipped, "500", "M1", "W-500")
