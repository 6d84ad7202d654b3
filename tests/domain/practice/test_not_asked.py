"""What is still to be asked, entered or weighed again."""

from dataclasses import replace

from records.domain.practice.facts import BuildFacts
from records.domain.practice.finding import FindingCode
from records.domain.practice.fitted import parts_now
from records.domain.practice.not_asked import not_asked
from tests.domain.practice.finished import finished, with_part, without
from tests.domain.practice.sample import at, removal


def keys(facts: BuildFacts) -> list[str]:
    found = not_asked(facts, parts_now(facts))
    assert not [item for item in found if item.can_be_disposed]
    return [item.key for item in found]


def test_a_finished_build_lacks_nothing() -> None:
    assert keys(finished()) == []


def test_intake_not_asked_is_found_once_for_a_kind() -> None:
    assert keys(with_part(finished(), "R-2", intake=None)) == ["intake_not_asked::rod"]


def test_a_part_taken_out_is_not_asked_about() -> None:
    assert keys(without(with_part(finished(), "R-2", intake=None), "R-2")) == []


def test_details_are_asked_before_release() -> None:
    bare = replace(finished(), rod_length_mm=None, stroke_mm=None, crank_in_job=None)
    wanted = ["rod_length_mm", "stroke_mm", "crank_in_job"]
    assert keys(bare) == [f"detail_missing::{key}" for key in wanted]


def test_a_crank_elsewhere_needs_a_reason() -> None:
    assert keys(finished(crank_in_job=False)) == ["detail_missing::no_crank_reason"]
    assert keys(finished(crank_in_job=False, no_crank_reason="with the customer")) == []


def test_an_open_removal_is_found_in_whichever_build_it_was_begun() -> None:
    cut = removal(5, "R-1", [21], at(3), after=None, build="B-0")
    assert keys(finished(removals=(cut,))) == [f"{FindingCode.REMOVAL_OPEN}:R-1:5"]
    assert keys(finished(removals=(replace(cut, after=1),))) == []
