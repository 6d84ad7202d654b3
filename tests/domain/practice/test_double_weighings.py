"""Everyday double weighings pooled by person, kind of work and scale."""

from __future__ import annotations

import random
import tracemalloc
from collections.abc import Iterator
from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from records.domain.practice.double_weighings import Pools, Seen, Work, pooled

DAY = date(2026, 3, 2)
INES = Work("P-02", "whole", "S-02")
ONE = Seen(1, "K1", "whole", "S-02", 1, "P-02", None, DAY, 450.0)


def weighing(number: int, *grams: float, **changed: object) -> list[Seen]:
    return [replace(ONE, weighing=number, grams=g, **changed) for g in grams]  # type: ignore[arg-type]


def test_readings_within_a_weighing_and_weighings_made_again_are_two_pools() -> None:
    seen = [*weighing(1, 450.0, 450.2), *weighing(2, 450.4, 450.4)]
    pools = pooled(seen)[INES]
    # within: (450.0, 450.2) gives s² 0.02, (450.4, 450.4) gives 0; again: 450.0, 450.4 gives 0.08
    assert (pools.within.groups, pools.within.freedom) == (2, 2)
    assert pools.within.s_g == pytest.approx(0.1)
    assert (pools.again.groups, pools.again.freedom) == (1, 1)
    assert pools.again.s_g == pytest.approx(np.sqrt(0.08))


@pytest.mark.parametrize(
    "changed",
    [
        {"part": "K2"},
        {"what": "big end"},
        {"scale": "S-03"},
        {"calibration": 2},
        {"person": "P-03"},
        {"last_cut": 7},
        {"day": date(2026, 3, 3)},
    ],
)
def test_what_isnt_the_same_thing_weighed_again_makes_no_pair(changed: dict[str, object]) -> None:
    pools = pooled([*weighing(1, 450.0), *weighing(2, 450.4, **changed)])
    assert pools == {}


def test_a_set_weighed_again_makes_no_pair_but_its_readings_do() -> None:
    seen = [
        *weighing(1, 950.0, 950.1, part=None, what="set"),
        *weighing(2, 955.0, 955.1, part=None, what="set"),
    ]
    pools = pooled(seen)[Work("P-02", "set", "S-02")]
    assert (pools.within.freedom, pools.again.freedom) == (2, 0)


def test_three_weighings_of_one_part_are_one_group_of_three() -> None:
    seen = [*weighing(1, 450.0), *weighing(2, 450.4), *weighing(3, 450.2)]
    pools = pooled(seen)[INES]
    assert (pools.again.groups, pools.again.freedom) == (1, 2)
    assert pools.again.s_g == pytest.approx(np.std([450.0, 450.4, 450.2], ddof=1))


def many(parts: int) -> Iterator[Seen]:
    chance = random.Random(1)
    for part in range(parts):
        for again in (0, 1):
            for _ in (0, 1):
                grams = round(450 + part % 50 + chance.gauss(0, 0.06), 2)
                yield Seen(
                    2 * part + again, f"K{part}", "whole", "S-02", 1, "P-02", None, DAY, grams
                )


def test_it_finds_the_scatter_that_was_put_in() -> None:
    pools = pooled(many(2000))[INES]
    assert (pools.within.freedom, pools.again.freedom) == (4000, 2000)
    # ± 4 standard deviations of s: σ/√(2ν)
    assert pools.within.s_g == pytest.approx(0.06, abs=4 * 0.06 / np.sqrt(8000))
    assert pools.again.s_g == pytest.approx(0.06, abs=4 * 0.06 / np.sqrt(4000))


def peak(parts: int) -> int:
    tracemalloc.start()
    pooled(many(parts))
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return most


def test_ten_times_the_readings_need_no_more_memory() -> None:
    peak(10)  # what is set up once
    assert peak(5000) < 1.5 * peak(500) + 20_000


def test_nothing_gives_nothing() -> None:
    assert pooled([]) == {}
    assert Pools().within.s_g == 0
