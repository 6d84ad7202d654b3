"""What is cut next, how much and where; what the light one costs the others."""

from dataclasses import replace
from decimal import Decimal

import pytest

from records.domain.practice.facts import BuildFacts
from records.domain.practice.facts_of_parts import IntakeFacts, PartFacts
from records.domain.practice.planning import PlacePlan, allowances, plans
from records.domain.practice.promised import BIG_ENDS, SETS, WHOLE_RODS
from tests.domain.practice.sample import at, build, part, promise, removal, spec, zone
from tests.domain.practice.sample_sheet import cut_to, sheet_build

CUT_BEFORE = IntakeFacts(heat="none", cracks=False, earlier_cuts=True, note="")


def place(facts: BuildFacts, kind: str, number: str) -> PlacePlan:
    return next(p for p in plans(facts).of(kind).places if p.part == number)


def with_part(facts: BuildFacts, changed: PartFacts) -> BuildFacts:
    return replace(facts, parts={**facts.parts, changed.number: changed})


class TestTheSheet:
    def test_ra06_is_the_light_one_that_costs_all_others_metal(self) -> None:
        # the issue, Real input: "another rod at 430.95 g or more would save 20.6 of 29.3 g"
        note = plans(sheet_build()).of(BIG_ENDS).note
        assert note == (
            "rod RA06's big end at 428.0 g is the light one that costs all others metal: "
            "another at 430.95 g or more would save 20.6 of 29.3 g"
        )

    def test_sets_come_first_and_no_single_one_costs_the_rest(self) -> None:
        plan = plans(sheet_build())
        assert plan.step == SETS
        assert (plan.of(SETS).target_place, plan.of(SETS).note) == (4, "")

    def test_the_lightest_is_not_cut(self) -> None:
        lightest = place(sheet_build(), SETS, "PA04").plan
        assert lightest.next_cuts == ()
        assert "not cut in this step" in lightest.note

    def test_a_piston_is_cut_for_its_set_never_more_than_the_zones_step(self) -> None:
        heavy = place(sheet_build(), SETS, "PA05").plan
        # 606.955 - 601.8 over the lightest, less the promised 1.0 g
        assert heavy.excess_g == pytest.approx(Decimal("4.155"), abs=Decimal("0.001"))
        assert {c.zone for c in heavy.next_cuts} == {"skirt inside edge", "pin boss"}
        assert all(c.mass_g <= Decimal("0.5") for c in heavy.next_cuts)
        assert heavy.undershoot_chance < 0.05

    def test_big_ends_are_cut_near_the_bolts_and_the_lever_is_known(self) -> None:
        (cut,) = place(sheet_build(), BIG_ENDS, "RA02").plan.next_cuts
        # reckoning.md, Rod levers: δ = 2 g at x = 150 of L = 152.4 mm
        assert (cut.zone, cut.mass_g) == ("beside the bolts", Decimal("2.00"))
        assert cut.big_end_change_g == pytest.approx(-2 * 150 / 152.4)
        assert cut.small_end_change_g == pytest.approx(-2 * 2.4 / 152.4)

    def test_a_cut_past_the_big_ends_centre_makes_the_small_end_heavier(self) -> None:
        # Only the cap pad at 190 mm has a number left: reckoning.md, Rod levers.
        pad = zone(22, "cap pad", "6.0", "2.0", x_mm=Decimal(190))
        only = replace(spec("rod"), zones=(pad,))
        facts = with_part(sheet_build(), part("RA02", "rod", spec=only))
        (cut,) = place(facts, BIG_ENDS, "RA02").plan.next_cuts
        assert cut.small_end_change_g is not None
        assert cut.small_end_change_g == pytest.approx(2 * (190 - 152.4) / 152.4)

    def test_whole_rods_wait_for_the_big_ends(self) -> None:
        step = plans(sheet_build()).of(WHOLE_RODS)
        assert step.places == ()
        assert step.waits_for.startswith("the big ends first")

    def test_whole_rods_are_cut_near_the_small_end_once_big_ends_match(self) -> None:
        facts = sheet_build(promise=replace(promise("1.0"), big_end_g=Decimal(7)))
        (cut, pad) = place(facts, WHOLE_RODS, "RA02").plan.next_cuts
        assert (cut.zone, pad.zone) == ("small-end eye", "small-end pad")

    def test_without_a_rod_length_nothing_is_planned_on_rods(self) -> None:
        step = plans(sheet_build(rod_length_mm=None)).of(BIG_ENDS)
        assert step.places == ()
        assert "centre distance" in step.waits_for

    def test_a_guard_band_is_taken_off_the_tolerance(self) -> None:
        step = plans(sheet_build(promise=promise("1.0", "1"))).of(SETS)
        # U of two sets in three parts, read twice: 2·√(3·(0.05² + 4·0.1²/12))
        assert float(step.left_g) == pytest.approx(
            1 - 2 * (3 * (0.05**2 + 0.04 / 12)) ** 0.5, abs=2e-4
        )

    def test_it_plans_again_after_a_cut(self) -> None:
        cut = cut_to(sheet_build(), "PA05", "445.9", at(3))
        assert place(cut, SETS, "PA05").plan.excess_g < Decimal("0.6")


class TestWhatAZoneMayStillGive:
    def test_all_its_own_cuts_count_whole_against_each_zone(self) -> None:
        facts = build(
            parts=(part("P-1", "piston"),),
            removals=(
                removal(1, "P-1", (11, 12), at(3), mass_g=Decimal("0.4")),
                removal(2, "P-1", (11,), at(4), mass_g=Decimal("0.5"), build="B-0"),
                removal(3, "P-2", (11,), at(4), mass_g=Decimal("0.9")),
            ),
        )
        zones, notes = allowances(facts, facts.parts["P-1"])
        left = {z.key: z.remaining_g for z in zones}
        assert left == {"skirt inside edge": Decimal("3.1"), "pin boss": Decimal("0.6")}
        assert notes == []

    def test_of_a_part_cut_before_it_came_nothing_is_known(self) -> None:
        facts = with_part(sheet_build(), part("PA05", "piston", intake=CUT_BEFORE))
        found = place(facts, SETS, "PA05")
        assert found.plan.next_cuts == ()
        assert "unknown until an inspector says" in found.notes[0]

    def test_until_an_inspector_rules(self) -> None:
        ruled = part("PA05", "piston", intake=CUT_BEFORE, rulings={11: Decimal("0.3")})
        (cut,) = place(with_part(sheet_build(), ruled), SETS, "PA05").plan.next_cuts
        assert (cut.zone, cut.mass_g) == ("skirt inside edge", Decimal("0.30"))

    def test_a_zone_that_needs_the_makers_leave_gives_nothing(self) -> None:
        leave = replace(spec("piston"), zones=(zone(11, "pin bore taper", maker_leave=True),))
        zones, notes = allowances(build(), part("P-1", "piston", spec=leave))
        assert zones == ()
        assert "only with the maker's leave" in notes[0]

    def test_a_zone_without_a_number_gives_nothing_and_says_so(self) -> None:
        bare = replace(spec("piston"), zones=(zone(11, "skirt", None, None),))
        facts = with_part(sheet_build(), part("PA05", "piston", spec=bare))
        found = place(facts, SETS, "PA05").plan
        assert found.next_cuts == ()
        assert "a limit is missing" in found.note

    def test_a_part_that_cannot_reach_the_target_says_the_cheaper_way_out(self) -> None:
        small = replace(spec("piston"), zones=(zone(11, "skirt", "1.0"),))
        facts = with_part(sheet_build(), part("PA05", "piston", spec=small))
        found = place(facts, SETS, "PA05").plan
        assert found.short_g == Decimal("3.16")
        assert "in place of set 4" in found.note
