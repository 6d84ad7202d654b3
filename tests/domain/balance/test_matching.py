"""Mix and match against checks/balance.md 8 and data/match.json (optima proven by CP-SAT there)."""

from __future__ import annotations

import random
from decimal import Decimal
from typing import Any

import pytest

from records.domain.balance.matching import Aim, Grouping, Kind, Match, match
from tests import outside

D = Decimal


def kind(name: str, *masses_g: str | int, **more: Any) -> Kind:
    return Kind(name, tuple(D(m) for m in masses_g), **more)


THREE = (
    kind("a", 9, 15, 17, 29),
    kind("b", 2, 5, 13, 19),
    kind("c", 0, 9, 10, 11),
)


def well_formed(found: Match, kinds: list[Kind] | tuple[Kind, ...]) -> None:
    for one in kinds:
        used = [s.parts[one.name] for s in found.sets]
        assert len(set(used)) == len(used)
    for s in found.sets:
        assert s.total_g == sum(k.masses_g[s.parts[k.name]] for k in kinds)
    totals = [s.total_g for s in found.sets]
    assert found.spread_g == max(totals) - min(totals)
    assert found.removed_g == sum(s.remove_g for s in found.sets)


def test_least_spread_and_least_metal_are_not_the_same() -> None:
    # checks/balance.md 8: range 7 with 15 removed; 11 removed with range 8 (brute force)
    spread = match(THREE, places=4, aim=Aim.SPREAD)
    metal = match(THREE, places=4, aim=Aim.METAL)
    assert (spread.spread_g, spread.removed_g, spread.proven) == (D(7), D(15), True)
    assert (metal.spread_g, metal.removed_g, metal.proven) == (D(8), D(11), True)


def test_two_kinds_pair_lightest_with_heaviest() -> None:
    # checks/balance.md 8: sums 569.9, 570.3, 570.7, 570.8; range 0.9
    pistons = kind("piston", "450.2", "451.0", "449.5", "450.7")
    pins = kind("pin", "120.1", "120.4", "119.8", "120.0")
    for aim in Aim:
        found = match([pistons, pins], places=4, aim=aim)
        assert sorted(s.total_g for s in found.sets) == [
            D("569.9"),
            D("570.3"),
            D("570.7"),
            D("570.8"),
        ]
        assert found.spread_g == found.bound_spread_g == D("0.9")
        assert found.proven


@pytest.mark.parametrize("aim", Aim)
def test_it_reaches_the_proven_optimum(aim: Aim) -> None:
    cases = outside.data("match.json")
    assert len(cases) >= 5
    for case in cases:
        step = D(str(case["unit_g"]))
        kinds = [
            Kind(name, tuple(mass * step for mass in masses))
            for name, masses in zip(case["kinds"], case["w"], strict=True)
        ]
        found = match(kinds, places=case["n"], aim=aim)
        well_formed(found, kinds)
        value, key, bound = (
            (found.spread_g, "least_spread_units", found.bound_spread_g)
            if aim is Aim.SPREAD
            else (found.removed_g, "least_removed_units", found.bound_removed_g)
        )
        least = case[key] * step
        slack = D(0) if step == D("0.1") else D("0.03") * (1 if aim is Aim.SPREAD else case["n"])
        assert bound <= least <= value <= least + slack
        assert not found.proven or value == least


def drawn(seed: int, places: int, more: int = 0) -> list[Kind]:
    chance = random.Random(seed)
    spreads = (
        ("piston", 450, 2),
        ("pin", 120, 0.5),
        ("rings", 42, 0.3),
        ("small", 170, 1.5),
        ("locks", 5, 0.1),
    )
    return [
        Kind(name, tuple(D(f"{chance.gauss(mean, sd):.2f}") for _ in range(places + more)))
        for name, mean, sd in spreads
    ]


@pytest.mark.parametrize("seed", [2, 3, 4, 8, 10, 12])
def test_sixteen_places_of_five_kinds_come_near_the_bound(seed: int) -> None:
    # instances whose bound is tight, so that it can stand for the optimum: within 0.03 g of it
    found = match(drawn(seed, 16), places=16, aim=Aim.SPREAD)
    assert found.spread_g <= found.bound_spread_g + D("0.03")


def test_equal_questions_get_equal_answers() -> None:
    kinds = drawn(7, 8)
    assert match(kinds, places=8, aim=Aim.METAL) == match(kinds, places=8, aim=Aim.METAL)
    alike = [kind("a", 5, 5, 5), kind("b", 3, 3, 3)]
    found = match(alike, places=3, aim=Aim.SPREAD)
    assert [s.parts for s in found.sets] == [
        {"a": i, "b": found.sets[i].parts["b"]} for i in range(3)
    ]
    assert found.proven


def test_every_set_comes_within_the_tolerance_of_the_lightest() -> None:
    found = match(drawn(3, 6), places=6, aim=Aim.METAL, tolerance_g=D("0.5"))
    finished = [s.total_g - s.remove_g for s in found.sets]
    assert max(finished) - min(finished) <= D("0.5")
    assert min(s.remove_g for s in found.sets) == 0


def test_a_tolerance_costs_no_metal_it_need_not() -> None:
    wide = match(THREE, places=4, aim=Aim.METAL, tolerance_g=D(8))
    assert (wide.removed_g, wide.proven) == (D(0), True)


def test_stock_may_exceed_the_places() -> None:
    pistons = kind("piston", 450, 470, 451, 452)
    pins = kind("pin", 120, 119, 140)
    found = match([pistons, pins], places=2, aim=Aim.SPREAD)
    well_formed(found, (pistons, pins))
    assert found.spread_g == 0
    assert found.proven


def test_tied_parts_stay_together_and_fixed_ones_in_their_place() -> None:
    kinds = drawn(5, 8, more=2)
    found = match(
        kinds,
        places=8,
        aim=Aim.SPREAD,
        tied=[{"piston": 0, "small": 3}, {"small": 3, "pin": 2}],
        fixed=[Grouping(4, {"piston": 5}), Grouping(6, {"rings": 1, "pin": 7})],
    )
    well_formed(found, kinds)
    holders = [s for s in found.sets if 0 in (s.parts["piston"],) or s.parts["small"] == 3]
    assert len(holders) <= 1
    for s in holders:
        assert (s.parts["piston"], s.parts["small"], s.parts["pin"]) == (0, 3, 2)
    assert found.sets[4].parts["piston"] == 5
    assert (found.sets[6].parts["rings"], found.sets[6].parts["pin"]) == (1, 7)


def test_kinds_tied_throughout_are_matched_as_one() -> None:
    tied = [{"piston": i, "pin": (i + 3) % 8} for i in range(8)]
    kinds = drawn(6, 8)[:2] + drawn(6, 8)[3:4]
    found = match(kinds, places=8, aim=Aim.METAL, tied=tied)
    pairs = sorted(kinds[0].masses_g[i] + kinds[1].masses_g[(i + 3) % 8] for i in range(8))
    smalls = sorted(kinds[2].masses_g, reverse=True)
    opposite = [a + b for a, b in zip(pairs, smalls, strict=True)]
    assert found.removed_g == sum(opposite) - 8 * min(opposite)  # two kinds: opposite sort
    assert found.proven


def test_what_allowances_cannot_give_is_said() -> None:
    pistons = kind("piston", 450, 452, allowance_g=D("0.5"))
    pins = kind("pin", 120, 120, may_cut=False)
    found = match([pistons, pins], places=2, aim=Aim.METAL, tolerance_g=D("0.5"))
    heavy = max(found.sets, key=lambda s: s.total_g)
    assert (heavy.remove_g, heavy.short_g, found.short_g) == (D("1.5"), D("1.0"), D("1.0"))


def test_an_arrangement_that_allowances_can_finish_goes_first() -> None:
    # the least spread (1) would put the metal on a piston that has nothing left to give
    pistons = kind("piston", 10, 13, allowance_g=(D(0), D(9)))
    pins = kind("pin", 5, 9, may_cut=False)
    found = match([pistons, pins], places=2, aim=Aim.SPREAD)
    assert (found.spread_g, found.short_g) == (D(7), D(0))
    assert {s.parts["piston"]: s.parts["pin"] for s in found.sets} == {0: 0, 1: 1}
    free = match([Kind("piston", pistons.masses_g), pins], places=2, aim=Aim.SPREAD)
    assert free.spread_g == 1


def test_exact_decimals_stay_exact() -> None:
    # 0.0001 oz needs 13 places (house.md)
    ounces = kind("piston", "12.7582854068125", "12.7582854068126")
    found = match([ounces], places=2, aim=Aim.SPREAD)
    assert found.spread_g == D("0.0000000000001")
