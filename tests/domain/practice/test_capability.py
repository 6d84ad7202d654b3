"""What the shop's scales can prove of a promise, before a part is on the pan."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from records.domain.practice.capability import (
    Provable,
    kind_of,
    provable,
    said_at_opening,
    said_at_weighing,
    unprovable,
    what_would_do,
)
from records.domain.practice.facts import BuildFacts
from records.domain.practice.facts_of_scales import StepFacts
from records.domain.practice.judgement import judgement_of
from records.domain.practice.promised import BIG_ENDS, SETS, WHOLE_RODS
from tests.domain.practice.sample import build, calibration, part, promise, scale
from tests.domain.practice.sample_sheet import sheet_build

FINE = scale("S-05", steps=(StepFacts("g", Decimal("0.01"), Decimal("0.01"), None),))
COARSE = scale(steps=(StepFacts("g", Decimal("0.5"), Decimal("0.5"), None),))


def of(facts: BuildFacts, kind: str, number: str = "S-02") -> Provable:
    return next(p for p in provable(facts) if (p.kind, p.scale) == (kind, number))


def test_a_set_together_and_apart_as_in_the_check_values() -> None:
    # reckoning.md, Measure: d 0.1, s 0.05: 0.18 g together, 0.32 g in three parts, read once
    once = of(build(promise=promise(readings=1)), SETS)
    assert once.U_g is not None
    assert once.U_apart_g is not None
    assert (f"{once.U_g:.2f}", f"{once.U_apart_g:.2f}") == ("0.18", "0.32")


def test_competition_on_a_tenth_gram_scale_is_proven() -> None:
    race = build(promise=promise("0.5", "1", hangings=3), use="competition")
    assert unprovable(race) == ()
    assert [of(race, kind).proves for kind in (SETS, BIG_ENDS, WHOLE_RODS)] == [True] * 3


def test_with_simple_acceptance_everything_has_a_zone() -> None:
    # JCGM 106:2012, 8.2: r = 0 keeps no guard band
    assert unprovable(build(promise=promise("0.1", "0"))) == ()


def test_more_hangings_would_do() -> None:
    facts = build(promise=promise("0.22", "1"))
    ends = of(facts, BIG_ENDS)
    assert not ends.proves
    assert ends.needed is not None
    assert ends.needed > 2
    assert f"{ends.needed} hangings of each would do" in ends.text
    more = replace(facts, promise=promise("0.22", "1", hangings=ends.needed))
    assert of(more, BIG_ENDS).proves


def test_rounding_does_not_average_away_so_another_scale_is_named() -> None:
    facts = build(scales={"S-02": COARSE}, promise=promise("0.25", "1"))
    assert of(facts, SETS).needed is None
    assert "finer scale" in of(facts, SETS).text
    # 0.5·√(2·2/12) = 0.289 of rounding alone, U about 0.58
    assert what_would_do(facts, SETS).startswith(
        "what would do: a finer scale, or a promise of 0.5"
    )
    two = replace(facts, scales={"S-02": COARSE, "S-05": FINE})
    assert "on S-05 with each set weighed together" in what_would_do(two, SETS)
    assert unprovable(two) == ()


def test_unprovable_says_what_would_do_once_for_each_kind() -> None:
    texts = unprovable(build(scales={"S-02": COARSE}, promise=promise("0.25", "1")))
    assert len(texts) == 3
    assert "set: no scale of the shop proves 0.25 g at 2 readings and r 1" in texts[0]


def test_without_a_rod_length_big_ends_cannot_be_judged() -> None:
    ends = of(build(rod_length_mm=None), BIG_ENDS)
    assert (ends.proves, ends.U_g) == (False, None)
    assert "centre distance" in ends.text


@pytest.mark.parametrize(
    ("poor", "word"),
    [
        (scale(calibrations=()), "expected a calibration"),
        (scale(calibrations=(calibration(repeatability=()),)), "s at one load or more"),
        (scale(capacity_g=Decimal(300)), "within its capacity of 300 g"),
    ],
)
def test_a_scale_that_cannot_be_judged_says_why(poor: object, word: str) -> None:
    facts = build(scales={"S-02": poor})
    assert word in of(facts, SETS).text
    assert what_would_do(facts, SETS) == (
        "what would do: a scale in calibration that reaches this mass"
    )


def test_it_judges_by_the_newest_calibration_even_if_due() -> None:
    old = scale(calibrations=(calibration(due_on=date(2026, 1, 20)),))
    assert of(build(scales={"S-02": old}), SETS).proves


def test_the_judgement_says_what_would_do() -> None:
    tight = judgement_of(sheet_build(promise=promise("0.2", "1")), SETS)
    assert "what would do: 2 readings of each on S-02 with each set weighed together" in (
        tight.no_zone
    )


class TestInTheFlow:
    two = build(scales={"S-02": COARSE, "S-05": FINE}, promise=promise("0.25", "1"))

    def test_at_opening_it_names_the_scale_that_can_not_and_what_would_do(self) -> None:
        told = said_at_opening(self.two)
        assert told[0].startswith("set: S-02 can't prove 0.25 g at 2 readings and r 1; what would")
        assert "2 readings of each on S-05 with each set weighed together" in told[0]

    def test_at_opening_it_says_what_is_missing_before_it_says_that_nothing_will_do(self) -> None:
        told = said_at_opening(replace(self.two, rod_length_mm=None))
        (ends,) = [text for text in told if text.startswith("big end")]
        assert "expected the rod's centre distance" in ends

    def test_where_every_scale_can_it_is_silent(self) -> None:
        assert said_at_opening(build(promise=promise("0.5", "0"))) == ()

    def test_at_weighing_it_speaks_of_the_scale_at_hand(self) -> None:
        (told,) = said_at_weighing(self.two, "set", None, "S-02")
        assert told.startswith("set: S-02 can't prove 0.25 g, at best")
        assert "on S-05" in told
        assert said_at_weighing(self.two, "set", None, "S-05") == ()

    @pytest.mark.parametrize(
        ("what", "kind", "expected"),
        [
            ("whole", "piston", SETS),
            ("whole", "rod", WHOLE_RODS),
            ("big end", "rod", BIG_ENDS),
            ("small end", "rod", None),
            ("whole", "damper", None),
        ],
    )
    def test_each_weighing_serves_one_promise(
        self, what: str, kind: str, expected: str | None
    ) -> None:
        facts = build(parts=[part("X-1", kind)])
        assert kind_of(facts, what, "X-1") == expected

    def test_what_is_no_part_of_this_build_serves_none(self) -> None:
        assert kind_of(build(), "whole", "Q-9") is None
