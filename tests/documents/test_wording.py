"""Numbers and days as they are written on paper."""

from __future__ import annotations

import pytest

from records.documents import wording
from records.domain.errors import BadValue


@pytest.mark.parametrize(
    ("value", "U", "as_written", "U_written"),
    [
        # JCGM 100:2008, 7.2.2: m_S = 100.021 47 g with u_c 0.35 mg; there with two digits
        ("100.02147", "0.00035", "100.02147", "0.00035"),
        # JCGM 100:2008, 7.2.4: m_S = (100.021 47 ± 0.000 79) g
        ("100.021468", "0.00079", "100.02147", "0.00079"),
        # JCGM 100:2008, 7.2.6: y = 10.057 62 Ω with u_c 27 mΩ becomes 10.058 Ω
        ("10.05762", "0.027", "10.058", "0.027"),
        ("446.8", "0.0996", "446.80", "0.10"),
        ("1728.134", "12.6", "1728", "13"),
        ("446.85", "0.95", "446.85", "0.95"),
        ("446.845", "0.18", "446.84", "0.18"),  # half to even
    ],
)
def test_a_mass_goes_to_the_place_of_its_two_digit_uncertainty(
    value: str, U: str, as_written: str, U_written: str
) -> None:
    assert wording.mass(value, U) == as_written
    assert wording.uncertainty(U) == U_written


@pytest.mark.parametrize(
    ("value", "written"), [("0.3141", "+0.31"), ("-0.3141", "−0.31"), ("0.001", "+0.00")]
)
def test_a_difference_shows_its_sign(value: str, written: str) -> None:
    assert wording.difference(value, "0.18") == written


def test_the_reference_itself_is_a_plain_nought() -> None:
    assert wording.difference("0.0000", None, reference=True) == "0"


@pytest.mark.parametrize(
    ("probability", "written"),
    [("0.83254", "83.3"), ("0.99999", ">99.9"), ("1", ">99.9"), ("0.0000014", "<0.1")],
)
def test_a_probability_is_never_rounded_to_certainty(probability: str, written: str) -> None:
    assert wording.chance(probability) == written


@pytest.mark.parametrize("text", ["NaN", "Infinity", "0,5", "half", ""])
def test_it_refuses_what_is_no_number(text: str) -> None:
    with pytest.raises(BadValue):
        wording.number(text)


def test_a_moment_is_written_as_the_shops_clock_showed_it() -> None:
    # Irish summer time, UTC+1, began on 29 March 2026 (EU rule: last Sunday of March; from memory)
    summer, winter = "2026-07-01T23:30:00Z", "2026-03-06T14:32:10Z"
    assert wording.in_shop_time(summer, "Europe/Dublin") == "2 July 2026, 00:30 (Europe/Dublin)"
    assert wording.in_shop_time(winter, "Europe/Dublin") == "6 March 2026, 14:32 (Europe/Dublin)"


def test_it_refuses_a_moment_without_a_zone() -> None:
    with pytest.raises(BadValue):
        wording.moment("2026-03-06T14:32:10")
