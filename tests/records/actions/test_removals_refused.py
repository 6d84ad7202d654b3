"""Removals that can't be true are refused, and those entered wrongly are taken back."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from records.actions.reading import ReadingGiven
from records.actions.removals import (
    Cut,
    close_removal,
    correct_removal,
    note_pass,
    open_removal,
)
from records.actions.scales import Step, book_scale
from records.domain.errors import BadValue, Code, Conflict
from records.models import Removal
from records.queries.build_facts import facts_of
from tests.records.actions.bench import (
    BUILD,
    INES,
    OTHER_SCALE,
    RUTH,
    STREAM,
    Shop,
    book,
    last_entry,
    open_two,
    tables,
)
from tests.records.actions.cutting import COOL, EDGE, HOW, cut
from tests.records.actions.refusal import refused


class TestWhatIsRefused:
    def test_a_cut_before_any_weighing(self, shop: Shop) -> None:
        with refused(Conflict, Code.CONFLICT, "before"):
            shop.open_cut(*EDGE)

    def test_a_second_one_while_the_first_is_open(self, shop: Shop) -> None:
        shop.weigh("K1", "450.0")
        shop.open_cut(*EDGE)
        with refused(Conflict, Code.CONFLICT, "part"):
            shop.open_cut(*EDGE)

    def test_a_close_before_the_part_was_weighed_again(self, shop: Shop) -> None:
        shop.weigh("K1", "450.0")
        removal = shop.open_cut(*EDGE)
        with refused(Conflict, Code.CONFLICT, "after"):
            shop.close(removal, COOL)

    def test_a_second_close(self, shop: Shop) -> None:
        shop.weigh("K1", "450.0")
        close = cut(shop, "449.5")
        with refused(Conflict, Code.CONFLICT, "removal"):
            shop.close(close.removal, COOL)

    @pytest.mark.parametrize(
        ("told", "code", "field"),
        [
            (("K9", "skirt-inside-edge", "die grinder", "all round"), "unknown_number", "part"),
            (("K1", "small-end-eye", "die grinder", "all round"), "bad_value", "zones"),
            (("K1", "skirt-inside-edge", "", "all round"), "missing", "method"),
            (("K1", "skirt-inside-edge", "die grinder", "here and there"), "bad_value", "spread"),
        ],
    )
    def test_what_does_not_fit(
        self, told: tuple[str, str, str, str], code: str, field: str, shop: Shop
    ) -> None:
        shop.weigh("K1", "450.0")
        with refused(BadValue, Code(code), field):
            shop.open_cut(*told)

    def test_no_zone(self, shop: Shop) -> None:
        shop.weigh("K1", "450.0")
        nowhere = Cut("K1", [], "die grinder", "all round")
        with refused(BadValue, Code.BAD_VALUE, "zones"):
            open_removal(by=INES, build=BUILD, cut=nowhere, clock=shop.clock)

    def test_a_time_ahead(self, shop: Shop) -> None:
        shop.weigh("K1", "450.0")
        ahead = Cut("K1", *HOW, cut_at=shop.clock.now() + timedelta(minutes=6))
        with refused(BadValue, Code.IN_THE_FUTURE, "cut_at"):
            open_removal(by=INES, build=BUILD, cut=ahead, clock=shop.clock)

    @pytest.mark.parametrize("heat", ["", "blue", "warm"])
    def test_a_colour_that_aluminium_cannot_show(self, heat: str, shop: Shop) -> None:
        shop.weigh("K1", "450.0")
        removal = shop.open_cut(*EDGE)
        shop.weigh("K1", "449.5")
        with refused(BadValue, Code.BAD_VALUE if heat else Code.MISSING, "heat"):
            shop.close(removal, heat)

    def test_a_part_of_another_build(self, shop: Shop) -> None:
        open_two(shop.clock, "26-002")
        book(shop.clock, "K9", "piston", 1, build="26-002")
        with refused(Conflict, Code.CONFLICT, "part"):
            shop.open_cut("K9", "skirt-inside-edge", "die grinder", "all round")

    def test_a_pass_that_is_no_mass_or_of_no_removal(self, shop: Shop) -> None:
        shop.weigh("K1", "450.0")
        removal = shop.open_cut(*EDGE)
        told: dict[str, Any] = {"by": INES, "build": BUILD, "clock": shop.clock}
        with refused(BadValue, Code.BAD_VALUE, "reading/value"):
            note_pass(removal=removal.pk, reading=ReadingGiven("NaN"), **told)
        with refused(BadValue, Code.BAD_VALUE, "what"):
            note_pass(removal=removal.pk, reading=ReadingGiven("1"), what="set", **told)
        with refused(BadValue, Code.UNKNOWN_NUMBER, "removal"):
            note_pass(removal=removal.pk + 1, reading=ReadingGiven("1"), **told)

    def test_a_removal_named_under_another_build(self, shop: Shop) -> None:
        open_two(shop.clock, "26-002")
        shop.weigh("K1", "450.0")
        removal = shop.open_cut(*EDGE)
        with refused(BadValue, Code.UNKNOWN_NUMBER, "removal"):
            close_removal(by=INES, build="26-002", removal=removal.pk, heat=COOL, clock=shop.clock)


class TestACorrection:
    def _take_back(self, shop: Shop, removal: Removal, **more: Any) -> None:
        told = {"by": INES, "reason": "it was K2"} | more
        correct_removal(build=BUILD, removal=removal.pk, clock=shop.clock, **told)

    def test_it_leaves_the_weighings(self, shop: Shop) -> None:
        shop.weigh("K1", "450.0")
        close = cut(shop, "449.5")
        self._take_back(shop, close.removal)
        facts = facts_of(BUILD)
        assert (facts.removals, len(facts.weighings)) == ((), 2)

    def test_an_open_one_that_was_taken_back_no_longer_stands_in_the_way(self, shop: Shop) -> None:
        shop.weigh("K1", "450.0")
        removal = shop.open_cut(*EDGE)
        self._take_back(shop, removal, by=RUTH)
        with refused(Conflict, Code.CONFLICT, "removal"):
            shop.close(removal, COOL)
        assert shop.open_cut(*EDGE).pk != removal.pk

    def test_taking_it_back_brings_up_the_metal_that_is_gone(self, shop: Shop) -> None:
        shop.check()
        shop.weigh("K1", "450.0", "450.0")
        close = cut(shop, "449.0")
        self._take_back(shop, close.removal)
        assert tables(last_entry(STREAM)) == ["removalcorrection", "finding"]

    def test_it_is_refused_twice(self, shop: Shop) -> None:
        shop.weigh("K1", "450.0")
        removal = shop.open_cut(*EDGE)
        self._take_back(shop, removal)
        with refused(Conflict, Code.CONFLICT):
            self._take_back(shop, removal)


def test_a_scale_that_was_never_calibrated_closes_nothing(shop: Shop) -> None:
    steps = [Step("g", Decimal("0.1"))]
    book_scale(by="P-01", number="S-09", capacity_g=Decimal(2000), steps=steps, clock=shop.clock)
    shop.weigh("K1", "450.0", scale="S-09")
    removal = shop.open_cut(*EDGE)
    shop.weigh("K1", "449.5", scale=OTHER_SCALE)
    with refused(BadValue, Code.MISSING, "scale"):
        shop.close(removal, COOL)
