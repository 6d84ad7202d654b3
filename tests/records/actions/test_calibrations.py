"""Certificates on record: what can't be on one is said at its field, and nothing is written."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from records.actions.check_weights import record_weight_certificate
from records.actions.reading import ReadingGiven
from records.actions.scale_checks import Load, record_scale_check
from records.actions.scales import PointGiven, Repeatability, Step, book_check_weight, book_scale
from records.domain.errors import BadValue, Code, Conflict
from records.models import CheckWeightCertificate, Scale, ScaleCheckLoad
from records.rows import row_fields
from tests.records.actions.bench import INES, MARTA, SCALE, Shop, calibrate
from tests.records.actions.refusal import refused


def points(*rows: tuple[str, str, str, str]) -> list[PointGiven]:
    return [PointGiven(*(Decimal(figure) for figure in row)) for row in rows]


def scatter(load: str, s: str) -> Repeatability:
    return Repeatability(Decimal(load), Decimal(s))


@pytest.mark.parametrize("name", ["as_left", "as_found"])
@pytest.mark.parametrize(
    ("rows", "place"),
    [
        ([("500", "0", "0.05", "2"), ("2000", "0", "0.05", "2")], "0/load_g"),
        ([("0", "0", "0.05", "2"), ("0", "0", "0.05", "2")], "1/load_g"),
        ([("0", "0", "0.05", "2"), ("2000", "0", "0", "2")], "1/U_g"),
        ([("0", "0", "0.05", "0"), ("2000", "0", "0.05", "2")], "0/k"),
        ([("0", "0", "0.05", "2"), ("2001", "0", "0.05", "2")], "1/load_g"),
        ([("0", "0", "NaN", "2"), ("2000", "0", "0.05", "2")], "0/U_g"),
    ],
)
def test_a_point_is_refused_at_its_field(
    equipped: Shop, name: str, rows: list[tuple[str, str, str, str]], place: str
) -> None:
    with refused(BadValue, Code.OUT_OF_RANGE, f"{name}/{place}"):
        calibrate(equipped.clock, SCALE, "CAL-9", **{name: points(*rows)})


@pytest.mark.parametrize(
    ("given", "field"),
    [
        (
            {"repeatability": [Repeatability(Decimal(2001), Decimal("0.03"))]},
            "repeatability/0/load_g",
        ),
        ({"repeatability": [Repeatability(Decimal(1000), Decimal(30))]}, "repeatability/0/s_g"),
        ({"eccentricity": (Decimal(3000), Decimal("0.1"))}, "eccentricity/load_g"),
    ],
)
def test_scatter_that_no_such_scale_has_is_refused(
    equipped: Shop, given: dict[str, Any], field: str
) -> None:
    with refused(BadValue, Code.OUT_OF_RANGE, field):
        calibrate(equipped.clock, SCALE, "CAL-9", **given)


class TestWhenItWasMade:
    def book(self, shop: Shop, made_on: date | None) -> Scale:
        return book_scale(
            by=MARTA,
            number="S-09",
            capacity_g=Decimal(2000),
            steps=[Step("g", Decimal("0.1"))],
            made_on=made_on,
            clock=shop.clock,
        )

    def test_a_calibration_before_the_scale_was_made_is_refused(self, equipped: Shop) -> None:
        self.book(equipped, date(2026, 2, 1))
        with refused(BadValue, Code.OUT_OF_RANGE, "calibrated_on") as caught:
            calibrate(equipped.clock, "S-09", "CAL-9")
        assert "was made on 2026-02-01; is it another scale's certificate?" in str(caught.value)

    def test_on_the_day_it_was_made_it_may_be_calibrated(self, equipped: Shop) -> None:
        self.book(equipped, date(2026, 1, 15))
        calibrate(equipped.clock, "S-09", "CAL-9")

    def test_a_scale_is_not_made_tomorrow(self, equipped: Shop) -> None:
        with refused(BadValue, Code.IN_THE_FUTURE, "made_on"):
            self.book(equipped, date(2026, 3, 3))

    def test_a_scale_booked_before_the_day_was_asked_keeps_its_entry(self, equipped: Shop) -> None:
        scale = Scale.objects.get(pk=SCALE)
        assert "made_on" not in row_fields(scale, 1)
        assert row_fields(scale, 2)["made_on"] is None


class TestCheckWeights:
    def certify(self, shop: Shop, **changed: Any) -> CheckWeightCertificate:
        given: dict[str, Any] = {
            "weight": "W-2000",
            "certificate_number": "CW-1",
            "calibrated_on": date(2026, 2, 1),
            "due_on": date(2028, 2, 1),
            "mass_g": Decimal("1999.9"),
            "U_g": Decimal("0.02"),
        }
        return record_weight_certificate(by=MARTA, clock=shop.clock, **(given | changed))

    def test_a_check_reckons_with_the_certified_mass(self, equipped: Shop) -> None:
        self.certify(equipped)
        check = equipped.check("500.0", "999.9", "1999.8")
        load = ScaleCheckLoad.objects.get(scale_check=check, load_g__gt=1500)
        # read 1999.8, the scale's error there is -0.1, so 1999.9: what the certificate says
        assert (load.load_g, load.error_g) == (Decimal("1999.9"), 0)

    def test_before_its_day_the_class_speaks(self, equipped: Shop) -> None:
        self.certify(equipped, calibrated_on=date(2026, 3, 2))
        early = record_scale_check(
            by=INES,
            scale=SCALE,
            loads=[Load(["W-2000"], ReadingGiven("1999.9"))],
            measured_at=equipped.clock.now().replace(month=2, day=2),
            clock=equipped.clock,
        )
        assert early.loads.get().load_g == 2000

    @pytest.mark.parametrize(
        ("changed", "field"),
        [
            ({"mass_g": Decimal("1.9999")}, "mass_g"),
            ({"U_g": Decimal(0)}, "U_g"),
            ({"U_g": Decimal(20)}, "U_g"),
            ({"k": Decimal(0)}, "k"),
        ],
    )
    def test_what_no_weight_has_is_refused(
        self, equipped: Shop, changed: dict[str, Any], field: str
    ) -> None:
        with refused(BadValue, Code.OUT_OF_RANGE, field):
            self.certify(equipped, **changed)

    def test_a_certificate_twice_is_refused(self, equipped: Shop) -> None:
        self.certify(equipped)
        with refused(Conflict, Code.ALREADY_THERE, "certificate_number"):
            self.certify(equipped)

    def test_a_check_weight_heavier_than_the_scale_is_refused(self, equipped: Shop) -> None:
        book_check_weight(
            by=MARTA,
            number="W-5000",
            nominal_g=Decimal(5000),
            accuracy_class="M1",
            clock=equipped.clock,
        )
        with refused(BadValue, Code.OUT_OF_RANGE, "loads/0/weights") as caught:
            record_scale_check(
                by=INES,
                scale=SCALE,
                loads=[Load(["W-5000"], ReadingGiven("5000.0"))],
                clock=equipped.clock,
            )
        assert "at most 2000 g, what scale S-02 carries" in str(caught.value)
