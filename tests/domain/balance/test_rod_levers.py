"""Rod levers against checks/balance.md 3 (calc: statics)."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from records.domain.balance.rod_levers import (
    Removal,
    big_end_share,
    end_changes,
    two_pad_takes,
)
from records.domain.errors import BadValue

L_MM = 152.4


@pytest.mark.parametrize(
    ("x_mm", "big_g", "small_g"),
    [
        (-18, 0.2362, -2.2362),
        (0, 0, -2),
        (76.2, -1, -1),
        (152.4, -2, 0),
        (190.4, -2.4987, 0.4987),  # past the big-end centre the small end gets heavier
    ],
)
def test_two_grams_along_the_rod(x_mm: float, big_g: float, small_g: float) -> None:
    change = end_changes([Removal(x_mm, 2.0)], length_mm=L_MM)
    assert (change.big_g, change.small_g) == pytest.approx((big_g, small_g), abs=5e-5)


def test_removals_add_up() -> None:
    change = end_changes([Removal(0, 1.0), Removal(152.4, 2.0)], length_mm=L_MM)
    assert (change.big_g, change.small_g) == pytest.approx((-2, -1))
    assert big_end_share(76.2, L_MM) == pytest.approx(0.5)


def test_two_pads_give_the_wanted_drops() -> None:
    takes = two_pad_takes(
        length_mm=L_MM, big_pad_x_mm=190.4, small_pad_x_mm=-18, drop_big_g=3, drop_small_g=1
    )
    assert (takes.big_pad_g, takes.small_pad_g) == pytest.approx((2.5393, 1.4607), abs=5e-5)


def test_naive_takes_would_have_missed() -> None:
    # checks/balance.md 3: naive 3 and 1 would give 3.630 and 0.370
    change = end_changes([Removal(190.4, 3.0), Removal(-18, 1.0)], length_mm=L_MM)
    assert (-change.big_g, -change.small_g) == pytest.approx((3.630, 0.370), abs=5e-4)


@given(st.floats(0, 20), st.floats(0, 20), st.floats(-30, 40), st.floats(110, 220))
def test_levers_and_pads_undo_each_other(big: float, small: float, xs: float, xb: float) -> None:
    change = end_changes([Removal(xb, big), Removal(xs, small)], length_mm=L_MM)
    takes = two_pad_takes(
        length_mm=L_MM,
        big_pad_x_mm=xb,
        small_pad_x_mm=xs,
        drop_big_g=-change.big_g,
        drop_small_g=-change.small_g,
    )
    assert (takes.big_pad_g, takes.small_pad_g) == pytest.approx((big, small), abs=1e-9)


@pytest.mark.parametrize(
    ("drop_big_g", "drop_small_g", "field", "pad"),
    [
        (0.0, 3.0, "take_big_pad_g", "big-end pad"),
        (4.0, 0.0, "take_small_pad_g", "small-end pad"),
    ],
)
def test_a_pad_that_would_have_to_gain_is_named(
    drop_big_g: float, drop_small_g: float, field: str, pad: str
) -> None:
    with pytest.raises(BadValue) as refused:
        two_pad_takes(
            length_mm=L_MM,
            big_pad_x_mm=140.0,
            small_pad_x_mm=15.0,
            drop_big_g=drop_big_g,
            drop_small_g=drop_small_g,
        )
    assert refused.value.field == field
    assert pad in refused.value.message


def test_a_drop_that_one_pad_gives_alone_is_no_gain() -> None:
    takes = two_pad_takes(
        length_mm=L_MM, big_pad_x_mm=L_MM, small_pad_x_mm=0.1, drop_big_g=3, drop_small_g=0
    )
    assert (takes.big_pad_g, takes.small_pad_g) == pytest.approx((3, 0))


@pytest.mark.parametrize("length_mm", [0.0, -152.4, math.nan, math.inf])
def test_it_refuses_a_length_that_cannot_be(length_mm: float) -> None:
    with pytest.raises(BadValue) as refused:
        end_changes([Removal(0, 1)], length_mm=length_mm)
    assert refused.value.field == "length_mm"


def test_it_refuses_pads_in_one_place_and_metal_put_on() -> None:
    with pytest.raises(BadValue) as refused:
        two_pad_takes(
            length_mm=L_MM, big_pad_x_mm=10, small_pad_x_mm=10, drop_big_g=1, drop_small_g=1
        )
    assert refused.value.field == "big_pad_x_mm"
    with pytest.raises(BadValue) as refused:
        end_changes([Removal(0, 1), Removal(10, -0.5)], length_mm=L_MM)
    assert refused.value.field == "removals/1/mass_g"
