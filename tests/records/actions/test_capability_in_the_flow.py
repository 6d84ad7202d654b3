"""What a scale can't prove is said when a build is opened and when it is weighed on."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from records.actions.builds import Promise
from records.queries.build_facts import facts_of
from records.queries.weighing_warnings import (
    warnings_before,
    warnings_of_opening,
    warnings_of_weighing,
)
from tests.records.actions.bench import BUILD, OTHER_SCALE, SCALE, Shop, book_all, open_two

TIGHT = Promise(set_g=Decimal("0.12"))


def open_race(shop: Shop, promise: Promise) -> None:
    open_two(shop.clock, use="competition", promise=promise)
    book_all(shop.clock)


def test_at_opening_each_promise_that_no_scale_proves_is_said(equipped: Shop) -> None:
    open_race(equipped, TIGHT)
    (told,) = warnings_of_opening(BUILD)
    assert told.startswith("set: no scale of the shop proves 0.12 g at 2 readings and r 1")
    assert "what would do: " in told


def test_at_opening_nothing_is_said_where_all_can_be_proven(equipped: Shop) -> None:
    open_race(equipped, Promise())
    assert warnings_of_opening(BUILD) == ()


def test_at_weighing_the_scale_at_hand_is_spoken_of(equipped: Shop) -> None:
    open_race(equipped, TIGHT)
    equipped.check()
    piston = equipped.weigh("K1", "450.0", "450.0")
    rod = equipped.weigh("R1", "620.0", "620.0")
    (told,) = warnings_of_weighing(BUILD, piston.pk)
    assert told.startswith(f"set: {SCALE} can't prove 0.12 g, at best")
    assert warnings_of_weighing(BUILD, rod.pk) == ()


def test_before_weighing_it_is_said_already(equipped: Shop) -> None:
    open_race(equipped, TIGHT)
    facts = facts_of(BUILD)
    (told,) = warnings_before(facts, "set", "", OTHER_SCALE)
    assert told.startswith(f"set: {OTHER_SCALE} can't prove 0.12 g")
    wider = replace(facts, promise=replace(facts.promise, set_g=Decimal("0.5")))
    assert warnings_before(wider, "set", "", OTHER_SCALE) == ()
