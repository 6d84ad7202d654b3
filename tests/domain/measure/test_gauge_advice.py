"""What a gauge study is said to tell: what dominates, and what would help."""

from __future__ import annotations

import random

import pytest

from records.domain.measure.gauge_advice import advice, band
from records.domain.measure.gauge_rows import GaugeRow, Study, study_of
from records.domain.measure.gauge_study import anova, average_and_range
from records.domain.measure.gauge_table import components
from tests import outside

STEP_G = 0.01


def printed() -> Study:
    return study_of(
        [
            GaugeRow(row["part"], row["appraiser"], row["trial"], float(row["value"]))
            for row in outside.data("aiag_msa4_grr_10x3x3.csv")
        ]
    )


def study(
    *, parts_g: float = 5.0, people_g: float = 0.0, mixed_g: float = 0.0, noise_g: float = 0.05
) -> Study:
    """A study of 6 parts, 3 people and 3 trials whose scatter is known."""
    chance = random.Random(4)
    shifts = {"Ines": people_g, "Tomas": 0.0, "Ruth": -people_g}
    return study_of(
        [
            GaugeRow(
                f"K{p}", person, str(trial), 500 + base + shift + odd + chance.gauss(0, noise_g)
            )
            for p in range(6)
            for base in [parts_g * p]
            for person, shift in shifts.items()
            for odd in [mixed_g if (p, person) == (2, "Tomas") else 0.0]
            for trial in range(3)
        ]
    )


def said(what: Study, tolerance_g: float | None = None, step_g: float = STEP_G) -> dict[str, str]:
    return dict(advice(what, anova(what).spread, tolerance_g, step_g))


def test_the_bands_of_the_manual() -> None:
    # AIAG MSA (4th edition): below 10 good, 10 to 30 conditional, above 30 not acceptable
    words = {9.99: "good", 10.0: "conditional", 30.0: "conditional", 30.01: "not acceptable"}
    assert {percent: band(percent) for percent in words} == words


def test_the_printed_study() -> None:
    told = said(printed(), tolerance_g=8)
    # printed: grr 22.68 % of a tolerance of 8, 27.86 % of the study
    assert "22.7 % of the tolerance of 8 g: conditional" in told["of_tolerance"]
    assert "27.9 % of the total variation in this study: conditional" in told["of_total"]
    # printed variances: appraisers .05146 of grr .09143, which is 56 %; means A .1903, C -.2543
    assert "56 % of its variance, lies between people: A reads 0.44 g more than C" in told["people"]
    # ndc 4.861, truncated
    assert told["too_alike"].startswith("these parts fall into 4 kinds")


def test_the_printed_percentages_of_the_components() -> None:
    by_name = {one.name: one for one in components(anova(printed()).spread, 8.0)}
    printed_shares = {
        "repeatability": 18.42,
        "reproducibility": 20.90,
        "repeatability and reproducibility": 27.86,
        "parts": 96.04,
        "total": 100.0,
    }
    for name, percent in printed_shares.items():
        assert by_name[name].of_total_percent == pytest.approx(percent, abs=0.006)
    contribution = {"repeatability": 3.4, "reproducibility": 4.4, "parts": 92.2}
    for name, percent in contribution.items():
        assert by_name[name].of_variance_percent == pytest.approx(percent, abs=0.06)
    grr = by_name["repeatability and reproducibility"]
    assert grr.of_tolerance_percent == pytest.approx(22.68, abs=0.006)


def test_the_parts_of_the_variance_add_up_and_pooled_has_no_interaction() -> None:
    for spread in (anova(printed()).spread, average_and_range(printed())):
        names = [one.name for one in components(spread, None)]
        assert names == [
            "repeatability",
            "reproducibility",
            "repeatability and reproducibility",
            "parts",
            "total",
        ]
    mixed = components(anova(study(mixed_g=1.0)).spread, None)
    single = {one.name: one.of_variance_percent for one in mixed}
    assert single["person by part"] > 0
    grr, total = single.pop("repeatability and reproducibility"), single.pop("total")
    assert sum(single.values()) == pytest.approx(total)
    assert grr == pytest.approx(total - single["parts"])


def test_repeatability_points_at_scale_and_fixture() -> None:
    told = said(study())
    assert "look at the fixture" in told["scale"]
    assert not {"people", "mixed", "step", "too_alike"} & set(told)


def test_a_step_that_makes_most_of_the_scatter_is_blamed() -> None:
    # d²/12 of 0.2 g is 0.0033 g², above the 0.0025 g² that was put in
    assert "a scale with a finer step helps" in said(study(), step_g=0.2)["step"]


def test_people_are_named_with_how_far_apart_they_read() -> None:
    told = said(study(people_g=0.5))
    assert "Ines reads 1 g more than Ruth on the mean" in told["people"]
    assert "train it" in told["people"]


def test_a_part_that_someone_weighs_otherwise_is_named() -> None:
    told = said(study(mixed_g=1.0, noise_g=0.01))
    assert "widest at part K2, where Tomas reads 1 g more than" in told["mixed"]


def test_parts_too_alike_are_said_to_be_so_and_the_tolerance_to_count() -> None:
    alike = study(parts_g=0.02)
    assert "give a tolerance where parts are matched on purpose" in said(alike)["too_alike"]
    told = said(alike, tolerance_g=5.0)
    assert "the per cent of the tolerance is what counts" in told["too_alike"]
    assert told["of_tolerance"].endswith("good (below 10 % is good, above 30 % won't do)")


def test_readings_that_never_differ_say_no_more_than_the_step() -> None:
    told = said(study(noise_g=0.0), step_g=0.1)
    assert "the scatter hides within the step of 0.1 g" in told["no_scatter"]
    assert "too_alike" not in told
