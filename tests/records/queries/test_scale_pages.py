"""What a scale's page and the due list tell beyond rows: advice, charts, days left."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest

from records.domain.errors import NotFound
from records.models import CheckWeightCertificate
from records.queries.due_list import due_list
from records.queries.scale_history import calibration_file
from records.queries.scales import scale_page
from tests.records import factory
from tests.records.factory import START

pytestmark = pytest.mark.django_db
NOON = START + timedelta(hours=3)


@pytest.fixture(autouse=True)
def _shop() -> None:
    factory.a_shop()


def test_the_first_due_comes_first_and_who_was_never_calibrated_before_all() -> None:
    today = NOON.date()
    factory.a_scale("S-01", due_on=today + timedelta(days=31))
    factory.a_scale("S-02", due_on=today + timedelta(days=30))
    factory.a_scale("S-03", due_on=today)
    factory.a_scale("S-04", due_on=today - timedelta(days=1))
    factory.a_scale("S-05", calibrated=False)
    assert [(row.number, row.word, row.days_left) for row in due_list(NOON)] == [
        ("S-05", "never calibrated", None),
        ("S-04", "overdue", -1),
        ("S-03", "due soon", 0),
        ("S-02", "due soon", 30),
        ("S-01", "in date", 31),
    ]


def test_of_a_check_weight_the_newest_certificate_counts() -> None:
    weight = factory.a_check_weight("W-500", "500")
    for number, year in (("CW-2", 2026), ("CW-1", 2024)):
        row = CheckWeightCertificate(
            weight=weight,
            certificate_number=number,
            calibrated_on=date(year, 1, 1),
            due_on=date(year + 2, 1, 1),
            mass_g=Decimal("500.002"),
            U_g=Decimal("0.008"),
            k=Decimal(2),
            **factory.stamp(),
        )
        factory.entered(row)
    assert [(row.number, row.certificate_number) for row in due_list(NOON)] == [("W-500", "CW-2")]


def test_a_check_is_advised_for_what_was_weighed_here_lately_else_anywhere() -> None:
    here, there = factory.a_scale("S-01"), factory.a_scale("S-02")
    for number, nominal in (("W-200", "200"), ("W-1000", "1000")):
        factory.a_check_weight(number, nominal)
    factory.weighed(factory.a_part("P-1"), "149.2", scale=here, at=START)
    factory.weighed(factory.a_part("P-2"), "990", scale=there, at=START - timedelta(days=40))
    for number in ("S-01", "S-02"):
        advice = scale_page(number, NOON).advice
        assert advice is not None
        assert [load.weights for load in advice.loads] == [("W-200",)]
        assert advice.loads[0].why == "near 150 g: within half to twice"


def test_what_was_weighed_today_far_from_todays_check_is_said_as_advice() -> None:
    scale = factory.a_scale("S-01")
    factory.checked(scale, at=START)
    factory.weighed(factory.a_part("P-1"), "120", scale=scale, at=START)
    factory.weighed(factory.a_part("P-2"), "600", scale=scale, at=START)
    page = scale_page("S-01", NOON)
    assert page.scale.word == "fit"
    (told,) = page.advice_of_today
    assert "at 1000 g, none of it near 120 g, which was weighed that day; it counts" in told


def test_a_scale_never_calibrated_has_no_advice_but_a_page() -> None:
    factory.a_scale("S-01", calibrated=False)
    page = scale_page("S-01", NOON)
    assert (page.advice, page.histories, page.interval, page.smallest_cut_g) == (
        None,
        (),
        None,
        None,
    )


def test_below_the_smallest_cut_two_readings_tell_too_little() -> None:
    factory.a_scale("S-01")
    # USP <41>: 2·max(s, 0.41 d)/share with s 0.04, d 0.1, share a tenth
    assert scale_page("S-01", NOON).smallest_cut_g == pytest.approx(2 * 0.041 / 0.1)


def test_a_failed_check_is_unanswered_until_its_cause_is_told() -> None:
    scale = factory.a_scale("S-01")
    failed = factory.checked(scale, at=START, passed=False)
    factory.checked(scale, at=START + timedelta(minutes=5))
    assert scale_page("S-01", NOON).unanswered == failed.pk


def test_no_file_is_handed_out_that_is_not_there() -> None:
    factory.a_scale("S-01")
    with pytest.raises(NotFound):
        calibration_file("S-01", 1)
