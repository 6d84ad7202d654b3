"""Which weighing speaks for a mass after which cut."""

from decimal import Decimal

from records.domain.practice.evidence import Evidence
from tests.domain.practice.sample import (
    at,
    build,
    check,
    fitment,
    part,
    removal,
    scale,
    set_weighing,
    weighing,
)
from tests.domain.practice.sample_sheet import cut_to, with_weighings

ROD = build(
    "single",
    parts=(part("R-1", "rod"),),
    fitments=(fitment(1, "R-1", 1),),
    weighings=(
        weighing(1, "R-1", "430.0", "430.1", what="big end", measured_at=at(2, 9)),
        weighing(2, "R-1", "606.0", "606.0", measured_at=at(2, 10)),
    ),
)
SET = build(
    "single",
    parts=(
        part("P-1", "piston"),
        part("N-1", "pin"),
        part("L-1", "pin locks"),
        part("G-1", "ring set"),
    ),
    fitments=(
        fitment(1, "P-1", 1),
        fitment(2, "N-1", 1),
        fitment(3, "L-1", None),
        fitment(4, "G-1", 1),
    ),
    weighings=(weighing(1, "P-1", "447.0", "447.0"),),
)
MEMBERS = ("P-1", "N-1", "L-1", "G-1")


class TestARod:
    def test_never_cut_it_keeps_its_first_weighings(self) -> None:
        known = Evidence(ROD)
        newest = [known.newest("R-1", what) for what in ("big end", "whole")]
        assert [w.id for w in newest if w] == [1, 2]

    def test_after_its_own_cut_each_end_is_weighed_again(self) -> None:
        known = Evidence(cut_to(ROD, "R-1", "605.2", at(3), zones=(21,)))
        whole = known.newest("R-1", "whole")
        assert whole is not None
        assert whole.id == 3
        assert known.newest("R-1", "big end") is None
        why = known.why_missing("R-1", "big end")
        assert why == "rod R-1, big end not weighed since its cut of 2026-03-03; weigh it again"

    def test_another_rods_cut_takes_nothing_from_it(self) -> None:
        other = removal(1, "R-2", (21,), at(3))
        known = Evidence(build(parts=(part("R-1", "rod"),), removals=(other,)))
        assert known.open_cut("R-1") is None

    def test_while_a_cut_is_open_nothing_speaks_for_it(self) -> None:
        cut = removal(1, "R-1", (21,), at(3), after=None, mass_g=None, U_g=None)
        facts = build(parts=ROD.parts, weighings=ROD.weighings, removals=(cut,))
        later = with_weighings(
            facts, weighing(3, "R-1", "429.0", "429.0", what="big end", measured_at=at(3, 11))
        )
        known = Evidence(later)
        assert known.newest("R-1", "big end") is None
        assert known.why_missing("R-1", "whole") == (
            "rod R-1: a cut is open; weigh the part whole to close it"
        )

    def test_the_newest_is_taken_and_the_first_kept_as_before(self) -> None:
        again = with_weighings(ROD, weighing(3, "R-1", "606.2", "606.2", measured_at=at(4)))
        known = Evidence(again)
        newest, first = known.newest_mass("R-1", "whole"), known.mass(known.first("R-1", "whole"))
        assert newest is not None
        assert first is not None
        assert (newest.mass_g, first.mass_g) == (Decimal("606.2"), Decimal("606.0"))

    def test_what_does_not_count_is_not_taken_and_says_why(self) -> None:
        bare = scale(checks=(check(1, at(5, 8)),))
        known = Evidence(
            build("single", parts=ROD.parts, weighings=ROD.weighings, scales={"S-02": bare})
        )
        assert known.newest("R-1", "whole") is None
        assert "expected a passed check on 2026-03-02" in known.why_missing("R-1", "whole")

    def test_a_weighing_of_an_earlier_build_is_not_of_this_one(self) -> None:
        old = weighing(3, "R-1", "606.9", "606.9", build="B-0", measured_at=at(5))
        assert Evidence(with_weighings(ROD, old)).newest("R-1", "whole") == ROD.weighings[1]

    def test_an_end_without_a_rod_length_has_no_mass(self) -> None:
        short = build("single", parts=ROD.parts, weighings=ROD.weighings, rod_length_mm=None)
        known = Evidence(short)
        assert known.newest("R-1", "big end") is not None
        assert known.newest_mass("R-1", "big end") is None


class TestASetWeighedTogether:
    def test_it_speaks_for_the_parts_it_was_weighed_with(self) -> None:
        both = with_weighings(SET, set_weighing(9, 1, MEMBERS, "602.3", "602.3"))
        assert Evidence(SET).together(1) is None
        found = Evidence(both).together(1)
        assert found is not None
        assert found.id == 9

    def test_with_another_pin_it_speaks_for_nothing(self) -> None:
        other = set_weighing(9, 1, ("P-1", "N-2", "L-1", "G-1"), "602.3", "602.3")
        assert Evidence(with_weighings(SET, other)).together(1) is None

    def test_before_a_members_cut_it_speaks_for_nothing_afterwards(self) -> None:
        both = with_weighings(SET, set_weighing(9, 1, MEMBERS, "602.3", "602.3"))
        assert Evidence(cut_to(both, "P-1", "446.5", at(3))).together(1) is None

    def test_before_a_member_was_fitted_it_speaks_for_nothing(self) -> None:
        early = set_weighing(9, 1, MEMBERS, "602.3", "602.3", measured_at=at(2, 7, 30))
        moved = with_weighings(SET, early)
        assert Evidence(moved).together(1) is None

    def test_locks_without_a_place_join_every_set(self) -> None:
        assert Evidence(SET).set_parts(1) == MEMBERS

    def test_locks_are_missed_only_where_another_place_has_them(self) -> None:
        press_fit = build("single", parts=SET.parts, fitments=SET.fitments[:2])
        assert Evidence(press_fit).kinds_missing(1) == ("ring set",)
        own = fitment(3, "L-1", 1)
        two = build("v2-90", parts=SET.parts, fitments=(*SET.fitments[:2], own))
        assert Evidence(two).kinds_missing(2) == ("piston", "pin", "pin locks", "ring set")
