from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from records.domain.errors import BadValue
from records.domain.measure.rounding import round_expanded, shown


@pytest.mark.parametrize(
    ("U", "rounded"),
    [
        # GUM 7.2.6 and EA-4/02, clause 6 (from memory): two digits, cut by less than 5 %
        (0.02449, "0.024"),
        (0.01449, "0.014"),
        (0.0996, "0.10"),
        (0.0994, "0.099"),
        (0.1826, "0.18"),
        (1.0, "1.0"),
        (9.96, "10"),
        (99.7, "100"),
        (123.4, "120"),
        (Decimal("0.145"), "0.15"),
    ],
)
def test_an_expanded_uncertainty_keeps_two_digits(U: float | Decimal, rounded: str) -> None:
    assert format(round_expanded(U), "f") == rounded


@pytest.mark.parametrize(
    ("mass", "U", "as_shown"),
    [
        (512.34, 0.02449, ("512.340", "0.024")),
        (500.0104, 0.1826, ("500.01", "0.18")),
        (Decimal("0.0834"), 0.0996, ("0.08", "0.10")),
        (1234.5, 123.4, ("1230", "120")),
        (-0.004, 0.18, ("0.00", "0.18")),
        (-1.236, 0.18, ("-1.24", "0.18")),
        (0.125, 0.18, ("0.12", "0.18")),
    ],
)
def test_the_mass_is_shown_to_the_same_place(
    mass: float | Decimal, U: float, as_shown: tuple[str, str]
) -> None:
    assert shown(mass, U) == as_shown


@pytest.mark.parametrize("U", [0.0, -0.1, float("nan"), float("inf")])
def test_it_refuses_an_uncertainty_that_cant_be(U: float) -> None:
    with pytest.raises(BadValue) as refused:
        shown(500.0, U)
    assert refused.value.field == "U_g"


@given(st.floats(1e-9, 1e6), st.floats(-1e6, 1e6))
def test_rounding_down_never_hides_five_per_cent(U: float, mass: float) -> None:
    rounded = round_expanded(U)
    assert float(rounded) > 0.95 * U
    assert len(rounded.as_tuple().digits) == 2
    shown_mass, shown_U = shown(mass, U)
    assert Decimal(shown_U) == rounded
    assert abs(Decimal(shown_mass) - Decimal(repr(mass))) <= Decimal(1).scaleb(
        rounded.adjusted() - 1
    )
