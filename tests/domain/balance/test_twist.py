"""Twist against checks/balance.md 7 (a printed example), scipy.linalg.eigh and Holzer's step."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from scipy import linalg, optimize

from records.domain.balance.twist import ORDERS, Mode, shaft_stiffness, twist_modes
from records.domain.errors import BadValue

INERTIAS = [0.15, 0.30, 0.09]


def printed() -> list[Mode]:
    """3 rotors on a shaft of Ø70 mm, 1.5 m and 1.0 m long, G 84 GPa (a textbook example)."""
    shafts = [
        shaft_stiffness(diameter_mm=70, length_mm=length, shear_modulus_GPa=84)
        for length in (1500, 1000)
    ]
    assert shafts == pytest.approx([132_002, 198_003], rel=1e-5)
    return twist_modes(INERTIAS, shafts)


def holzer(omega: float, inertias: list[float], springs: list[float]) -> float:
    """The torque left at the free end when the first inertia swings by 1."""
    swing, torque = 1.0, 0.0
    for inertia, spring in zip(inertias, [*springs, math.inf], strict=True):
        torque += inertia * omega**2 * swing
        swing -= torque / spring
    return torque


def test_the_printed_example() -> None:
    zero, first, second = printed()
    assert zero == Mode(0.0, (1.0, 1.0, 1.0))
    # printed 171 and 277 Hz
    assert (first.frequency_Hz, second.frequency_Hz) == pytest.approx((170.688, 277.034), abs=5e-4)
    assert first.shape == pytest.approx((1, -0.307, -0.643), abs=5e-4)
    assert second.shape == pytest.approx((1, -2.443, 6.477), abs=5e-4)


def test_where_the_shaft_stands_still() -> None:
    zero, first, second = printed()
    assert zero.nodes == ()
    (node,) = first.nodes
    # printed 1.146 m from A, and 0.4356 m from A, 0.726 m from C
    assert node.shaft == 0
    assert node.share * 1.5 == pytest.approx(1.1477, abs=5e-5)
    near, far = second.nodes
    assert near.share * 1.5 == pytest.approx(0.4357, abs=5e-5)
    assert far.shaft == 1
    assert 1 - far.share == pytest.approx(0.7261, abs=5e-5)


@pytest.mark.parametrize(
    ("order", "rpm"), [(3, 8000), (4, 6000), (4.5, 5333.3), (6, 4000), (8, 3000)]
)
def test_critical_speeds(order: float, rpm: float) -> None:
    assert Mode(400.0, (1.0, -1.0)).critical_rpm(order) == pytest.approx(rpm, abs=0.05)
    assert ORDERS[0] == 0.5
    assert ORDERS[-1] == 12
    assert order in ORDERS


@pytest.mark.parametrize("seed", range(12))
def test_it_agrees_with_eigh(seed: int) -> None:
    chance = random.Random(seed)
    size = chance.randint(2, 14)
    inertias = [10 ** chance.uniform(-3, 1) for _ in range(size)]
    springs = [10 ** chance.uniform(4, 7) for _ in range(size - 1)]
    stiffness = np.zeros((size, size))
    for i, spring in enumerate(springs):
        stiffness[i : i + 2, i : i + 2] += [[spring, -spring], [-spring, spring]]
    squares, shapes = linalg.eigh(stiffness, np.diag(inertias))
    modes = twist_modes(inertias, springs)
    assert modes[0].frequency_Hz == 0
    hertz = np.sqrt(np.clip(squares, 0, None)) / (2 * math.pi)
    assert [mode.frequency_Hz for mode in modes[1:]] == pytest.approx(list(hertz[1:]), rel=1e-6)
    for mode, column in zip(modes, shapes.T, strict=True):
        ours = np.array(mode.shape) / np.linalg.norm(mode.shape)
        theirs = column / np.linalg.norm(column)
        assert abs(float(ours @ theirs)) == pytest.approx(1, abs=1e-6)


def test_each_frequency_is_a_root_of_holzers_step() -> None:
    springs = [132_002.0, 198_003.0]
    for mode in printed()[1:]:
        root = optimize.brentq(
            holzer,
            (mode.frequency_Hz - 5) * 2 * math.pi,
            (mode.frequency_Hz + 5) * 2 * math.pi,
            args=(INERTIAS, springs),
        )
        assert mode.frequency_Hz == pytest.approx(root / (2 * math.pi), rel=1e-5)


def test_values_too_far_apart_are_refused_not_guessed() -> None:
    with pytest.raises(BadValue, match="too far apart") as refused:
        twist_modes([1e9, 1e9, 1e-3], [1e-6, 1e9])
    assert refused.value.field == "stiffness_Nm_rad"


def test_two_inertias_have_their_closed_form() -> None:
    _, mode = twist_modes([0.2, 0.05], [1e5])
    assert 2 * math.pi * mode.frequency_Hz == pytest.approx(math.sqrt(1e5 * (5 + 20)))
    assert mode.shape == pytest.approx((1, -4))


@pytest.mark.parametrize(
    ("inertias", "springs", "field"),
    [
        ([0.1], [], "inertias_kgm2"),
        ([0.1] * 41, [1e5] * 40, "inertias_kgm2"),
        ([0.1, 0.1], [1e5, 1e5], "stiffness_Nm_rad"),
        ([0.1, 0.0], [1e5], "inertias_kgm2/1"),
        ([0.1, 0.1], [-1e5], "stiffness_Nm_rad/0"),
        ([0.1, math.nan], [1e5], "inertias_kgm2/1"),
    ],
)
def test_what_cannot_be_is_named(inertias: list[float], springs: list[float], field: str) -> None:
    with pytest.raises(BadValue) as refused:
        twist_modes(inertias, springs)
    assert refused.value.field == field
