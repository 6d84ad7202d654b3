"""The drawn order of a gauge study."""

from __future__ import annotations

from collections import Counter
from itertools import groupby, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from records.domain.errors import BadValue
from records.domain.measure.gauge_plan import planned_order

PARTS, PEOPLE = ("K1", "K2", "K3", "K4"), ("P-02", "P-03")


@given(seed=st.integers(0, 2**31 - 1), trials=st.integers(2, 5))
def test_every_reading_comes_once_and_each_person_takes_all_parts_in_a_turn(
    seed: int, trials: int
) -> None:
    turns = planned_order(PARTS, PEOPLE, trials, seed)
    told = [(turn.part, turn.person, turn.trial) for turn in turns]
    assert sorted(told) == sorted(product(PARTS, PEOPLE, range(1, trials + 1)))
    assert [turn.order for turn in turns] == list(range(1, len(turns) + 1))
    runs = [key for key, _ in groupby((turn.trial, turn.person) for turn in turns)]
    assert len(runs) == trials * len(PEOPLE)


def test_the_same_seed_draws_the_same_order_and_another_another() -> None:
    drawn = {planned_order(PARTS, PEOPLE, 3, seed) for seed in (26, 26, 27, 28)}
    assert len(drawn) == 3


def test_the_draw_can_be_repeated_by_anyone() -> None:
    # by the command sha256sum, sorted: 26/people/1/P-03 1829f76e, 26/people/1/P-02 7c2792c1; then
    # 26/parts/1/P-03/K4 2316d5d0, K3 23ee58d1, K2 b9e806d9, K1 de27d370, and P-02's K1, K3, K2, K4
    first = planned_order(PARTS, PEOPLE, 2, 26)[:8]
    assert [turn.person for turn in first] == ["P-03"] * 4 + ["P-02"] * 4
    assert [turn.part for turn in first] == ["K4", "K3", "K2", "K1", "K1", "K3", "K2", "K4"]


def test_each_part_comes_first_about_as_often_as_any_other() -> None:
    first = Counter(planned_order(PARTS, PEOPLE, 2, seed)[0].part for seed in range(2000))
    # 500 ± 4 standard deviations of a binomial count
    assert all(abs(count - 500) < 4 * (2000 * 0.25 * 0.75) ** 0.5 for count in first.values())


@pytest.mark.parametrize(
    ("changed", "field", "expected"),
    [
        ({"parts": ("K1",)}, "parts", "2 to 30 parts"),
        ({"people": ("P-02",)}, "people", "2 to 10 people"),
        ({"trials": 1}, "trials", "2 to 10"),
        ({"trials": 11}, "trials", "2 to 10"),
        ({"parts": ("K1", "K2", "K1")}, "parts/2", "each name once"),
        ({"people": ("P-02", "P-02")}, "people/1", "each name once"),
        ({"seed": -1}, "seed", "0 to 2147483647"),
        ({"seed": 2**31}, "seed", "0 to 2147483647"),
        (
            {"parts": tuple(map(str, range(30))), "people": tuple("abcdef"), "trials": 3},
            "parts",
            "at most 500 readings in all; take fewer parts",
        ),
    ],
)
def test_a_study_that_cannot_be_planned_is_refused_at_the_field(
    changed: dict[str, object], field: str, expected: str
) -> None:
    given: dict[str, object] = {"parts": PARTS, "people": PEOPLE, "trials": 3, "seed": 1}
    with pytest.raises(BadValue) as caught:
        planned_order(**{**given, **changed})  # type: ignore[arg-type]
    assert (caught.value.field, caught.value.expected) == (field, expected)
