"""The match, place by place: what cancels, what passes, what is missing."""

from dataclasses import replace
from decimal import Decimal

import pytest

from records.domain.measure.decision import Verdict
from records.domain.practice.facts import BuildFacts, FitmentFacts, WeighingFacts
from records.domain.practice.facts_of_parts import PartFacts
from records.domain.practice.judgement import judgement_of, judgements
from records.domain.practice.promised import BIG_ENDS, SETS, WHOLE_RODS
from tests.domain.practice.sample import (
    at,
    build,
    calibration,
    fitment,
    part,
    promise,
    scale,
    set_weighing,
    weighing,
)
from tests.domain.practice.sample_sheet import cut_to, sheet_build, with_weighings

KINDS = (("P", "piston"), ("N", "pin"), ("G", "ring set"))


def two_sets(
    heavier: str = "447.6", *, readings: int = 1, lock: bool = True, **changes: object
) -> BuildFacts:
    """Two sets weighed apart: the second piston is the heavier one."""
    masses = {"P": ("447.0", heavier), "N": ("116.0", "116.0"), "G": ("37.5", "37.5")}
    parts: list[PartFacts] = []
    fitments: list[FitmentFacts] = []
    weighings: list[WeighingFacts] = []
    for letter, kind in KINDS:
        for place in (1, 2):
            number = f"{letter}-{place}"
            parts.append(part(number, kind))
            fitments.append(fitment(len(fitments) + 1, number, place))
            taken = [masses[letter][place - 1]] * readings
            weighings.append(weighing(len(weighings) + 1, number, *taken))
    if lock:
        parts.append(part("L-1", "pin locks"))
        fitments.append(fitment(len(fitments) + 1, "L-1", None))
        weighings.append(weighing(len(weighings) + 1, "L-1", *["2.3"] * readings))
    given = {"parts": parts, "fitments": tuple(fitments), "weighings": tuple(weighings)}
    return build("v2-90", **given | changes)


def weighed_together(facts: BuildFacts, *masses: str) -> BuildFacts:
    more = [
        set_weighing(
            90 + place,
            place,
            (f"P-{place}", f"N-{place}", f"G-{place}", "L-1"),
            mass,
            measured_at=at(3),
        )
        for place, mass in enumerate(masses, start=1)
    ]
    return with_weighings(facts, *more)


class TestTheUncertaintyOfASetsDifference:
    def test_three_parts_weighed_apart_once_give_032(self) -> None:
        # reckoning.md, Measure: d 0.1, s 0.05, three parts apart U = 0.32 g; the one lock cancels
        heavier = judgement_of(two_sets(), SETS).places[1]
        assert f"{heavier.U_g:.2f}" == "0.32"
        assert heavier.U_g == pytest.approx(2 * 3**0.5 * 0.09129, abs=1e-4)
        assert not heavier.weighed_together

    def test_weighed_together_gives_018(self) -> None:
        # reckoning.md, Measure: weighed together 0.18 g
        sets = judgement_of(weighed_together(two_sets(), "602.8", "603.4"), SETS)
        assert f"{sets.places[1].U_g:.2f}" == "0.18"
        assert sets.apart == ()
        assert sets.places[1].difference_g == Decimal("0.6")

    def test_across_two_scales_nothing_cancels(self) -> None:
        one = two_sets(scales={"S-02": scale(), "S-03": scale("S-03")})
        moved = tuple(replace(w, scale="S-03") if w.part == "P-2" else w for w in one.weighings)
        across = judgement_of(replace(one, weighings=moved), SETS).places[1]
        assert across.U_g > judgement_of(one, SETS).places[1].U_g + 0.05

    def test_across_a_recalibration_nothing_cancels(self) -> None:
        again = scale(calibrations=(calibration(1), calibration(2, at(4).date())))
        one = two_sets(scales={"S-02": again})
        later = tuple(
            replace(w, measured_at=at(4)) if w.part == "P-2" else w for w in one.weighings
        )
        across = judgement_of(replace(one, weighings=later), SETS).places[1]
        assert across.U_g > judgement_of(one, SETS).places[1].U_g

    def test_few_degrees_of_freedom_widen_it(self) -> None:
        poor = scale(calibrations=(calibration(repeatability_nu=4),))
        assert judgement_of(two_sets(scales={"S-02": poor}), SETS).places[1].U_g > 0.33


class TestTheVerdict:
    def test_the_lightest_passes_by_definition(self) -> None:
        lightest = judgement_of(two_sets(), SETS).lightest
        assert lightest is not None
        assert (lightest.place, lightest.U_g) == (1, 0.0)
        assert (lightest.verdict, lightest.conformance_probability) == (Verdict.PASSED, 1.0)

    def test_the_boundary_itself_passes(self) -> None:
        boundary = judgement_of(two_sets("448.0"), SETS).places[1]
        assert boundary.difference_g == 1
        assert boundary.verdict is Verdict.PASSED
        assert boundary.conformance_probability == pytest.approx(0.5)

    @pytest.mark.parametrize(
        ("heavier", "verdict"),
        [
            ("447.6", Verdict.PASSED),
            ("447.8", Verdict.CONDITIONALLY_PASSED),
            ("448.2", Verdict.CONDITIONALLY_FAILED),
            ("448.4", Verdict.FAILED),
        ],
    )
    def test_a_guard_band_of_u_makes_four(self, heavier: str, verdict: Verdict) -> None:
        # r = 1, U = 0.32 g: the acceptance zone ends at 0.68 g (ILAC-G8:09/2019, 4.2.3)
        sets = judgement_of(two_sets(heavier, promise=promise("1.0", "1")), SETS)
        assert sets.verdict is verdict
        assert sets.matches is (verdict in (Verdict.PASSED, Verdict.CONDITIONALLY_PASSED))

    def test_no_acceptance_zone_is_said_once_and_nothing_passes(self) -> None:
        tight = judgement_of(two_sets("447.1", promise=promise("0.3", "1")), SETS)
        assert "expected at most the promised 0.3 g" in tight.no_zone
        assert tight.places[1].verdict is None
        assert (tight.verdict, tight.matches) == (None, False)

    def test_without_a_zone_a_mass_outside_still_fails(self) -> None:
        tight = judgement_of(two_sets("448.0", promise=promise("0.3", "1")), SETS)
        assert tight.places[1].verdict is Verdict.FAILED


class TestWhatIsMissing:
    def test_a_part_not_weighed_is_named(self) -> None:
        facts = two_sets()
        fewer = replace(facts, weighings=tuple(w for w in facts.weighings if w.part != "N-2"))
        sets = judgement_of(fewer, SETS)
        assert sets.missing == ("pin N-2 not weighed yet",)
        assert sets.spread_after_g is None
        assert sets.verdict is None

    def test_a_place_without_a_pin_is_named(self) -> None:
        facts = two_sets()
        fewer = replace(facts, fitments=tuple(f for f in facts.fitments if f.part != "N-2"))
        assert judgement_of(fewer, SETS).missing == ("place 2: no pin fitted",)

    def test_competition_requires_sets_weighed_together(self) -> None:
        race = judgement_of(two_sets(use="competition"), SETS)
        assert (race.together_required, race.apart) == (True, (1, 2))
        assert not judgement_of(two_sets(), SETS).together_required

    def test_without_a_rod_length_no_end_is_judged(self) -> None:
        ends = judgement_of(sheet_build(rod_length_mm=None), BIG_ENDS)
        assert ends.places == ()
        assert len(ends.missing) == 1
        assert "without the centre distance no end has a U" in ends.missing[0]

    def test_a_set_that_disagrees_with_its_parts_is_said(self) -> None:
        odd = judgement_of(weighed_together(two_sets(), "602.8", "605.9"), SETS)
        assert odd.places[0].note == ""
        assert "set 2: weighed together it is +2.50 g off the sum" in odd.places[1].note


class TestTheSheet:
    def test_its_spreads(self) -> None:
        # by hand from sheet_v8.csv: 434.05 - 428.00, and 610.30 - 603.75
        sets, big_ends, rods = judgements(sheet_build())
        assert big_ends.spread_before_g == Decimal("6.05")
        assert rods.spread_before_g == Decimal("6.55")
        assert sets.lightest is not None
        assert sets.lightest.parts == ("PA04", "NA04", "LA01", "GA04")
        assert sets.lightest.mass_g == Decimal("601.8")
        assert not (sets.missing or big_ends.missing or rods.missing)

    def test_whole_rods_wait_for_the_big_ends(self) -> None:
        _, big_ends, rods = judgements(sheet_build())
        assert big_ends.verdict is Verdict.FAILED
        assert rods.waits_for.startswith("the big ends first: RA01, RA02, RA03")
        easy = sheet_build(promise=promise("7.0"))
        assert judgement_of(easy, WHOLE_RODS).waits_for == ""

    def test_a_big_ends_u_has_the_fixtures_contact(self) -> None:
        # Statics by hand: 0.03 mm at each end of 152.4 mm, hung twice, 432.7 and 177.3 g carried,
        # and 428.0 with 175.75 of the target; s 0.05/√2 and two steps of 0.1 g each.
        ends = judgement_of(sheet_build(), BIG_ENDS)
        contact = 0.03 / 152.4 / 2**0.5
        private = 0.05**2 / 2 + 2 * 0.1**2 / 12
        rods = ((432.7, 177.3), (428.0, 175.75))
        u2 = sum(private + contact**2 * (big**2 + small**2) for big, small in rods)
        assert ends.places[0].U_g == pytest.approx(2 * u2**0.5, rel=1e-6)

    def test_after_a_cut_the_end_is_asked_for_again(self) -> None:
        cut = cut_to(sheet_build(), "RA01", "608.0", at(3), zones=(21,))
        ends = judgement_of(cut, BIG_ENDS)
        assert ends.missing == (
            "rod RA01, big end not weighed since its cut of 2026-03-03; weigh it again",
        )
        assert ends.spread_before_g == Decimal("6.05")
        assert len(ends.places) == 7
