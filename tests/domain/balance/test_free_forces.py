"""Free forces: against checks/balance.md 1.1 to 1.4, and an exact slider-crank with an FFT."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from records.domain.balance.free_forces import (
    FreeForces,
    LoadedCylinder,
    free_forces,
    second_harmonic,
)
from records.domain.balance.layout import NAMES, named
from records.domain.errors import BadValue
from tests.domain.balance.slider_crank import orders

R_MM, ROD_MM = 50.0, 200.0
F1_RPM = 60 / (2 * math.pi) * math.sqrt(1e6 / R_MM)  # 1 g then makes F1 = m·r·ω² = 1 N
PITCH_M = 0.1

# checks/balance.md 1.2 (every entry `calc`): forces in F1 and F2, couples in pitches
TABLE = {
    "single": (1, 1, 0, 0),
    "i2-360": (2, 2, 0, 0),
    "i2-180": (0, 2, 1, 0),
    "i3": (0, 0, 1.7321, 1.7321),
    "i4": (0, 4, 0, 0),
    "i5": (0, 0, 0.4490, 4.9798),
    "i6": (0, 0, 0, 0),
    "flat-2": (0, 0, 1, 1),
    "flat-4": (0, 0, 0, 2),
    "flat-6": (0, 0, 0, 0),
    "v2-90": (1, 1.4142, 0, 0),
    "v6-60": (0, 0, 1.5, 1.5),
    "v6-90": (0, 0, 1.7321, 2.4495),
    "v8-90": (0, 0, 3.1623, 0),
    "v8-90-flat": (0, 5.6569, 0, 0),
    "v10-90": (0, 0, 0.449, 7.0425),
    "v12-60": (0, 0, 0, 0),
}
# checks/balance.md 1.3: residual max, min at b = 0, 0.366, 0.5, 1; planar fractions
RESIDUALS = {
    "single": ("force", (1, 0), (0.634, 0.366), (0.5, 0.5), (1, 0), (0, 1)),
    "i2-180": ("couple", (1, 0), (0.634, 0.366), (0.5, 0.5), (1, 0), (0, 1)),
    "i3": ("couple", (1.732, 0), (1.098, 0.634), (0.866, 0.866), (1.732, 0), (0, 1)),
    "i5": ("couple", (0.449, 0), (0.285, 0.164), (0.2245, 0.2245), (0.449, 0), (0, 1)),
    "v2-90": ("force", (1, 1), (0.268, 0.268), (0, 0), (1, 1), (0.5,)),
    "v6-60": ("couple", (1.5, 1.5), (0.402, 0.402), (0, 0), (1.5, 1.5), (0.5,)),
    "v6-90": ("couple", (1.732, 1.732), (0.464, 0.464), (0, 0), (1.732, 1.732), (0.5,)),
    "v8-90": ("couple", (3.162, 3.162), (0.847, 0.847), (0, 0), (3.162, 3.162), (0.5,)),
    "v10-90": ("couple", (0.449, 0.449), (0.120, 0.120), (0, 0), (0.449, 0.449), (0.5,)),
}


def loaded(name: str, stagger_mm: float | None = 0.0) -> list[LoadedCylinder]:
    if name == "flat-2":
        stagger_mm = 1000 * PITCH_M
    if name == "flat-4":
        stagger_mm = 1000 * PITCH_M  # the table gives both in offsets b of the opposed pair
    cylinders = named(name, pitch_mm=1000 * PITCH_M, stagger_mm=stagger_mm)
    return [LoadedCylinder(c.throw_deg, c.bank_deg, c.z_mm, 1.0, 1.0) for c in cylinders]


def at_f1(cylinders: list[LoadedCylinder], fraction: float = 0.5) -> FreeForces:
    return free_forces(
        cylinders,
        stroke_mm=2 * R_MM,
        rod_length_mm=ROD_MM,
        speed_rpm=F1_RPM,
        fraction=fraction,
    )


@pytest.mark.parametrize(("ratio", "a2"), [(0.25, 0.254025), (0.30, 0.307051), (1 / 3, 0.343109)])
def test_the_second_harmonic_is_exact(ratio: float, a2: float) -> None:
    # checks/balance.md 1.1 (calc)
    assert second_harmonic(ratio) == pytest.approx(a2, abs=6e-7)


def test_the_second_harmonic_nears_the_ratio_for_long_rods_and_holds_for_short_ones() -> None:
    assert second_harmonic(1e-3) == pytest.approx(1e-3 + 1e-9 / 4, rel=1e-12)  # series
    assert second_harmonic(0.95) == pytest.approx(second_harmonic_by_series(0.95), rel=1e-9)


def second_harmonic_by_series(ratio: float) -> float:
    """Expand √(1 − λ²sin²φ) by the binomial series; ∫ sin^{2n}·cos 2φ has a closed form."""
    total, binomial = 0.0, 1.0
    for n in range(1, 400):
        binomial *= (n - 1.5) / n  # (−1)^n · C(1/2, n)
        mean = math.comb(2 * n, n) / 4**n
        total += binomial * ratio ** (2 * n) * mean * (-n / (n + 1))
    return 4 / ratio * 2 * total


@pytest.mark.parametrize("name", TABLE)
def test_forces_and_couples_are_those_of_the_handbook_table(name: str) -> None:
    free = at_f1(loaded(name))
    second = second_harmonic(R_MM / ROD_MM)
    found = (
        free.primary_force_N.max,
        free.secondary_force_N.max / second,
        free.primary_couple_Nm.max / PITCH_M,
        free.secondary_couple_Nm.max / second / PITCH_M,
    )
    assert found == pytest.approx(TABLE[name], abs=6e-4)


@pytest.mark.parametrize("name", ["v2-90", "v6-60", "v6-90", "v8-90", "v10-90"])
def test_these_are_pure_forward(name: str) -> None:
    free = at_f1(loaded(name))
    assert (free.primary_force_N.backward, free.primary_couple_Nm.backward) == (0, 0)


def test_the_even_six_keeps_a_pure_backward_second_couple() -> None:
    assert at_f1(loaded("v6-60")).secondary_couple_Nm.forward == 0  # checks/balance.md 1.2


@pytest.mark.parametrize("name", RESIDUALS)
def test_what_a_fraction_leaves_is_that_of_the_table(name: str) -> None:
    kind, *ends, planar = RESIDUALS[name]
    for fraction, expected in zip((0.0, 0.366025, 0.5, 1.0), ends, strict=True):
        free = at_f1(loaded(name), fraction)
        left = free.residual_force_N if kind == "force" else free.residual_couple_Nm
        unit = 1.0 if kind == "force" else PITCH_M
        assert (left.max / unit, left.min / unit) == pytest.approx(expected, abs=6e-4)
    assert at_f1(loaded(name)).planar_fractions == pytest.approx(planar)


@pytest.mark.parametrize(("vee_deg", "planar"), [(60, (0.25, 0.75)), (45, (0.1464, 0.8536))])
def test_a_twin_is_planar_at_the_fractions_of_the_table(
    vee_deg: float, planar: tuple[float, ...]
) -> None:
    # checks/balance.md 1.3, V2-60 and V2-45
    twin = [LoadedCylinder(0, side * vee_deg / 2, 0, 1, 1) for side in (-1, 1)]
    assert at_f1(twin).planar_fractions == pytest.approx(planar, abs=5e-5)


@pytest.mark.parametrize("name", ["i4", "i6", "flat-4", "flat-6", "v8-90-flat", "v12-60"])
def test_nothing_left_has_no_planar_fraction(name: str) -> None:
    assert at_f1(loaded(name)).planar_fractions == ()


def test_rods_side_by_side_on_one_pin_add_a_backward_couple() -> None:
    # checks/balance.md 1.2: ½·F1·s for a 90° twin
    couple = at_f1(loaded("v2-90", stagger_mm=20.0)).primary_couple_Nm
    assert couple.forward == 0
    assert couple.backward == pytest.approx(0.5 * 0.020)


def test_it_reproduces_the_textbook_four_with_cranks_at_right_angles() -> None:
    # checks/balance.md 1.4: r 50, l 200, 2000 rpm, pitch 0.2 m, 2 kg; results calc
    throws = (0.0, 90.0, 270.0, 180.0)
    four = [LoadedCylinder(a, 0, 200 * i - 300, 2000, 0) for i, a in enumerate(throws)]
    free = free_forces(four, stroke_mm=100, rod_length_mm=200, speed_rpm=2000)
    order = (0.0, 180.0, 270.0, 90.0)  # 90° apart in order 1-4-2-3
    book = [LoadedCylinder(a, 0, 200 * i - 300, 2000, 0) for i, a in enumerate(order)]
    free_book = free_forces(book, stroke_mm=100, rod_length_mm=200, speed_rpm=2000)
    assert free_book.primary_force_N.max == free_book.secondary_force_N.max == 0
    assert free_book.primary_couple_Nm.max == pytest.approx(1240.7, abs=0.05)
    # the printed 877.3 N·m takes A2 = λ = 0.25; in full it is A2/λ times that
    in_full = 877.3 * second_harmonic(0.25) / 0.25
    assert free_book.secondary_couple_Nm.max == pytest.approx(in_full, abs=0.06)
    assert free.primary_couple_Nm.max == pytest.approx(math.sqrt(10) * 0.2 * 4386.5, rel=1e-5)


@pytest.mark.parametrize("name", NAMES)
def test_an_exact_slider_crank_agrees(name: str) -> None:
    cylinders = [
        LoadedCylinder(c.throw_deg, c.bank_deg, c.z_mm, 700 + 3.7 * c.place, 600 + c.place)
        for c in named(name)
    ]
    agree(cylinders, stroke_mm=88.4, rod_mm=152.4, speed_rpm=6500, fraction=0.47)


ENGINES = st.lists(
    st.builds(
        LoadedCylinder,
        throw_deg=st.floats(0, 360),
        bank_deg=st.floats(-90, 90),
        z_mm=st.floats(-400, 400),
        reciprocating_g=st.floats(100, 2000),
        rotating_g=st.floats(0, 2000),
    ),
    min_size=1,
    max_size=8,
)


@settings(max_examples=40, deadline=None)
@given(ENGINES, st.floats(1.3, 6), st.floats(0, 1))
def test_an_exact_slider_crank_agrees_for_any_engine(
    cylinders: list[LoadedCylinder], rods: float, fraction: float
) -> None:
    agree(cylinders, stroke_mm=90, rod_mm=45 * rods, speed_rpm=5000, fraction=fraction)


def agree(
    cylinders: list[LoadedCylinder],
    *,
    stroke_mm: float,
    rod_mm: float,
    speed_rpm: float,
    fraction: float,
) -> None:
    free = free_forces(
        cylinders,
        stroke_mm=stroke_mm,
        rod_length_mm=rod_mm,
        speed_rpm=speed_rpm,
        fraction=fraction,
    )
    bare = orders(cylinders, stroke_mm=stroke_mm, rod_mm=rod_mm, speed_rpm=speed_rpm)
    carried = orders(
        cylinders, stroke_mm=stroke_mm, rod_mm=rod_mm, speed_rpm=speed_rpm, fraction=fraction
    )
    near = 1e-9 * sum(c.reciprocating_g for c in cylinders) * speed_rpm
    for ours, theirs in (
        (free.primary_force_N, bare["force1"]),
        (free.primary_couple_Nm, bare["couple1"]),
        (free.secondary_force_N, bare["force2"]),
        (free.secondary_couple_Nm, bare["couple2"]),
        (free.residual_force_N, carried["force1"]),
        (free.residual_couple_Nm, carried["couple1"]),
    ):
        assert (ours.forward, ours.backward) == pytest.approx(
            (theirs.forward, theirs.backward), rel=1e-8, abs=near
        )


def test_pin_sums_use_the_masses_given() -> None:
    four = loaded("i4")
    heavy = [LoadedCylinder(c.throw_deg, 0, c.z_mm, 1, 500 + (i == 0)) for i, c in enumerate(four)]
    free = at_f1(heavy)
    assert free.bob_weights_needed is False  # equal pins assumed
    assert free.pin_force_gmm == pytest.approx(1 * R_MM)
    assert free.pin_couple_gmm2 == pytest.approx(1 * R_MM * 150)


@pytest.mark.parametrize(
    ("field", "change"),
    [
        ("stroke_mm", {"stroke_mm": 0.0}),
        ("stroke_mm", {"stroke_mm": math.nan}),
        ("rod_length_mm", {"rod_length_mm": 50.0}),  # as long as the crank radius: can't pass
        ("rod_length_mm", {"rod_length_mm": -1.0}),
        ("speed_rpm", {"speed_rpm": -1.0}),
        ("fraction", {"fraction": -0.1}),
    ],
)
def test_it_refuses_what_cannot_be(field: str, change: dict[str, float]) -> None:
    engine = {"stroke_mm": 100.0, "rod_length_mm": 200.0, "speed_rpm": 1000.0, **change}
    with pytest.raises(BadValue) as refused:
        free_forces(loaded("i4"), **engine)
    assert refused.value.field == field


def test_it_refuses_no_cylinders_and_negative_masses() -> None:
    with pytest.raises(BadValue) as refused:
        at_f1([])
    assert refused.value.field == "cylinders"
    with pytest.raises(BadValue) as refused:
        at_f1([LoadedCylinder(0, 0, 0, 1, 1), LoadedCylinder(0, 0, 0, -1, 1)])
    assert refused.value.field == "cylinders/1/reciprocating_g"
