"""Cuts in zones: kept as they happened, and found."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

from records.domain.practice.facts import RemovalFacts
from records.domain.practice.facts_of_parts import IntakeFacts, PartFacts
from records.domain.practice.finding import FindingCode
from records.domain.practice.zones import remaining_g, step_advice, taken_g, zone_findings
from tests.domain.practice.sample import PISTON_ZONES, at, build, part, removal, zone

SKIRT, BOSS, CROWN = PISTON_ZONES
CUT_BEFORE = IntakeFacts(heat="none", cracks=False, earlier_cuts=True, note="")


def codes(*cuts: RemovalFacts, piston: PartFacts | None = None) -> list[FindingCode]:
    piston = piston or part("P-1", "piston")
    facts = build(parts=[piston], removals=cuts)
    return [found.code for found in zone_findings(facts, [piston])]


def cut(*zones: int, id: int = 1, grams: str | None = "0.5", **changes: Any) -> RemovalFacts:
    mass_g = None if grams is None else Decimal(grams)
    return removal(id, "P-1", zones, at(3), mass_g=mass_g, **changes)


def test_a_cut_as_the_zone_asks_finds_nothing() -> None:
    assert codes(cut(SKIRT.id)) == []


def test_a_cut_in_a_forbidden_zone_is_found() -> None:
    assert codes(cut(CROWN.id)) == [FindingCode.FORBIDDEN_ZONE]


def test_a_forbidden_zone_stays_found_in_the_next_build() -> None:
    assert codes(cut(CROWN.id, build="B-0")) == [FindingCode.FORBIDDEN_ZONE]


def test_a_forbidden_zone_is_found_while_the_cut_is_open() -> None:
    assert codes(cut(CROWN.id, grams=None, after=None)) == [FindingCode.FORBIDDEN_ZONE]


def test_a_zone_that_the_spec_has_not_is_found() -> None:
    assert codes(cut(99)) == [FindingCode.OUTSIDE_THE_MAP]


def test_a_method_that_the_zone_does_not_allow_is_found() -> None:
    assert codes(cut(SKIRT.id, method="lathe")) == [FindingCode.METHOD_NOT_ALLOWED]


def test_the_manner_of_an_earlier_builds_cut_was_that_builds_to_judge() -> None:
    assert codes(cut(SKIRT.id, method="lathe", spread="one spot", build="B-0")) == []


def test_one_spot_where_all_round_is_asked_is_found() -> None:
    assert codes(cut(SKIRT.id, spread="one spot")) == [FindingCode.ONE_SPOT]


def test_one_spot_is_right_where_nothing_is_asked() -> None:
    assert codes(cut(BOSS.id, spread="one spot")) == []


def test_one_spot_where_both_sides_are_asked_is_found() -> None:
    both = zone(31, "sides", spread="both sides")
    piston = replace(part("P-1", "piston"), spec=replace(part("P", "piston").spec, zones=(both,)))
    assert codes(cut(31, spread="one spot"), piston=piston) == [FindingCode.ONE_SPOT]
    assert codes(cut(31, spread="both sides"), piston=piston) == []


def test_the_limit_itself_is_inside() -> None:
    assert codes(cut(BOSS.id, grams="1.0")) == []


def test_no_guard_band_is_laid_round_a_limit() -> None:
    assert codes(cut(BOSS.id, grams="1.001", U_g=Decimal("0.5"))) == [FindingCode.OVER_LIMIT]


def test_a_limit_holds_over_the_parts_whole_life() -> None:
    first = cut(BOSS.id, id=1, grams="0.7", build="B-0")
    assert codes(first) == []
    assert codes(first, cut(BOSS.id, id=2, grams="0.4")) == [FindingCode.OVER_LIMIT]


def test_of_several_zones_the_whole_mass_counts_against_each() -> None:
    assert codes(cut(SKIRT.id, BOSS.id, grams="1.2")) == [FindingCode.OVER_LIMIT]
    assert taken_g(SKIRT, [cut(SKIRT.id, BOSS.id, grams="1.2")]) == Decimal("1.2")


def test_a_slightly_negative_mass_counts_nothing() -> None:
    cuts = [cut(BOSS.id, id=1, grams="-0.1"), cut(BOSS.id, id=2, grams="1.0")]
    assert taken_g(BOSS, cuts) == Decimal("1.0")
    assert codes(*cuts) == []


def test_one_more_cut_is_new_evidence() -> None:
    piston = part("P-1", "piston")
    cuts = [cut(BOSS.id, id=id, grams="0.8") for id in (1, 2, 3)]
    before = zone_findings(build(removals=tuple(cuts[:2])), [piston])
    after = zone_findings(build(removals=tuple(cuts)), [piston])
    assert before[0].key != after[0].key


def test_a_cut_where_no_limit_is_known_is_found() -> None:
    open_zone = zone(31, "rim", None, None)
    piston = replace(
        part("P-1", "piston"), spec=replace(part("P", "piston").spec, zones=(open_zone,))
    )
    assert codes(cut(31), piston=piston) == [FindingCode.LIMIT_MISSING]
    ruled = replace(piston, rulings={31: Decimal(1)})
    assert codes(cut(31), piston=ruled) == []
    assert codes(cut(31, grams="1.1"), piston=ruled) == [FindingCode.OVER_LIMIT]


def test_a_part_with_earlier_cuts_waits_for_an_inspectors_word() -> None:
    piston = part("P-1", "piston", intake=CUT_BEFORE)
    assert codes(cut(SKIRT.id), piston=piston) == [FindingCode.ALLOWANCE_UNKNOWN]
    assert remaining_g(SKIRT, piston, ()) is None
    ruled = replace(piston, rulings={SKIRT.id: Decimal("1.5")})
    assert codes(cut(SKIRT.id), piston=ruled) == []
    assert remaining_g(SKIRT, ruled, (cut(SKIRT.id),)) == Decimal("1.0")


def test_a_ruling_is_spent_by_the_cuts_after_it() -> None:
    piston = part("P-1", "piston", rulings={SKIRT.id: Decimal("0.5")}, ruled_at={SKIRT.id: at(4)})
    before = cut(SKIRT.id, id=1, grams="2.0")  # on 3 March
    after = replace(cut(SKIRT.id, id=2, grams="0.5"), cut_at=at(5))
    assert codes(before, after, piston=piston) == []
    assert codes(before, replace(after, mass_g=Decimal("0.6")), piston=piston) == [
        FindingCode.OVER_LIMIT
    ]


def test_a_ruling_does_not_lift_the_zones_own_limit() -> None:
    piston = part("P-1", "piston", rulings={BOSS.id: Decimal(3)})
    assert codes(cut(BOSS.id, grams="2.0"), piston=piston) == [FindingCode.OVER_LIMIT]
    assert remaining_g(BOSS, piston, ()) == Decimal("1.0")


def test_a_zone_that_needs_the_makers_leave_is_found() -> None:
    bore = zone(31, "bore", rule="limited", maker_leave=True)
    piston = replace(part("P-1", "piston"), spec=replace(part("P", "piston").spec, zones=(bore,)))
    assert codes(cut(31), piston=piston) == [FindingCode.MAKER_LEAVE]


def test_nothing_remains_in_a_forbidden_zone() -> None:
    assert remaining_g(CROWN, part("P-1", "piston"), ()) == 0


def test_nothing_is_known_to_remain_without_a_limit() -> None:
    assert remaining_g(zone(31, "rim", None, None), part("P-1", "piston"), ()) is None


def test_a_bite_over_the_step_is_advice_and_no_finding() -> None:
    piston = part("P-1", "piston")
    assert step_advice(cut(SKIRT.id, grams="0.5"), piston) == ""
    assert "the largest step is 0.5 g" in step_advice(cut(SKIRT.id, grams="0.6"), piston)
    assert codes(cut(SKIRT.id, grams="0.6")) == []
