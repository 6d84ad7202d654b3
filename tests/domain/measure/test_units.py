"""Factors of NIST SP 811, Appendix B (from memory there); all exact by definition."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from records.domain.errors import BadValue, Code
from records.domain.measure.units import GRAMS, convert, to_grams

MASSES = st.decimals(min_value=Decimal("-5000"), max_value=Decimal("5000"), places=4)


@pytest.mark.parametrize(
    ("from_unit", "to_unit", "factor"),
    [
        ("lb", "g", "453.59237"),
        ("oz", "g", "28.349523125"),
        ("oz", "grain", "437.5"),
        ("grain", "g", "0.06479891"),
        ("lb", "grain", "7000"),
        ("lb", "oz", "16"),
        ("kg", "mg", "1000000"),
        ("in", "mm", "25.4"),
        ("oz·in", "g·mm", "720.077887375"),
        ("oz·in", "g·cm", "72.0077887375"),
        ("g·in", "g·mm", "25.4"),
        ("lb·in", "g·mm", "11521.246198"),
        ("kg·m", "g·mm", "1000000"),
    ],
)
def test_factors_are_exact(from_unit: str, to_unit: str, factor: str) -> None:
    converted = convert(Decimal(1), from_unit, to_unit)
    assert converted.exact
    assert str(converted.value) == factor


@pytest.mark.parametrize(
    ("from_unit", "to_unit", "start"),
    [
        ("g", "grain", "15.43235835294143"),
        ("g", "oz", "0.03527396194958041"),
        ("g·mm", "oz·in", "0.001388738659432299"),
    ],
)
def test_a_quotient_without_end_says_that_it_is_rounded(
    from_unit: str, to_unit: str, start: str
) -> None:
    converted = convert(Decimal(1), from_unit, to_unit)
    assert not converted.exact
    assert str(converted.value).startswith(start)


@pytest.mark.parametrize(
    "spelling", ["g·mm", "g*mm", "g mm", "gmm", "g-mm", "g.mm", "g⋅mm", "g×mm"]
)
def test_an_unbalance_is_understood_in_its_spellings(spelling: str) -> None:
    assert convert(Decimal(1), "oz in", spelling).value == Decimal("720.077887375")


def test_a_tenth_of_a_milli_ounce_keeps_its_thirteen_places() -> None:
    assert to_grams(Decimal("0.0001"), "oz") == Decimal("0.0028349523125")
    assert to_grams(Decimal("10"), "gr") == Decimal("0.6479891")


@pytest.mark.parametrize(
    ("from_unit", "to_unit", "words"),
    [("g", "g·mm", ("mass", "unbalance")), ("oz", "in", ("mass", "length"))],
)
def test_it_refuses_mixed_dimensions_and_names_them(
    from_unit: str, to_unit: str, words: tuple[str, str]
) -> None:
    with pytest.raises(BadValue) as refused:
        convert(Decimal(1), from_unit, to_unit)
    assert refused.value.field == "to"
    assert all(word in refused.value.message for word in words)


@pytest.mark.parametrize("unit", ["ozf·in", "stone", "", "gm", "G", "g·s", "in·oz"])
def test_it_refuses_an_unknown_unit(unit: str) -> None:
    with pytest.raises(BadValue) as refused:
        to_grams(Decimal(1), unit)
    assert refused.value.code is Code.UNKNOWN_UNIT


@pytest.mark.parametrize("unit", ["mm", "oz·in"])
def test_grams_come_from_masses_only(unit: str) -> None:
    with pytest.raises(BadValue, match="mass"):
        to_grams(Decimal(1), unit)


@pytest.mark.parametrize("value", ["NaN", "Infinity", "sNaN"])
def test_it_refuses_what_is_no_number(value: str) -> None:
    with pytest.raises(BadValue) as refused:
        to_grams(Decimal(value), "g")
    assert refused.value.code is Code.NOT_A_NUMBER


@given(MASSES, st.sampled_from(sorted(GRAMS)))
def test_grams_are_the_exact_product(value: Decimal, unit: str) -> None:
    grams = to_grams(value, unit)
    assert grams == value * GRAMS[unit]
    assert convert(grams, "g", unit).value == value
