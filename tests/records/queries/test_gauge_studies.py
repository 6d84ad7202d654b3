"""The printed gauge study entered through the actions, and what its page then says."""

from __future__ import annotations

from decimal import Decimal

import pytest

from records.actions.clock import SetClock
from records.actions.gauge_studies import (
    close_study,
    correct_study_reading,
    enter_study_reading,
    give_up_study,
    plan_study,
)
from records.actions.reading import ReadingGiven
from records.domain.errors import NotFound
from records.models import GaugeStudy
from records.queries.gauge_studies import gauge_studies, gauge_study_page
from records.queries.verification import verify_record
from tests import outside
from tests.records.actions.bench import (
    INES,
    MARTA,
    MONDAY,
    RUTH,
    SCALE,
    TOMAS,
    equip,
    open_ferrow_lane,
)

STUDY = "G-01"
# masses are above zero: the printed values are differences, entered on top of 100 g
ON_TOP = Decimal(100)
APPRAISERS = {INES: "A", TOMAS: "B", RUTH: "C"}


@pytest.fixture
def clock(db: None) -> SetClock:
    clock = SetClock(MONDAY)
    open_ferrow_lane(clock)
    equip(clock)
    return clock


def planned(clock: SetClock, number: str = STUDY, **changed: object) -> GaugeStudy:
    parts = [str(n) for n in range(1, 11)]
    given = {"parts": parts, "people": list(APPRAISERS), "trials": 3, "seed": 1, **changed}
    return plan_study(
        by=MARTA,
        number=number,
        scale=SCALE,
        tolerance_g=Decimal(8),
        clock=clock,
        **given,  # type: ignore[arg-type]
    )


def read_as_printed(clock: SetClock) -> None:
    printed = {
        (row["part"], row["appraiser"], row["trial"]): row["value"]
        for row in outside.data("aiag_msa4_grr_10x3x3.csv")
    }
    while (turn := gauge_study_page(STUDY).next) is not None:
        clock.forward(seconds=20)
        value = Decimal(printed[turn.part, APPRAISERS[turn.person], str(turn.trial)]) + ON_TOP
        enter_study_reading(
            by=INES, study=STUDY, turn=turn.order, reading=ReadingGiven(str(value)), clock=clock
        )


def test_the_printed_study_gives_the_published_figures_by_both_methods(clock: SetClock) -> None:
    planned(clock)
    read_as_printed(clock)
    close_study(by=INES, study=STUDY, clock=clock)
    results = gauge_study_page(STUDY).results
    assert results is not None
    # AIAG MSA (4th edition): the printed figures, see tests/domain/measure/test_gauge_study.py
    by_range = [one.sd_g for one in results.average_range.components]
    assert by_range == pytest.approx([0.20188, 0.22963, 0.30575, 1.10456, 1.14610], rel=5e-4)
    assert results.average_range.grr_percent == pytest.approx(26.68, abs=0.01)
    assert results.average_range.ndc == 5
    by_variance = [one.sd_g for one in results.anova.components]
    assert by_variance == pytest.approx([0.199933, 0.226838, 0.302373, 1.042327, 1.0853], rel=1e-5)
    assert results.anova.grr_percent == pytest.approx(27.86, abs=0.006)
    assert results.anova.ndc == 4
    assert results.pooled
    assert results.interaction_p == pytest.approx(0.9741, abs=5e-5)
    squares = {line.source: line.squares for line in results.variance}
    assert squares["part"] == pytest.approx(88.3619, abs=5e-5)
    assert squares["repeatability"] == pytest.approx(2.7589, abs=5e-5)
    assert [line.freedom for line in results.variance] == [9, 2, 18, 60]
    tolerance = results.anova.components[2].of_tolerance_percent
    assert tolerance == pytest.approx(22.68, abs=0.006)
    told = dict(results.advice)
    # A's mean .1903, C's -.2543
    assert "Ines reads 0.44 g more than Ruth" in told["people"]
    assert verify_record().stands


def test_a_study_under_way_shows_the_next_turn_and_no_figures(clock: SetClock) -> None:
    planned(clock)
    page = gauge_study_page(STUDY)
    assert page.next == page.turns[0]
    assert page.results is None
    assert "got 90 not read" in page.no_results
    assert "another estimator, REML" in page.no_results
    assert (page.row.state, page.row.read, page.row.turns) == ("under way", 0, 90)


def test_what_was_taken_back_is_shown_with_its_reason_and_its_turn_comes_next(
    clock: SetClock,
) -> None:
    planned(clock)
    given = {"by": INES, "study": STUDY, "clock": clock}
    wrong = enter_study_reading(turn=1, reading=ReadingGiven("100.5"), **given)  # type: ignore[arg-type]
    enter_study_reading(turn=2, reading=ReadingGiven("101.5"), **given)  # type: ignore[arg-type]
    correct_study_reading(reading=wrong.pk, reason="draught", **given)  # type: ignore[arg-type]
    page = gauge_study_page(STUDY)
    assert page.next is not None
    assert page.next.order == 1
    assert [(one.order, one.text, one.reason) for one in page.corrected] == [
        (1, "100.5", "draught")
    ]
    assert page.row.read == 1


def test_readings_all_the_same_are_said_to_be_so(clock: SetClock) -> None:
    planned(clock, parts=["1", "2"], people=[INES, TOMAS], trials=2)
    for turn in range(1, 9):
        enter_study_reading(
            by=INES, study=STUDY, turn=turn, reading=ReadingGiven("100"), clock=clock
        )
    page = gauge_study_page(STUDY)
    assert page.results is None
    assert page.no_results.startswith("expected values of which some differ")


def test_the_list_is_newest_first_with_how_each_stands(clock: SetClock) -> None:
    planned(clock)
    clock.forward(minutes=5)
    planned(clock, "G-02")
    give_up_study(by=INES, study=STUDY, reason="moved", clock=clock)
    rows = gauge_studies()
    assert [(row.number, row.state) for row in rows] == [
        ("G-02", "under way"),
        (STUDY, "given up"),
    ]
    assert (rows[0].parts, rows[0].people, rows[0].trials) == (10, (INES, TOMAS, RUTH), 3)
    assert gauge_studies("S-03") == ()


def test_an_unknown_study_is_not_found(clock: SetClock) -> None:
    with pytest.raises(NotFound, match="no study is known as 'G-99'"):
        gauge_study_page("G-99")
