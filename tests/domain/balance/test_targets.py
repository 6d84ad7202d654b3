"""Whom the lightest costs metal: the issue's own case, from the bench sheet of the checks."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from records.domain.balance.targets import target_of
from records.domain.errors import BadValue
from tests import outside

D = Decimal


def first_big_ends() -> dict[str, Decimal]:
    """Return the means of the first weighings of all big ends of the sheet."""
    readings: dict[str, list[Decimal]] = {}
    for row in outside.data("sheet_v8.csv"):
        if row["what"] == "big end":
            readings.setdefault(row["serial"], []).append(D(row["reading"]))
    return {serial: sum(of_rod, D(0)) / len(of_rod) for serial, of_rod in readings.items()}


def test_rod_ra06_is_the_light_one_of_the_sheet() -> None:
    # issue 2, Real input: another rod at 430.95 g or more would save 20.6 of 29.3 g
    big_ends = first_big_ends()
    assert len(big_ends) == 8
    target = target_of(big_ends)
    assert (target.part, target.mass_g, target.next_g) == ("RA06", D(428), D("430.95"))
    assert target.cost_g == D("29.3")
    assert target.saved_g == D("20.65")  # seven others, 2.95 g each
    assert target.costs_all_others
    assert target.note == (
        "RA06 at 428.0 g is the light one that costs all others metal: "
        "another at 430.95 g or more would save 20.6 of 29.3 g"
    )


def test_the_tolerance_is_not_taken_off() -> None:
    target = target_of({"A": D(10), "B": D(12), "C": D(13)}, tolerance_g=D(1))
    assert (target.cost_g, target.saved_g) == (D(3), D(3))  # 1 + 2; none once 12 is the lightest


def test_an_even_set_has_no_culprit() -> None:
    target = target_of({"A": D(10), "B": D(10), "C": D(13)})
    assert (target.part, target.cost_g, target.saved_g) == ("A", D(3), D(0))
    assert not target.costs_all_others
    assert target.note == ""


@given(st.lists(st.integers(400, 450).map(Decimal), min_size=2, max_size=10), st.integers(0, 5))
def test_saving_is_what_a_part_like_the_next_would_change(masses: list[Decimal], tol: int) -> None:
    named = {f"R{i}": mass for i, mass in enumerate(masses)}
    target = target_of(named, tolerance_g=D(tol))
    replaced = {**named, target.part: target.next_g}
    assert target.cost_g - target_of(replaced, tolerance_g=D(tol)).cost_g == target.saved_g


@pytest.mark.parametrize(
    "masses", [{}, {"A": D(1)}, {"A": D(1), "B": D(-1)}, {"A": D(1), "B": D("NaN")}]
)
def test_it_refuses_what_is_no_set(masses: dict[str, Decimal]) -> None:
    with pytest.raises(BadValue):
        target_of(masses)
