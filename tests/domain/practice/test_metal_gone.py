"""Mass that changed with nothing on record; S-02 reads by 0.1 g with s 0.05 g (invented)."""

from typing import Any

from records.domain.practice.facts import BuildFacts, RemovalFacts, WeighingFacts
from records.domain.practice.finding import FindingCode
from records.domain.practice.metal_gone import metal_findings
from tests.domain.practice.sample import at, build, part, removal, weighing

ROD = part("R-1", "rod")


def masses(*texts: str, **changes: Any) -> tuple[WeighingFacts, ...]:
    """The rod weighed whole once an hour from nine on 2 March; ids from 1."""
    return tuple(
        weighing(i, "R-1", text, text, measured_at=at(2, 8 + i), **changes)
        for i, text in enumerate(texts, start=1)
    )


def found(weighings: tuple[WeighingFacts, ...], *cuts: RemovalFacts) -> list[str]:
    facts: BuildFacts = build(parts=[ROD], weighings=weighings, removals=cuts)
    return [item.key for item in metal_findings(facts, [ROD])]


GONE = [f"{FindingCode.METAL_GONE}:R-1:1:2"]
GAINED = [f"{FindingCode.METAL_GAINED}:R-1:1:2"]


def test_mass_that_fell_with_no_removal_is_found() -> None:
    assert found(masses("620.0", "619.0")) == GONE


def test_mass_that_rose_is_found() -> None:
    assert found(masses("620.0", "621.0")) == GAINED


def test_a_change_within_u_of_the_difference_is_none() -> None:
    # U = 2·√(2·0.05²/2 + 4·0.1²/12) = 0.153 g: two readings each, each with its own zero
    assert found(masses("620.0", "619.9")) == []
    assert found(masses("620.0", "619.8")) == GONE


def test_a_removal_between_them_explains_a_fall() -> None:
    cut = removal(1, "R-1", [21], at(2, 9, 30), before=1, after=2)
    assert found(masses("620.0", "619.0"), cut) == []


def test_a_removal_recorded_late_explains_it_too() -> None:
    cut = removal(1, "R-1", [21], at(2, 9, 30), before=1, after=2, late=True)
    assert found(masses("620.0", "619.0", "619.0"), cut) == []


def test_a_removal_explains_no_rise() -> None:
    cut = removal(1, "R-1", [21], at(2, 9, 30), before=1, after=None)
    assert found(masses("620.0", "621.0"), cut) == GAINED


def test_a_removal_elsewhere_in_time_or_on_another_part_explains_nothing() -> None:
    later = removal(1, "R-1", [21], at(2, 10, 30), before=2, after=3)
    assert found(masses("620.0", "619.0", "618.0"), later) == GONE
    other = removal(2, "R-2", [21], at(2, 9, 30), before=1, after=2)
    assert found(masses("620.0", "619.0"), other) == GONE


def test_a_weighing_that_agrees_with_the_one_before_takes_it_back() -> None:
    assert found(masses("620.0", "619.0", "620.0")) == []


def test_a_weighing_that_agrees_with_the_changed_mass_confirms_it_under_the_same_key() -> None:
    assert found(masses("620.0", "619.0", "619.0")) == GONE


def test_a_second_fall_is_a_second_finding() -> None:
    twice = found(masses("620.0", "619.0", "618.0"))
    assert twice == [*GONE, f"{FindingCode.METAL_GONE}:R-1:2:3"]


def test_the_second_of_two_falls_may_be_taken_back_alone() -> None:
    assert found(masses("620.0", "619.0", "618.0", "619.0")) == GONE


def test_after_a_cut_no_weighing_can_take_it_back() -> None:
    cut = removal(1, "R-1", [21], at(2, 10, 30), before=2, after=3)
    assert found(masses("620.0", "619.0", "618.0", "620.0"), cut)[0] == GONE[0]


def test_slow_steps_within_u_are_none() -> None:
    assert found(masses("620.0", "619.9", "619.8", "619.7")) == []


def test_what_does_not_count_proves_nothing() -> None:
    first, second = masses("620.0", "619.0")
    unchecked = weighing(2, "R-1", "619.0", measured_at=at(9, 9))  # no check that day
    assert found((first, unchecked)) == []
    progress = masses("620.0", "619.0", purpose="progress")
    assert found((first, progress[1])) == []
    assert found((first, second)) == GONE


def test_an_earlier_builds_fall_was_that_builds_to_explain() -> None:
    first, second = masses("620.0", "619.0", build="B-0")
    assert found((first, second)) == []
    here = weighing(2, "R-1", "619.0", measured_at=at(2, 10), build="B-1")
    assert found((first, here)) == GONE


def test_an_inspector_may_explain_it() -> None:
    facts = build(parts=[ROD], weighings=masses("620.0", "619.0"))
    [item] = metal_findings(facts, [ROD])
    assert set(item.closes_by) == {"explained", "scrap"}
    assert "fell by 1.000 g" in item.text
