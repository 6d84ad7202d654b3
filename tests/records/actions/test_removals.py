"""Removals: the mass is worked out from two weighings, and bad news is recorded as it happened."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from records.actions.reading import ReadingGiven
from records.actions.removals import (
    Cut,
    note_pass,
    open_removal,
    record_late_removal,
)
from records.domain.errors import Code, Conflict
from records.models import Finding, RemovalClose, Weighing
from records.queries.build_facts import facts_of
from tests.records.actions.bench import (
    BUILD,
    INES,
    STREAM,
    Shop,
    last_entry,
    tables,
)
from tests.records.actions.cutting import COOL, EDGE, HOW, cut
from tests.records.actions.refusal import refused


class TestARemoval:
    def test_its_mass_is_worked_out_from_the_weighings_that_enclose_it(self, shop: Shop) -> None:
        before = shop.weigh("K1", "450.0", "450.0")
        close = cut(shop, "449.4")
        after = close.after
        # 0.6 g, and the scale's error at 450.0 and 449.4 g is 0 alike
        assert close.mass_g == Decimal("0.6")
        assert close.removal.before == before
        assert after.mean_g == Decimal("449.4")
        # u² of a difference ≥ 2 s²/n + rounding, here (0.03² + 0.1²/12 …) / 1: U about 0.1 g
        assert Decimal("0.05") < close.U_g < Decimal("0.2")

    def test_where_the_scales_error_slopes_the_mass_is_kept_to_what_a_row_holds(
        self, shop: Shop
    ) -> None:
        # E goes from 0 at 500 g to -0.1 at 1000 g, so that 620 g and 619.3 g differ in error
        shop.weigh("R1", "620.0", "620.0")
        removal = shop.open_cut("R1", "small-end-eye", "belt linisher", "all round")
        shop.weigh("R1", "619.3", "619.3")
        close = shop.close(removal, "none")
        # 0.7 g read, less 0.7 × 0.1/500 of slope
        assert close.mass_g == pytest.approx(Decimal("0.70014"))

    def test_opening_and_closing_are_entered_with_their_rows(self, shop: Shop) -> None:
        shop.weigh("K1", "450.0")
        removal = shop.open_cut(*EDGE)
        opened = last_entry(STREAM)
        assert (opened.envelope.kind, opened.envelope.actor) == ("removal opened", INES)
        assert tables(opened) == ["removal", "removalzone"]
        shop.weigh("K1", "449.4")
        shop.close(removal, COOL)
        closed = last_entry(STREAM)
        assert closed.envelope.kind == "removal closed"
        assert tables(closed) == ["removalclose"]

    def test_passes_are_kept_as_progress(self, shop: Shop) -> None:
        shop.weigh("K1", "450.0")
        removal = shop.open_cut(*EDGE)
        for value in ("449.8", "449.6"):
            note_pass(
                by=INES,
                build=BUILD,
                removal=removal.pk,
                reading=ReadingGiven(value),
                clock=shop.clock,
            )
        assert removal.passes.count() == 2
        assert len(facts_of(BUILD).weighings) == 1

    def test_the_weighing_before_the_cut_never_closes_it(self, shop: Shop) -> None:
        before = shop.weigh("K1", "450.0")
        removal = open_removal(by=INES, build=BUILD, cut=Cut("K1", *HOW), clock=shop.clock)
        assert removal.cut_at == before.measured_at
        with refused(Conflict, Code.CONFLICT, "after"):
            shop.close(removal, COOL)

    @pytest.mark.parametrize(
        "given",
        [
            {"purpose": "progress"},
            {"source": "declared", "scale": None},
            {"how": "hung"},
        ],
    )
    def test_what_is_no_evidence_encloses_nothing(self, given: dict[str, Any], shop: Shop) -> None:
        shop.weigh("K1", "450.0", **given)
        with refused(Conflict, Code.CONFLICT, "before"):
            shop.open_cut(*EDGE)

    def test_one_made_hours_ago_is_marked_late(self, shop: Shop) -> None:
        shop.weigh("K1", "450.0")
        at = shop.clock.now() + timedelta(minutes=1)
        shop.clock.forward(hours=2)
        made = Cut("K1", *HOW, cut_at=at)
        removal = open_removal(by=INES, build=BUILD, cut=made, clock=shop.clock)
        assert removal.late


class TestZeroAndLess:
    def test_nothing_off_is_stored(self, shop: Shop) -> None:
        shop.weigh("K1", "450.0", "450.0")
        assert cut(shop, "450.0").mass_g == 0

    def test_slightly_more_within_U_is_stored_as_it_was(self, shop: Shop) -> None:
        shop.weigh("K1", "450.0", "450.0")
        assert cut(shop, "450.1").mass_g == Decimal("-0.1")

    def test_a_gain_beyond_U_is_refused_and_the_weighing_is_kept(self, shop: Shop) -> None:
        shop.weigh("K1", "450.0", "450.0")
        removal = shop.open_cut(*EDGE)
        heavier = shop.weigh("K1", "450.5", "450.5")
        with refused(Conflict, Code.CONFLICT, "after") as caught:
            shop.close(removal, COOL)
        assert "0.5 g heavier after the cut" in str(caught.value)
        assert Weighing.objects.filter(pk=heavier.pk).exists()
        # a weighing that is right closes it
        shop.weigh("K1", "449.5", "449.5")
        assert shop.close(removal, COOL).mass_g == Decimal("0.5")


class TestBadNews:
    def _found(self) -> list[str]:
        return list(Finding.objects.order_by("code").values_list("code", flat=True))

    def test_a_cut_in_a_forbidden_zone_is_recorded_with_its_finding_in_the_same_entry(
        self, shop: Shop
    ) -> None:
        shop.weigh("K1", "450.0", "450.0")
        removal = shop.open_cut("K1", "crown", "die grinder", "all round")
        assert self._found() == ["forbidden_zone"]
        assert tables(last_entry(STREAM)) == ["removal", "removalzone", "finding"]
        shop.weigh("K1", "449.4", "449.4")
        assert shop.close(removal, COOL).mass_g == Decimal("0.6")

    def test_a_wrong_method_in_one_spot_is_recorded_with_both_findings(self, shop: Shop) -> None:
        shop.weigh("K1", "450.0", "450.0")
        removal = shop.open_cut("K1", "skirt-inside-edge", "drill", "one spot")
        shop.weigh("K1", "449.4", "449.4")
        shop.close(removal, COOL)
        assert self._found() == ["method_not_allowed", "one_spot"]

    def test_one_over_the_zones_limit_is_recorded_with_its_finding(self, shop: Shop) -> None:
        # 4.0 g is the limit of the inside edge of a skirt (common practice, no source)
        shop.weigh("K1", "450.0", "450.0")
        cut(shop, "446.0")
        assert self._found() == []
        cut(shop, "445.5")
        assert self._found() == ["over_limit"]

    def test_of_several_zones_the_whole_mass_counts_against_each(self, shop: Shop) -> None:
        # pin boss 1.0 g, skirt edge 4.0 g: 1.5 g is over the first alone
        shop.weigh("K1", "450.0", "450.0")
        shop.clock.forward(minutes=1)
        both = Cut("K1", ["skirt-inside-edge", "pin-boss"], "die grinder", "all round")
        removal = open_removal(by=INES, build=BUILD, cut=both, clock=shop.clock)
        shop.weigh("K1", "448.5", "448.5")
        shop.close(removal, COOL)
        assert self._found() == ["over_limit"]
        assert "pin boss" in Finding.objects.get().text

    @pytest.mark.parametrize(("heat", "code"), [("straw", "heat_seen"), ("dark blue", "blued")])
    def test_heat_seen_is_recorded_with_its_finding(self, heat: str, code: str, shop: Shop) -> None:
        shop.weigh("R1", "620.0", "620.0")
        removal = shop.open_cut("R1", "small-end-eye", "belt linisher", "all round")
        shop.weigh("R1", "619.5", "619.5")
        shop.close(removal, heat)
        assert self._found() == [code]

    def test_metal_gone_without_a_record_is_found_at_the_weighing(self, shop: Shop) -> None:
        shop.check()
        shop.weigh("K1", "450.0", "450.0")
        shop.weigh("K1", "449.0", "449.0")
        assert self._found() == ["metal_gone"]
        assert tables(last_entry(STREAM)) == ["weighing", "reading", "reading", "finding"]


class TestALateRemoval:
    def _between(self, shop: Shop) -> tuple[Weighing, Weighing]:
        shop.check()
        return shop.weigh("K1", "450.0", "450.0"), shop.weigh("K1", "449.0", "449.0")

    def _record(self, shop: Shop, before: Weighing, after: Weighing, **cut: Any) -> RemovalClose:
        return record_late_removal(
            by=INES,
            build=BUILD,
            cut=Cut("K1", *HOW, **cut),
            before=before.pk,
            after=after.pk,
            heat=COOL,
            clock=shop.clock,
        )

    def test_it_is_marked_and_explains_the_metal_that_was_gone(self, shop: Shop) -> None:
        before, after = self._between(shop)
        close = self._record(shop, before, after)
        assert close.removal.late
        assert close.mass_g == Decimal("1.0")
        assert last_entry(STREAM).envelope.kind == "late removal recorded"

    def test_a_second_one_between_the_same_weighings_is_refused(self, shop: Shop) -> None:
        before, after = self._between(shop)
        self._record(shop, before, after)
        with refused(Conflict, Code.CONFLICT, "before") as caught:
            self._record(shop, before, after)
        assert "all their zones" in str(caught.value)

    def test_one_that_would_be_a_gain_is_refused_whole(self, shop: Shop) -> None:
        before, after = shop.weigh("K1", "449.0"), shop.weigh("K1", "450.0")
        with refused(Conflict, Code.CONFLICT, "after"):
            self._record(shop, before, after)

    def test_weighings_the_wrong_way_round_are_refused(self, shop: Shop) -> None:
        before, after = self._between(shop)
        with refused(Conflict, Code.CONFLICT):
            self._record(shop, after, before)

    def test_a_weighing_of_another_part_is_refused(self, shop: Shop) -> None:
        before, _ = self._between(shop)
        other = shop.weigh("K2", "450.0")
        with refused(Conflict, Code.CONFLICT, "after"):
            self._record(shop, before, other)
