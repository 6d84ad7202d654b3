"""Splits against checks/balance.md 5 (calc) and SciPy's linear programme."""

from __future__ import annotations

import math
import random
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize

from records.domain.balance.split import Spot, by_sines, split_unbalance
from records.domain.balance.vectors import Vector
from records.domain.errors import BadValue


def amounts(wanted: Vector, *spots: Spot) -> list[float]:
    return [part.unbalance_gmm for part in split_unbalance(wanted, spots).parts]


def programme(wanted: Vector, spots: list[Spot]) -> float | None:
    """The least metal by linear programme, None where there is no answer."""
    turns = [math.radians(spot.angle_deg) for spot in spots]
    plane = wanted.plane
    found = optimize.linprog(
        [1.0] * len(spots),
        A_eq=[[math.cos(t) for t in turns], [math.sin(t) for t in turns]],
        b_eq=[plane.real, plane.imag],
        bounds=[(0, spot.capacity_gmm) for spot in spots],
    )
    return float(found.fun) if found.success else None


@pytest.mark.parametrize(
    ("wanted", "places", "parts"),
    [
        (Vector(100, 30), (0, 90), (86.603, 50.000)),
        (Vector(100, 200), (180, 225), (59.767, 48.369)),
        (Vector(100, 20), (350, 40), (44.6476, 65.2704)),  # over the zero mark; calc
    ],
)
def test_two_places_by_sines(
    wanted: Vector, places: tuple[float, float], parts: tuple[float, float]
) -> None:
    assert amounts(wanted, *map(Spot, places)) == pytest.approx(parts, abs=5e-4)
    assert by_sines(wanted, *places) == pytest.approx(parts, abs=5e-4)


def test_a_split_outside_the_angles_is_refused_and_says_which() -> None:
    # checks/balance.md 5: 100∠10 on 20/60 would be 119.18 and −27.01
    assert by_sines(Vector(100, 10), 20, 60) == pytest.approx((119.18, -27.01), abs=6e-3)
    with pytest.raises(BadValue, match=re.escape("60° would need -27.015 g·mm")) as refused:
        split_unbalance(Vector(100, 10), [Spot(20), Spot(60)])
    assert refused.value.field == "places"
    assert "metal put on" in refused.value.message


@pytest.mark.parametrize(
    "places", [(190, 300), (190, 200, 250), (180,), (180, 10), (10.001,), (90, 270)]
)
def test_places_that_cannot_reach_the_angle_are_refused(places: tuple[float, ...]) -> None:
    with pytest.raises(BadValue, match="both sides of 0°"):
        split_unbalance(Vector(100, 0), [Spot(place) for place in places])


def test_one_place_at_the_very_angle_takes_all() -> None:
    assert amounts(Vector(100, 30), Spot(30)) == [100]
    assert amounts(Vector(100, 390), Spot(0), Spot(30), Spot(60)) == [0, 100, 0]


def test_nothing_to_split_takes_nothing() -> None:
    assert amounts(Vector(0, 30), Spot(180), Spot(90)) == [0, 0]


def test_of_three_places_the_nearest_pair_takes_least() -> None:
    assert amounts(Vector(100, 30), Spot(0), Spot(40), Spot(120)) == pytest.approx(
        [*by_sines(Vector(100, 30), 0, 40), 0]
    )


def test_a_full_place_is_helped_by_the_next() -> None:
    split = split_unbalance(Vector(100, 0), [Spot(-40), Spot(-10, 30), Spot(15, 40), Spot(50)])
    parts = [part.unbalance_gmm for part in split.parts]
    assert parts[1:3] == [30, 40]
    assert parts[0] > 0
    assert parts[3] > 0
    assert split.left_gmm == pytest.approx(0, abs=1e-9)


def test_capacities_that_do_not_suffice_are_refused_with_what_they_reach() -> None:
    spots = [Spot(0, 30), Spot(40, 30), Spot(330, 20)]
    with pytest.raises(BadValue, match=re.escape("at most 67.1929 g·mm")) as refused:
        split_unbalance(Vector(100, 10), spots)
    assert refused.value.field == "places"
    assert split_unbalance(Vector(67.192, 10), spots).left_gmm < 1e-9
    with pytest.raises(BadValue, match="at most 10 g"):
        split_unbalance(Vector(20, 0), [Spot(0, 10)])


@pytest.mark.parametrize("seed", range(60))
def test_it_agrees_with_a_linear_programme(seed: int) -> None:
    chance = random.Random(seed)
    spots = [
        Spot(angle, chance.choice([None, chance.uniform(0, 60)]))
        for angle in chance.sample(range(360), chance.randint(2, 9))
    ]
    wanted = Vector(chance.uniform(1, 150), chance.uniform(0, 360))
    least = programme(wanted, spots)
    if least is None:
        with pytest.raises(BadValue, match="can't be split"):
            split_unbalance(wanted, spots)
        return
    split = split_unbalance(wanted, spots)
    assert split.total_gmm == pytest.approx(least, rel=1e-7)
    assert split.left_gmm < 1e-7
    assert all(
        0 <= part.unbalance_gmm <= (spot.capacity_gmm or math.inf)
        for part, spot in zip(split.parts, spots, strict=True)
        if spot.capacity_gmm != 0
    )


@given(
    st.lists(
        st.tuples(st.integers(0, 359), st.floats(0.1, 100)),
        min_size=2,
        max_size=7,
        unique_by=lambda pair: pair[0],
    )
)
def test_whatever_the_places_can_make_is_made_for_no_more(taken: list[tuple[int, float]]) -> None:
    plane = sum(Vector(amount, angle).plane for angle, amount in taken)
    if abs(plane) < 1e-3:
        return
    angle_deg = math.degrees(math.atan2(plane.imag, plane.real))
    split = split_unbalance(
        Vector(abs(plane), angle_deg), [Spot(angle, amount * 1.01) for angle, amount in taken]
    )
    assert split.total_gmm <= sum(amount for _, amount in taken) * (1 + 1e-6)
    assert split.left_gmm < 1e-6


@pytest.mark.parametrize(
    ("wanted", "spots", "field"),
    [
        (Vector(-1, 0), [Spot(0)], "unbalance_gmm"),
        (Vector(1, math.inf), [Spot(0)], "angle_deg"),
        (Vector(1, 0), [], "places"),
        (Vector(1, 0), [Spot(0), Spot(90, -1)], "places/1/capacity_gmm"),
        (Vector(1, 0), [Spot(math.nan)], "places/0/angle_deg"),
        (Vector(1, 0), [Spot(10), Spot(50), Spot(370)], "places/2/angle_deg"),
    ],
)
def test_what_cannot_be_is_named(wanted: Vector, spots: list[Spot], field: str) -> None:
    with pytest.raises(BadValue) as refused:
        split_unbalance(wanted, spots)
    assert refused.value.field == field


def test_sines_of_opposite_places_are_refused() -> None:
    with pytest.raises(BadValue, match="nor opposite"):
        by_sines(Vector(1, 0), 0, 180)
