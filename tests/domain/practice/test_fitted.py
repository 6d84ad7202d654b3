"""Which parts are in a build now, and when they were last touched."""

from records.domain.practice.fitted import fitments_now, last_touched, parts_now
from tests.domain.practice.sample import at, build, fitment, part, removal, weighing

PARTS = [part("R-1", "rod"), part("R-2", "rod"), part("P-1", "piston")]
FITTED = (
    fitment(1, "R-1", 1, ended_at=at(4)),
    fitment(2, "R-2", 1, fitted_at=at(3)),
    fitment(3, "P-1", 1),
)


def test_a_part_taken_out_is_no_longer_in_the_build() -> None:
    facts = build(parts=PARTS, fitments=FITTED)
    assert [f.part for f in fitments_now(facts)] == ["R-2", "P-1"]
    assert [p.number for p in parts_now(facts, "rod")] == ["R-2"]


def test_taking_a_part_out_touches_its_kind_alone() -> None:
    facts = build(parts=PARTS, fitments=FITTED)
    assert last_touched(facts) == last_touched(facts, ("rod",)) == at(4)
    assert last_touched(facts, ("piston",)) == at(2, 8)
    assert last_touched(facts, ("damper",)) is None


def test_a_cut_ends_with_the_weighing_after_it() -> None:
    after = weighing(7, "P-1", "449.5", measured_at=at(5, 11))
    cut = removal(1, "P-1", [11], at(5, 9), after=7)
    facts = build(parts=PARTS, fitments=FITTED, weighings=(after,), removals=(cut,))
    assert last_touched(facts, ("piston",)) == at(5, 11)


def test_an_open_cut_counts_from_its_start_and_that_of_a_part_gone_does_not_count() -> None:
    cuts = (
        removal(1, "P-1", [11], at(5, 9), after=None),
        removal(2, "R-1", [21], at(6), after=None),
    )
    facts = build(parts=PARTS, fitments=FITTED, removals=cuts)
    assert last_touched(facts) == at(5, 9)
