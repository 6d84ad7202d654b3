"""Named layouts against checks/balance.md 1.3 (`calc`: derived there from first principles)."""

from __future__ import annotations

import cmath
import itertools
import math

import pytest

from records.domain.balance.layout import (
    NAMES,
    Cylinder,
    bob_weights_needed,
    named,
    pins_of,
    why_bob_weights,
)
from records.domain.errors import BadValue, Code

# checks/balance.md 1.3: bob weights?, pin sum (force; couple in pitches) per rod
PIN_SUMS = {
    "single": (True, 1.0, 0.0),
    "i2-360": (True, 2.0, 0.0),
    "i2-180": (True, 0.0, 1.0),
    "i3": (True, 0.0, 1.7321),
    "i4": (False, 0.0, 0.0),
    "i5": (True, 0.0, 0.4490),
    "i6": (False, 0.0, 0.0),
    "flat-2": (True, 0.0, 1.0),  # in offsets of the opposed pair
    "flat-4": (False, 0.0, 0.0),
    "flat-6": (False, 0.0, 0.0),
    "v2-90": (True, 2.0, 0.0),
    "v6-60": (True, 0.0, 3.0),
    "v6-90": (True, 0.0, 3.4641),
    "v8-90": (True, 0.0, 6.3246),
    "v8-90-flat": (False, 0.0, 0.0),
    "v10-90": (True, 0.0, 0.898),
    "v12-60": (False, 0.0, 0.0),
}
# reckon.md, "Names of common layouts"
ALL_NAMES = {*PIN_SUMS, "v6-90-split"}


def pin_sums(name: str) -> tuple[float, float]:
    cylinders = named(name, pitch_mm=100.0, stagger_mm=100.0 if name == "flat-2" else None)
    turns = [cmath.exp(1j * math.radians(c.throw_deg)) for c in cylinders]
    couple = sum(c.z_mm * turn for c, turn in zip(cylinders, turns, strict=True))
    return abs(sum(turns)), abs(couple) / 100.0


def test_every_name_of_the_list_is_there_and_no_other() -> None:
    assert set(NAMES) == ALL_NAMES


@pytest.mark.parametrize("name", PIN_SUMS)
def test_pin_sums_and_bob_weights_are_those_of_the_table(name: str) -> None:
    needed, force, couple = PIN_SUMS[name]
    assert pin_sums(name) == pytest.approx((force, couple), abs=2e-4)
    assert bob_weights_needed(named(name)) is needed


@pytest.mark.parametrize(
    ("name", "pins", "rods"),
    [
        ("single", 1, 1),
        ("i4", 4, 1),
        ("flat-6", 6, 1),
        ("v6-60", 6, 1),
        ("v6-90-split", 6, 1),
        ("v6-90", 3, 2),
        ("v8-90", 4, 2),
        ("v8-90-flat", 4, 2),
        ("v10-90", 5, 2),
        ("v12-60", 6, 2),
    ],
)
def test_pins_carry_as_many_rods_as_the_crank_has_room_for(name: str, pins: int, rods: int) -> None:
    # checks/balance.md 1.3: "yes, one per pin (6)", "yes (3)", "yes (4)", "yes (5)"
    by_pin = pins_of(named(name))
    assert list(by_pin) == list(range(1, pins + 1))
    assert {len(shared) for shared in by_pin.values()} == {rods}


@pytest.mark.parametrize("name", NAMES)
def test_places_count_from_one_and_rods_on_one_pin_share_its_throw(name: str) -> None:
    cylinders = named(name)
    assert [c.place for c in cylinders] == list(range(1, len(cylinders) + 1))
    for shared in pins_of(cylinders).values():
        assert len({c.throw_deg for c in shared}) == 1


@pytest.mark.parametrize(("name", "degrees"), [("v6-60", 120), ("v6-90-split", 120), ("v8-90", 90)])
def test_split_pins_fire_evenly(name: str, degrees: int) -> None:
    # a cylinder is at top dead centre at crank angle bank − throw; even firing, twice each
    tops = sorted(round(c.bank_deg - c.throw_deg) % 360 for c in named(name))
    assert {(b - a) % 360 for a, b in itertools.pairwise(tops)} == {0, degrees}


def test_a_sentence_says_why() -> None:
    assert "couple" in why_bob_weights(named("v8-90"))
    assert "force" in why_bob_weights(named("single"))
    sentence = why_bob_weights(named("i4"))
    assert sentence.startswith("no bob weights")
    assert "equal" in sentence  # pitfall of 1.3: true only if all pin masses are equal


def test_a_throw_just_off_counts_only_past_the_limit() -> None:
    # reckon.md: a sum counts as zero below 1e-4 of Σ|terms|
    def four(off_deg: float) -> list[Cylinder]:
        throws = (0.0, 180.0 + off_deg, 180.0, 0.0)
        return [Cylinder(i, a, 0.0, 100.0 * i - 150.0, i) for i, a in enumerate(throws)]

    assert not bob_weights_needed(four(0.01))  # 1.7e-4 of one throw in four: 4.4e-5
    assert bob_weights_needed(four(0.1))


def test_all_in_one_plane_leaves_no_couple() -> None:
    assert not bob_weights_needed([Cylinder(1, 0.0, 0.0, 0.0, 1), Cylinder(2, 180.0, 0.0, 0.0, 2)])


def test_it_refuses_a_name_it_does_not_know() -> None:
    with pytest.raises(BadValue) as refused:
        named("w16")
    assert refused.value.field == "layout"
    assert "v8-90" in refused.value.expected
    assert refused.value.got == "w16"


@pytest.mark.parametrize("pitch_mm", [0.0, -1.0, math.inf, math.nan])
def test_it_refuses_a_pitch_that_cannot_be(pitch_mm: float) -> None:
    with pytest.raises(BadValue) as refused:
        named("i4", pitch_mm=pitch_mm)
    assert refused.value.field == "pitch_mm"
    assert refused.value.code in (Code.OUT_OF_RANGE, Code.NOT_A_NUMBER)
