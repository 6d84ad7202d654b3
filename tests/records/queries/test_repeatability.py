"""What everyday double weighings say of each person, from the record's own rows."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from records.actions.weighings import correct_weighing
from records.queries.repeatability import RepeatabilityRow, repeatability
from records.queries.viewer import Viewer
from tests.records.actions.bench import BUILD, INES, MARTA, MONDAY, TOMAS, Shop
from tests.records.actions.conftest import clock, equipped, people, shop

__all__ = ["clock", "equipped", "people", "shop"]
pytestmark = pytest.mark.django_db

MANAGER = Viewer(person=MARTA, roles=frozenset({"manager"}))
TECHNICIAN = Viewer(person=TOMAS, roles=frozenset({"technician"}))


def rows_by(viewer: Viewer, shop: Shop) -> dict[tuple[str, str], RepeatabilityRow]:
    found = repeatability(viewer, shop.clock.now())
    return {(row.person, row.what): row for row in found.rows}


def pairs(shop: Shop, readings: list[tuple[str, str]], **given: Any) -> None:
    """Weigh both pistons in turn, two readings a weighing."""
    for index, pair in enumerate(readings):
        shop.weigh("K1" if index % 2 else "K2", *pair, **given)


TEN = [(f"{450 + n % 3 / 10:.1f}", f"{450 + n % 4 / 10:.1f}") for n in range(10)]


def test_readings_within_and_weighings_again_are_pooled_with_their_interval(shop: Shop) -> None:
    pairs(shop, TEN)
    row = rows_by(MANAGER, shop)[INES, "whole"]
    values = np.array(TEN, dtype=float)
    within = np.sqrt((np.diff(values, axis=1) ** 2 / 2).mean())
    assert (row.within.groups, row.within.freedom) == (10, 10)
    assert row.within.s_g == pytest.approx(within)
    # chi-square at 10 of freedom: 3.247 and 20.483 (e-Handbook 1.3.6.7.4)
    assert row.within.low_g == pytest.approx(within * np.sqrt(10 / 20.483), rel=1e-4)
    assert row.within.high_g == pytest.approx(within * np.sqrt(10 / 3.247), rel=1e-4)
    # two parts, five weighings each: eight of freedom, too few to show
    assert (row.again.groups, row.again.freedom, row.again.s_g) == (2, 8, None)


def test_fewer_than_ten_are_counted_and_not_shown(shop: Shop) -> None:
    pairs(shop, TEN[:9])
    row = rows_by(MANAGER, shop)[INES, "whole"]
    assert (row.within.freedom, row.within.s_g, row.within.low_g) == (9, None, None)
    assert not row.wider


def test_the_scales_own_s_stands_beside_and_a_wider_hand_is_said(shop: Shop) -> None:
    pairs(shop, [("450.0", "450.6")] * 10)
    row = rows_by(MANAGER, shop)[INES, "whole"]
    assert row.scale_s_g is not None
    # rounding of d = 0.1 g, √(s² + d²/12)
    assert row.with_step_g == pytest.approx(np.hypot(row.scale_s_g, 0.1 / np.sqrt(12)))
    assert row.within.s_g == pytest.approx(0.6 / np.sqrt(2))
    assert row.wider


def test_what_no_pair_is_made_of_stays_out(shop: Shop) -> None:
    pairs(shop, TEN)
    wrong = shop.weigh("K1", "540.0", "450.0")
    correct_weighing(
        by=INES, build=BUILD, weighing=wrong.pk, reason="digits swapped", clock=shop.clock
    )
    shop.weigh("K1", "440.0", "450.0", purpose="progress")
    shop.weigh("R1", "440.0", "450.0", what="big end", how="by difference")
    shop.weigh("K1", "440.0", "450.0", source="declared", scale=None)
    rows = rows_by(MANAGER, shop)
    assert rows[INES, "whole"].within.freedom == 10
    assert set(rows) == {(INES, "whole"), ("", "whole")}


def test_a_cut_parts_the_weighings_before_from_those_after(shop: Shop) -> None:
    shop.check()
    for _ in range(2):
        shop.weigh("K1", "450.6")
    cut = shop.open_cut("K1", "skirt-inside-edge", "die grinder", "all round")
    for _ in range(2):
        shop.weigh("K1", "450.1")
    shop.close(cut, "not too hot")
    row = rows_by(MANAGER, shop)[INES, "whole"]
    assert (row.again.groups, row.again.freedom) == (2, 2)


def test_a_manager_sees_everyone_and_others_themselves_beside_all(shop: Shop) -> None:
    pairs(shop, TEN)
    pairs(shop, TEN, by=TOMAS)
    assert set(rows_by(MANAGER, shop)) == {(who, "whole") for who in ("", INES, TOMAS)}
    mine = rows_by(TECHNICIAN, shop)
    assert set(mine) == {("", "whole"), (TOMAS, "whole")}
    assert mine["", "whole"].within.freedom == 20


def test_hung_ends_are_a_kind_of_their_own_and_never_held_against_the_scales_s(
    shop: Shop,
) -> None:
    for n in range(10):
        shop.weigh("R1" if n % 2 else "R2", "440.0", "441.0", what="big end")
    row = rows_by(MANAGER, shop)[INES, "big end"]
    assert row.within.s_g == pytest.approx(1 / np.sqrt(2))
    assert not row.wider


def test_it_asks_as_often_for_many_weighings_as_for_few(shop: Shop) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            repeatability(MANAGER, MONDAY)
        return len(queries)

    pairs(shop, TEN[:2])
    few = asked()
    pairs(shop, TEN * 3)
    assert asked() == few


def test_an_empty_shop_has_no_rows(people: Shop) -> None:
    assert repeatability(MANAGER, people.clock.now()).rows == ()
