"""Removals: the mass is worked out from two weighings, and bad news is recorded as it happened."""

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
    record_late_removal,
)
from records.domain.errors import BadValue, Code, Conflict
from records.models import Finding, Removal, RemovalClose, Weighing
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
from tests.records.actions.refusal import refused

COOL = "not too hot"
EDGE = ("K1", "skirt-inside-edge", "die grinder", "all round")


def cut(shop: Shop, after_g: str, zone: str = EDGE[1], **heat: Any) -> RemovalClose:
    """Cut K1 and close with a weighing of this mass."""
    removal = shop.open_cut("K1", zone, "die grinder", "all round")
    shop.weigh("K1", after_g, after_g)
    return shop.close(removal, heat.get("heat", COOL))


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
        removal = open_removal(by=INES, build=BUILD, cut=Cut("K1", *_rest()), clock=shop.clock)
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
        made = Cut("K1", *_rest(), cut_at=at)
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
            cut=Cut("K1", *_rest(), **cut),
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
        ahead = Cut("K1", *_rest(), cut_at=shop.clock.now() + timedelta(minutes=6))
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
    from records.actions.scales import Step, book_scale

    steps = [Step("g", Decimal("0.1"))]
    book_scale(by="P-01", number="S-09", capacity_g=Decimal(2000), steps=steps, clock=shop.clock)
    shop.weigh("K1", "450.0", scale="S-09")
    removal = shop.open_cut(*EDGE)
    shop.weigh("K1", "449.5", scale=OTHER_SCALE)
    with refused(BadValue, Code.MISSING, "scale"):
        shop.close(removal, COOL)


def _rest() -> tuple[list[str], str, str]:
    return [EDGE[1]], EDGE[2], EDGE[3]
