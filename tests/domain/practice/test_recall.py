"""Each decision reckoned again with the error as found: what stands, what flips, what is untold.

Figures by hand from the scale of sample_recall: 0.3 g low at 500 g, nothing at 0 and 1000 g.
"""

from dataclasses import replace
from decimal import Decimal

import pytest

from records.domain.practice.recall import Decision, Outcome, decisions, worst
from records.domain.practice.recall_facts import as_of
from tests.domain.practice.sample import at, removal, zone
from tests.domain.practice.sample_recall import (
    AS_FOUND,
    BAD,
    GOOD,
    the_window,
    two_sets,
    with_rods_and_card,
)


def sets(found: tuple[Decision, ...]) -> dict[int | None, Decision]:
    return {one.before.place: one for one in found if one.before.kind == "set"}


class TestPartsMatchedWhollyOnTheScale:
    def test_the_error_cancels_and_the_recall_says_so(self) -> None:
        heavier = sets(decisions(two_sets(), the_window()))[2]
        assert heavier.outcome is Outcome.STANDS
        assert heavier.wholly
        # slope 0.3/500 over the 0.8 g between the pistons
        assert heavier.text == "weighed wholly on S-04: its error cancels but for 0.000 g"
        after = heavier.after
        assert after is not None
        assert after.value_g - heavier.before.value_g == Decimal("0.00048")

    def test_over_several_days_nobody_can_tell_when_the_error_came(self) -> None:
        facts = two_sets(second_at=at(6))
        heavier = sets(decisions(facts, the_window()))[2]
        assert heavier.outcome is Outcome.UNTOLD
        assert "over several days" in heavier.text

    def test_over_several_days_a_match_with_room_stands(self) -> None:
        facts = two_sets(heavier="447.1", second_at=at(6))
        assert sets(decisions(facts, the_window()))[2].outcome is Outcome.STANDS


class TestOnePistonWeighedOnAnotherScale:
    def test_the_match_flips(self) -> None:
        heavier = sets(decisions(two_sets(GOOD), the_window()))[2]
        assert heavier.outcome is Outcome.FLIPS
        assert (heavier.before.verdict, heavier.before.value_g) == ("pass", Decimal("0.8"))
        assert heavier.after is not None
        # 447.8 g reads 0.3·447.8/500 = 0.26868 g low; pins and rings cancel
        assert heavier.after.value_g == Decimal("0.8") + Decimal("0.26868")
        assert heavier.after.verdict == "fail"  # r = 0: there is no condition between
        assert heavier.text == (
            "5 of its 6 weighings are in doubt, the others (S-02) are not: the error of S-04 "
            "stays, +0.27 g"
        )

    def test_with_room_it_stands_with_less_margin(self) -> None:
        heavier = sets(decisions(two_sets(GOOD, heavier="447.3"), the_window()))[2]
        assert heavier.outcome is Outcome.LESS_MARGIN
        assert heavier.after is not None
        before, after = heavier.before.margin_g, heavier.after.margin_g
        assert before is not None and after is not None
        assert before - after == Decimal("0.26838")

    def test_what_was_found_out_is_no_part_of_what_was_known(self) -> None:
        # the calibration that found it out, and checks after it, change nothing of "before"
        (heavier,) = [d for p, d in sets(decisions(two_sets(GOOD), the_window())).items() if p == 2]
        assert heavier.before.verdict == "pass"


def test_beyond_the_points_as_found_nothing_can_be_told() -> None:
    found = the_window(points=AS_FOUND[:1])
    (first, second) = sets(decisions(two_sets(), found)).values()
    assert {first.outcome, second.outcome} == {Outcome.UNTOLD}
    assert "known from 0 to 0 g only" in second.text


def test_without_any_point_as_found_nothing_can_be_told() -> None:
    assert {d.outcome for d in decisions(two_sets(), the_window(points=()))} == {Outcome.UNTOLD}


def test_a_build_that_the_scale_never_touched_has_no_decision_to_reckon() -> None:
    assert decisions(two_sets(), the_window(until=at(2))) == ()


class TestTheBobWeight:
    def test_it_shifts_and_is_judged_against_its_own_range(self) -> None:
        facts = with_rods_and_card(two_sets())
        found = decisions(facts, the_window())
        (pin,) = [one for one in found if one.before.kind == "bob weight"]
        assert pin.before.verdict == "within its range"
        assert pin.after is not None
        # by hand, E(m) = -0.0006·m below 500 g and -0.0006·(1000 - m) above:
        # rotating 2·(370 + 45)·0.0006; half of the rest: small ends 2·(480 - 370)·0.0006, and
        # (447 + 447.8 + 2·116 + 2·37.5)·0.0006 g
        rotating = Decimal("0.0006") * 2 * (370 + 45)
        sets_g = Decimal("447") + Decimal("447.8") + 2 * 116 + 75
        rest = Decimal("0.0006") * (2 * (480 - 370) + sets_g)
        assert pin.after.value_g - pin.before.value_g == rotating + rest / 2
        assert pin.outcome is Outcome.FLIPS
        assert pin.after.verdict == "outside its range"

    def test_a_wide_range_holds_it(self) -> None:
        facts = replace(with_rods_and_card(two_sets()), bob_range_g=Decimal(1))
        (pin,) = [one for one in decisions(facts, the_window()) if one.before.kind == "bob weight"]
        assert pin.outcome is Outcome.LESS_MARGIN
        assert pin.text == "off what the card has by +0.92 g, its range is ± 1 g: within its range"


class TestACut:
    @pytest.mark.parametrize(
        ("limit", "outcome", "verdict"),
        [
            ("2.0", Outcome.LESS_MARGIN, "within its limit"),
            ("1.0", Outcome.FLIPS, "over its limit"),
        ],
    )
    def test_it_took_more_than_was_recorded(
        self, limit: str, outcome: Outcome, verdict: str
    ) -> None:
        """Before it on S-04, which read low, after it on another scale: it seemed less."""
        found = self._cut(limit, after_on=GOOD)
        assert found.before.value_g == Decimal("0.8")
        assert found.after is not None
        # what S-04 showed as 447.0 g was 0.0006·447 g more
        assert found.after.value_g == Decimal("0.8") + Decimal("0.0006") * 447
        assert (found.outcome, found.after.verdict) == (outcome, verdict)

    def test_both_weighings_on_the_scale_cancel_its_error(self) -> None:
        found = self._cut("1.0", after_on=BAD)
        assert found.outcome is Outcome.STANDS
        assert found.wholly

    def _cut(self, limit: str, after_on: str) -> Decision:
        facts = two_sets(BAD)
        piston = facts.parts["P-1"]
        spec = replace(piston.spec, zones=(zone(11, "skirt inside edge", limit, "0.5"),))
        before = facts.weighings[0]
        less_g = before.mean_g - Decimal("0.8")
        after = replace(before, id=30, scale=after_on, mean_g=less_g, measured_at=at(3, 15))
        cut = removal(5, "P-1", [11], at(3, 12), before=before.id, after=30, build=facts.number)
        facts = replace(
            facts,
            parts={**facts.parts, "P-1": replace(piston, spec=spec)},
            weighings=(*facts.weighings, after),
            removals=(cut,),
        )
        (found,) = [d for d in decisions(facts, the_window()) if d.before.kind == "removal"]
        return found


def test_a_build_as_of_its_release_has_only_what_was_there() -> None:
    facts = two_sets()
    later = replace(facts.weighings[0], id=99, measured_at=at(9), recorded_at=at(9))
    ended = replace(facts.fitments[0], ended_at=at(9), ended_by="ines")
    now = replace(
        facts,
        weighings=(*facts.weighings, later),
        fitments=(ended, *facts.fitments[1:]),
        removals=(removal(5, "P-1", [11], at(3, 12), before=1, after=99),),
    )
    then = as_of(now, at(5), None)
    assert [w.id for w in then.weighings] == [w.id for w in facts.weighings]
    assert then.fitments[0].ended_at is None
    assert then.removals[0].after is None and then.removals[0].mass_g is None


def test_the_worst_outcome_is_a_flip() -> None:
    assert worst(Outcome) is Outcome.FLIPS
    assert worst([]) is Outcome.STANDS
    assert worst([Outcome.LESS_MARGIN, Outcome.UNTOLD]) is Outcome.UNTOLD
