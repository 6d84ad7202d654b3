"""What judgements and the evidence behind them raise."""

from dataclasses import replace
from decimal import Decimal

from records.domain.practice.evidence import Evidence
from records.domain.practice.facts import BuildFacts
from records.domain.practice.finding import Finding, FindingCode
from records.domain.practice.judgement import judgements
from records.domain.practice.matched import match_findings
from tests.domain.practice.finished import finished, for_competition, without
from tests.domain.practice.sample import (
    STEPS,
    at,
    check,
    promise,
    removal,
    scale,
    weighing,
)
from tests.domain.practice.sample_sheet import with_weighings


def found(facts: BuildFacts) -> list[Finding]:
    evidence = Evidence(facts)
    return list(match_findings(judgements(facts, evidence), evidence))


def codes(facts: BuildFacts) -> list[FindingCode]:
    return [item.code for item in found(facts)]


def heavier(mass: str, what: str = "big end", number: str = "R-2") -> BuildFacts:
    more = weighing(80, number, mass, mass, what=what, measured_at=at(4))
    return with_weighings(finished(), more)


def test_a_build_weighed_alike_raises_nothing() -> None:
    assert codes(finished()) == []
    assert codes(for_competition()) == []


def test_a_big_end_within_the_tolerance_passes_and_beyond_it_is_found() -> None:
    assert codes(heavier("447.3")) == []
    [item] = found(heavier("449.0"))
    assert (item.code, item.part, item.place) == (FindingCode.MATCH_FAILED, "R-2", 2)
    assert "concession" in item.closes_by


def test_a_conditional_fail_is_a_finding_and_a_conditional_pass_is_none() -> None:
    guarded = replace(heavier("447.3"), promise=promise("1.0", "1"))
    assert codes(guarded) == []  # 0.9 g of 1.0 g: inside, but not by U
    outside = replace(heavier("447.5"), promise=promise("1.0", "1"))
    [item] = found(outside)
    assert item.code is FindingCode.MATCH_FAILED
    assert "conditional fail" in item.text


def test_a_finding_about_a_set_names_its_place_and_no_part() -> None:
    [item] = found(heavier("452.0", "whole", "P-2"))
    assert (item.code, item.part, item.place) == (FindingCode.MATCH_FAILED, None, 2)
    assert "scrap" not in item.closes_by


def test_a_new_weighing_makes_a_new_key() -> None:
    before = found(heavier("449.0"))[0].key
    again = weighing(81, "R-2", "449.0", "449.0", what="big end", measured_at=at(5))
    assert found(with_weighings(heavier("449.0"), again))[0].key != before


def test_no_acceptance_zone_is_one_finding_for_the_kind() -> None:
    narrow = replace(finished(), promise=promise("1.0", "1", big_end_g=Decimal("0.05")))
    assert codes(narrow) == [FindingCode.NO_ACCEPTANCE_ZONE]
    assert "big end" in found(narrow)[0].text


def test_evidence_not_weighed_since_the_cut_is_missing() -> None:
    cut = removal(1, "R-1", [23], at(3), before=6, after=70, mass_g=Decimal("0.0"))
    after = weighing(70, "R-1", "620.0", "620.0", measured_at=at(3, 10))
    facts = with_weighings(finished(removals=(cut,)), after)
    [item] = found(facts)
    assert item.code is FindingCode.EVIDENCE_MISSING
    assert "rod R-1, big end not weighed since its cut" in item.text
    hung = weighing(71, "R-1", "446.4", "446.4", what="big end", measured_at=at(3, 11))
    assert codes(with_weighings(facts, hung)) == []


def test_a_weighing_that_does_not_count_is_missing_and_says_why() -> None:
    failed = (*scale().checks, check(99, at(2, 18), passed=False))
    unfit = scale(checks=tuple(sorted(failed, key=lambda c: c.measured_at)))
    items = found(finished(scales={"S-02": unfit}))
    assert {item.code for item in items} == {FindingCode.EVIDENCE_MISSING}
    assert "throws doubt" in items[0].text


def test_a_part_that_is_not_fitted_is_missing() -> None:
    texts = [item.text for item in found(without(finished(), "P-3"))]
    assert "set: place 3: no piston fitted" in texts


def test_competition_requires_sets_weighed_together() -> None:
    apart = replace(finished(), use="competition")
    [item] = found(apart)
    assert item.code is FindingCode.SETS_WEIGHED_APART
    assert not item.can_be_disposed


def test_a_step_too_coarse_is_one_finding_for_each_kind_it_served() -> None:
    coarse = replace(STEPS[0], step=Decimal("0.2"), step_g=Decimal("0.2"))
    facts = finished(scales={"S-02": scale(steps=(coarse,))})
    assert codes(facts) == [FindingCode.STEP_TOO_COARSE] * 3


def test_fewer_readings_than_the_rule_asks_is_found() -> None:
    once = weighing(80, "P-1", "450.0", measured_at=at(4))
    [item] = found(with_weighings(finished(), once))
    assert item.code is FindingCode.TOO_FEW_READINGS
    hung = replace(finished(), promise=promise("1.0", hangings=3))
    assert codes(hung) == [FindingCode.TOO_FEW_READINGS]
