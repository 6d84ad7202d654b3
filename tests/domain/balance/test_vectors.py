"""Sums of unbalance against checks/balance.md 5 (calc) and the trial-mass method (printed)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from records.domain.balance.vectors import Vector, checked_vector, trial_mass, vector_sum
from records.domain.errors import BadValue


def test_two_vectors_add() -> None:
    both = vector_sum([Vector(40, 20), Vector(60, 140)])
    assert both.unbalance_gmm == pytest.approx(52.915, abs=5e-4)
    assert both.angle_deg == pytest.approx(99.11, abs=5e-3)


def test_what_cancels_is_nothing_at_angle_nought() -> None:
    assert vector_sum([Vector(7, 33), Vector(7, 213)]) == Vector(0.0, 0.0)
    assert vector_sum([]) == Vector(0.0, 0.0)


@given(st.floats(0.1, 1e4), st.floats(-720, 720))
def test_an_angle_comes_back_within_a_turn(amount: float, angle: float) -> None:
    same = vector_sum([Vector(amount, angle)])
    assert same.unbalance_gmm == pytest.approx(amount)
    assert 0 <= same.angle_deg < 360


def test_a_trial_mass_tells_the_correction() -> None:
    # checks/balance.md 5: O 7∠160, O+T 5∠70, 100 g; exact T 8.602, 81.37 g, 35.54°
    trial = trial_mass(Vector(7, 160), Vector(5, 70), mass_g=100, angle_deg=0)
    assert trial.effect.unbalance_gmm == pytest.approx(8.602, abs=5e-4)
    assert trial.mass_g == pytest.approx(81.37, abs=5e-3)
    assert 360 - trial.angle_deg == pytest.approx(35.54, abs=5e-3)
    # printed, from a drawing: 77.77 g at 35°
    assert trial.mass_g == pytest.approx(77.77, rel=0.05)


@given(st.floats(1, 100), st.floats(0, 360), st.floats(1, 50), st.floats(0, 360))
def test_the_correction_cancels_what_was_there(
    amount: float, angle: float, mass_g: float, at: float
) -> None:
    # a machine that reads 0.4 per gram, 50 degrees late
    def seen(grams: float, angle_deg: float) -> Vector:
        return Vector(0.4 * grams, angle_deg + 50)

    before = seen(amount, angle)
    with_trial = vector_sum([before, seen(mass_g, at)])
    fix = trial_mass(before, with_trial, mass_g=mass_g, angle_deg=at)
    left = vector_sum([before, seen(fix.mass_g, fix.angle_deg)])
    assert left.unbalance_gmm == pytest.approx(0, abs=1e-8 * amount)


def test_a_trial_mass_that_changed_nothing_is_refused() -> None:
    with pytest.raises(BadValue, match="the same reading"):
        trial_mass(Vector(7, 160), Vector(7, 160), mass_g=100, angle_deg=0)


@pytest.mark.parametrize(
    ("vector", "field"),
    [
        (Vector(-1, 0), "reading_0/unbalance_gmm"),
        (Vector(1, float("nan")), "reading_0/angle_deg"),
    ],
)
def test_an_amount_or_angle_that_cannot_be_is_named(vector: Vector, field: str) -> None:
    with pytest.raises(BadValue) as refused:
        checked_vector(vector, "reading_0")
    assert refused.value.field == field
    with pytest.raises(BadValue) as refused:
        checked_vector(vector)
    assert refused.value.field == field.removeprefix("reading_0/")
