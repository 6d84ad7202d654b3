"""Small matchings with ties, fixed places, stock and allowances, against every arrangement."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from records.domain.balance.matching import Aim, Grouping, Kind, match
from records.domain.errors import BadValue
from tests.domain.balance import brute_force

whole_grams = st.integers(0, 30).map(Decimal)


@st.composite
def questions(draw: st.DrawFn) -> tuple[list[Kind], dict[str, Any]]:
    places = draw(st.integers(2, 3))
    kinds = [draw(kinds_of(name, places)) for name in "abc"[: draw(st.integers(2, 3))]]
    names = st.sampled_from([k.name for k in kinds])
    index = st.integers(0, places - 1)
    ties = st.dictionaries(names, index, min_size=2)
    fixes = st.builds(Grouping, index, st.dictionaries(names, index, min_size=1, max_size=1))
    return kinds, {
        "places": places,
        "aim": draw(st.sampled_from(Aim)),
        "tolerance_g": draw(st.sampled_from([Decimal(0), Decimal(3)])),
        "tied": draw(st.lists(ties, max_size=1)),
        "fixed": draw(st.lists(fixes, max_size=1)),
    }


@st.composite
def kinds_of(draw: st.DrawFn, name: str, places: int) -> Kind:
    count = places + draw(st.integers(0, 1))
    some = st.integers(0, 9).map(Decimal)
    each = st.lists(some, min_size=count, max_size=count).map(tuple)
    masses_g = draw(st.lists(whole_grams, min_size=count, max_size=count))
    allowance_g = draw(st.one_of(st.none(), some, each))
    return Kind(name, tuple(masses_g), may_cut=draw(st.booleans()), allowance_g=allowance_g)


@settings(max_examples=60, deadline=None)
@given(questions())
def test_no_arrangement_is_better(question: tuple[list[Kind], dict[str, Any]]) -> None:
    kinds, asked = question
    least = brute_force.best(kinds, **asked)
    try:
        found = match(kinds, **asked)
    except BadValue:
        assert least is None
        return
    spread = asked["aim"] is Aim.SPREAD
    value = found.spread_g if spread else found.removed_g
    assert (found.short_g > 0, value) == least
    assert (found.bound_spread_g if spread else found.bound_removed_g) <= value
    assert found.proven
    for group in asked["tied"]:
        assert brute_force.together([dict(s.parts) for s in found.sets], group)
    for at in asked["fixed"]:
        assert at.parts.items() <= found.sets[at.place].parts.items()


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 99), st.integers(0, 99)), min_size=2, max_size=16))
def test_two_kinds_are_never_worse_than_opposite_sort(masses: list[tuple[int, int]]) -> None:
    ones, others = zip(*masses, strict=True)
    kinds = [Kind("a", tuple(map(Decimal, ones))), Kind("b", tuple(map(Decimal, others)))]
    sums = [a + b for a, b in zip(sorted(ones), sorted(others, reverse=True), strict=True)]
    spread = match(kinds, places=len(masses), aim=Aim.SPREAD)
    metal = match(kinds, places=len(masses), aim=Aim.METAL)
    assert (spread.spread_g, spread.proven) == (max(sums) - min(sums), True)
    assert (metal.removed_g, metal.proven) == (sum(sums) - len(sums) * min(sums), True)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(*[st.integers(0, 60)] * 3), min_size=4, max_size=4))
def test_bounds_of_four_sets_hold(masses: list[tuple[int, int, int]]) -> None:
    kinds = [
        Kind(name, tuple(map(Decimal, of_kind)))
        for name, of_kind in zip("abc", zip(*masses, strict=True), strict=True)
    ]
    for aim in Aim:
        least = brute_force.best([Kind("a", kinds[0].masses_g), *kinds[1:]], places=4, aim=aim)
        found = match(kinds, places=4, aim=aim)
        value = found.spread_g if aim is Aim.SPREAD else found.removed_g
        assert (False, value) == least
        assert (found.bound_spread_g if aim is Aim.SPREAD else found.bound_removed_g) <= value
