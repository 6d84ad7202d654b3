"""Mix and match: reckoned here, parts moved with it, and never after a cut."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from records.actions.matching import accept_match
from records.domain.errors import BadValue, Code, Conflict
from records.models import Fitment, Match
from tests.records.actions.bench import BUILD, INES, STREAM, Shop, last_entry, tables, weigh_all
from tests.records.actions.refusal import refused


def _match(shop: Shop, aim: str = "spread", **more: Any) -> Match:
    shop.clock.forward(minutes=1)
    return accept_match(by=INES, build=BUILD, aim=aim, clock=shop.clock, **more)


def _standing() -> dict[str, int | None]:
    rows = Fitment.objects.filter(build=BUILD, end__isnull=True)
    return dict(rows.values_list("part_id", "place"))


@pytest.mark.parametrize("aim", ["spread", "metal"])
def test_the_heaviest_pin_goes_with_the_lightest_piston(aim: str, shop: Shop) -> None:
    # 450 + 121 and 451 + 120 instead of 450 + 120 and 451 + 121 (common practice)
    weigh_all(shop, K1="450.0", K2="451.0", N1="120.0", N2="121.0")
    row = _match(shop, aim)
    assert row.spread_g == 0
    assert row.proven
    standing = _standing()
    assert (standing["K1"], standing["N2"]) == (1, 1)
    assert (standing["K2"], standing["N1"]) == (2, 2)


def test_it_is_entered_with_the_places_left_and_taken(shop: Shop) -> None:
    weigh_all(shop, K1="450.0", K2="451.0", N1="120.0", N2="121.0")
    _match(shop)
    entry = last_entry(STREAM)
    assert (entry.envelope.kind, entry.envelope.actor) == ("sets matched", INES)
    assert tables(entry) == ["match", "fitmentend", "fitmentend", "fitment", "fitment"]


def test_one_that_moves_nothing_is_recorded_too(shop: Shop) -> None:
    weigh_all(shop)
    before = _standing()
    row = _match(shop)
    assert (row.spread_g, _standing()) == (Decimal(0), before)
    assert tables(last_entry(STREAM)) == ["match"]


def test_it_is_refused_after_a_cut(shop: Shop) -> None:
    weigh_all(shop)
    shop.open_cut("K1", "skirt-inside-edge", "die grinder", "all round")
    with refused(Conflict, Code.CONFLICT):
        _match(shop)


def test_it_is_refused_while_a_part_is_unweighed(shop: Shop) -> None:
    shop.check()
    shop.weigh("K1", "450.0", "450.0")
    with refused(Conflict, Code.CONFLICT):
        _match(shop)


def test_another_aim_is_refused(shop: Shop) -> None:
    weigh_all(shop)
    with refused(BadValue, Code.BAD_VALUE, "aim"):
        _match(shop, "beauty")


def test_a_time_ahead_or_before_the_parts_came_is_refused(shop: Shop) -> None:
    weigh_all(shop, K1="450.0", K2="451.0", N1="120.0", N2="121.0")
    now = shop.clock.now()
    with refused(BadValue, Code.IN_THE_FUTURE, "matched_at"):
        _match(shop, matched_at=now + timedelta(minutes=7))
    with refused(Conflict, Code.CONFLICT, "ended_at"):
        _match(shop, matched_at=now - timedelta(days=1))
