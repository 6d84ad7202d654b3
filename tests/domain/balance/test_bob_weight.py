"""The bob weight against checks/balance.md 2.2 A (a magazine's V8; totals calc), and its U."""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal
from typing import Any

import numpy as np
import pytest

from records.domain.balance.bob_weight import (
    ITEMS,
    ItemWeighing,
    PinItems,
    Share,
    alike_bob_weight,
    going_up_and_down,
    pin_bob_weight,
    rod_by_difference,
    turning,
)
from records.domain.errors import BadValue

D = Decimal
V8 = PinItems(
    big_end=D("229.8"),
    shells=D("23.7"),
    small_end=D("162.4"),
    piston=D("583.9"),
    pin=D("173.6"),
    locks=D("4.8"),
    rings=D("69.5"),
)


def bob(**change: Any) -> Any:
    asked: dict[str, Any] = {"rods_per_pin": 2, "oil_g": D(4), "fraction": D("0.5"), **change}
    return alike_bob_weight(asked.pop("items", V8), **asked)


@pytest.mark.parametrize(
    ("fraction", "total_g"),
    [("0.50", "1505.2"), ("0.48", "1465.4"), ("0.51", "1525.1"), ("0.52", "1545.0")],
)
def test_the_magazine_v8_comes_out(fraction: str, total_g: str) -> None:
    assert bob(fraction=D(fraction)).total_g.quantize(D("0.1")) == D(total_g)


def test_at_a_half_two_rotating_and_one_reciprocating_count() -> None:
    card = bob()
    assert card.rotating_g == D("459.6") + D("47.4") + 4
    assert card.reciprocating_g == D("994.2")  # the reciprocating sum of 2.2 A
    assert card.u_g is None


def test_one_rod_a_pin_counts_once() -> None:
    card = bob(rods_per_pin=1)
    assert (card.rotating_g, card.reciprocating_g) == (D("257.5"), D("497.1"))


def test_private_and_shared_parts_follow_the_rule() -> None:
    # reckon.md: private u·√(Σ n·c²), shared u·Σ|n·c|; N = 2: two items in full, five by half
    assert bob(u_private_g=0.05).u_g == pytest.approx(0.05 * math.sqrt(2 * 2 + 2 * 5 * 0.25))
    assert bob(u_shared_g=0.03).u_g == pytest.approx(0.03 * (2 * 2 + 2 * 5 * 0.5))
    both = bob(u_private_g=0.05, u_shared_g=0.03).u_g
    assert both == pytest.approx(math.hypot(0.05 * math.sqrt(6.5), 0.03 * 9))


def test_what_was_weighed_once_counts_as_one_weighing_used_twice() -> None:
    once = bob(u_private_g=0.05, weighed_once=["shells", "locks"])
    squares = 2 * 1 + 2**2 + 2 * 4 * 0.25 + (2 * 0.5) ** 2
    assert once.u_g == pytest.approx(0.05 * math.sqrt(squares))


def test_oil_is_an_allowance_and_has_no_u() -> None:
    assert bob(u_private_g=0.05, oil_g=D(0)).u_g == bob(u_private_g=0.05, oil_g=D(6)).u_g


def weighed(
    name: str, mass_g: str, u: float = 0.06, shared: float = 0.04, scale: str = "S-02"
) -> ItemWeighing:
    return ItemWeighing(name, scale, D(mass_g), u, shared)


def test_the_record_and_the_what_if_agree() -> None:
    shares = []
    for rod in "12":
        for item in ITEMS:
            of = weighed(f"{item} {rod}", str(getattr(V8, item)))
            turns = item in ("big_end", "shells")
            shares.append(
                turning(item, of) if turns else going_up_and_down(item, of, fraction=D("0.5"))
            )
    card = pin_bob_weight(shares, oil_g=D(4))
    what_if = bob(u_private_g=0.06, u_shared_g=0.04)
    assert (card.rotating_g, card.reciprocating_g) == (what_if.rotating_g, what_if.reciprocating_g)
    assert card.u_g == pytest.approx(what_if.u_g)


def test_a_small_end_got_by_difference_is_correlated_with_its_big_end() -> None:
    big = weighed("big", "446.4", u=0.09, shared=0.0)
    whole = weighed("whole", "620.0", u=0.05, shared=0.0)
    card = pin_bob_weight(rod_by_difference(big, whole, fraction=D("0.5")), oil_g=D(0))
    assert card.total_g == D("446.4") + (D("620.0") - D("446.4")) / 2
    assert card.rotating_g == D("446.4")
    assert card.reciprocating_g == D("86.8")
    # (1 − f)·big + f·whole (reckoning.md, Bob weight)
    assert card.u_g == pytest.approx(math.hypot(0.5 * 0.09, 0.5 * 0.05))


def test_a_simulation_of_a_whole_pin_agrees() -> None:
    # Monte Carlo (JCGM 101:2008): big ends and wholes on S-02, pistons on S-03, one set of locks
    chance = np.random.default_rng(3)
    n, f = 200_000, 0.46
    e2, e3 = chance.normal(0, 0.04, n), chance.normal(0, 0.07, n)
    total = np.zeros(n)
    locks = chance.normal(0, 0.03, n) + e2
    shares: list[Share] = []
    for rod in "12":
        big, whole = chance.normal(0, 0.09, n) + e2, chance.normal(0, 0.05, n) + e2
        piston = chance.normal(0, 0.06, n) + e3
        total += big + f * ((whole - big) + piston + locks)
        of_rod = (weighed(f"b{rod}", "446.4", 0.09), weighed(f"w{rod}", "620.0", 0.05))
        shares += rod_by_difference(*of_rod, fraction=D("0.46"))
        for name, u, shared, scale in (
            (f"p{rod}", 0.06, 0.07, "S-03"),
            ("locks", 0.03, 0.04, "S-02"),
        ):
            of = weighed(name, "100.0", u, shared, scale)
            shares.append(going_up_and_down(name, of, fraction=D("0.46")))
    card = pin_bob_weight(shares, oil_g=D(5))
    assert card.u_g == pytest.approx(float(np.std(total)), rel=0.01)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"rods_per_pin": 0}, "rods_per_pin"),
        ({"rods_per_pin": 9}, "rods_per_pin"),
        ({"oil_g": D(-1)}, "oil_g"),
        ({"fraction": D("1.5")}, "fraction"),
        ({"fraction": D("-0.5")}, "fraction"),
        ({"fraction": D("NaN")}, "fraction"),
        ({"items": replace(V8, piston=D(-1))}, "piston_g"),
        ({"u_private_g": -0.1}, "u_private_g"),
        ({"u_private_g": 0.1, "weighed_once": ["oil"]}, "weighed_once"),
    ],
)
def test_it_refuses_what_cannot_be(change: dict[str, Any], field: str) -> None:
    with pytest.raises(BadValue) as refused:
        bob(**change)
    assert refused.value.field == field


def test_it_refuses_a_whole_rod_lighter_than_its_end_and_a_pin_with_nothing() -> None:
    with pytest.raises(BadValue) as refused:
        rod_by_difference(weighed("b", "446.4"), weighed("w", "440.0"), fraction=D("0.5"))
    assert refused.value.field == "small_end"
    with pytest.raises(BadValue) as refused:
        pin_bob_weight([], oil_g=D(4))
    assert refused.value.field == "shares"
