"""Gauge studies: planned, read in order, corrected, ended; or refused with nothing written."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from records.actions.gauge_studies import (
    close_study,
    correct_study_reading,
    enter_study_reading,
    give_up_study,
    plan_study,
)
from records.actions.people import end_person
from records.actions.reading import ReadingGiven
from records.domain.errors import BadValue, Code, Conflict, NotAllowed
from records.models import GaugeReading, GaugeStudy, GaugeStudyEnd, GaugeTurn
from records.queries.gauge_readings import next_turn, rows_of, turns_left
from tests.records.actions.bench import (
    INES,
    MARTA,
    RUTH,
    SCALE,
    TOMAS,
    VERA,
    Shop,
    last_entry,
    tables,
)
from tests.records.actions.refusal import refused

STUDY = "G-01"
PARTS = ("K1", "K2", "K3")
STREAM = f"scale/{SCALE}"


def plan(shop: Shop, **changed: Any) -> GaugeStudy:
    given: dict[str, Any] = {
        "by": MARTA,
        "number": STUDY,
        "scale": SCALE,
        "parts": PARTS,
        "people": (INES, TOMAS),
        "trials": 2,
        "seed": 26,
        "clock": shop.clock,
    }
    return plan_study(**given | changed)


def enter(shop: Shop, value: str, **changed: Any) -> GaugeReading:
    """Enter the next reading, half a minute later."""
    shop.clock.forward(seconds=30)
    turn = next_turn(GaugeStudy.objects.get(number=STUDY))
    given: dict[str, Any] = {
        "by": INES,
        "study": STUDY,
        "turn": turn.order if turn else 0,
        "reading": ReadingGiven(value),
        "clock": shop.clock,
    }
    return enter_study_reading(**given | changed)


def read_through(shop: Shop) -> None:
    for index in range(12):
        enter(shop, f"{450 + index % 5 / 10}")


class TestAPlan:
    def test_it_keeps_the_seed_and_every_turn_in_its_order(self, equipped: Shop) -> None:
        study = plan(equipped, tolerance_g=Decimal("0.5"), note="before the season")
        turns = GaugeTurn.objects.filter(study=study).order_by("order")
        assert (study.seed, study.trials, study.tolerance_g) == (26, 2, Decimal("0.5"))
        assert [turn.order for turn in turns] == list(range(1, 13))
        assert {(t.part, t.person_id, t.trial) for t in turns} == {
            (part, person, trial) for part in PARTS for person in (INES, TOMAS) for trial in (1, 2)
        }

    def test_its_entry_names_the_study_and_the_turns_in_the_scales_stream(
        self, equipped: Shop
    ) -> None:
        plan(equipped)
        entry = last_entry(STREAM)
        assert tables(entry) == ["gaugestudy", *["gaugeturn"] * 12]
        assert (entry.envelope.kind, entry.envelope.actor) == ("gauge study planned", MARTA)

    def test_without_a_seed_one_is_drawn_and_kept(self, equipped: Shop) -> None:
        seeds = {plan(equipped, number=f"G-{n}", seed=None).seed for n in range(5)}
        assert len(seeds) > 1

    @pytest.mark.parametrize(
        ("changed", "code", "field"),
        [
            ({"parts": ("K1",)}, Code.OUT_OF_RANGE, "parts"),
            ({"parts": ("K1", "K1 ")}, Code.OUT_OF_RANGE, "parts/1"),
            ({"parts": ("K1", " ")}, Code.MISSING, "parts/1"),
            ({"people": (INES,)}, Code.OUT_OF_RANGE, "people"),
            ({"people": (INES, "P-99")}, Code.UNKNOWN_NUMBER, "people/1"),
            ({"trials": 1}, Code.OUT_OF_RANGE, "trials"),
            ({"scale": "S-99"}, Code.UNKNOWN_NUMBER, "scale"),
            ({"what": "half"}, Code.BAD_VALUE, "what"),
            ({"tolerance_g": Decimal(0)}, Code.OUT_OF_RANGE, "tolerance_g"),
            ({"seed": 2**31}, Code.OUT_OF_RANGE, "seed"),
            ({"number": "G/1"}, Code.BAD_VALUE, "number"),
        ],
    )
    def test_one_that_cannot_be_is_refused_at_the_field(
        self, equipped: Shop, changed: dict[str, Any], code: Code, field: str
    ) -> None:
        with refused(BadValue, code, field):
            plan(equipped, **changed)

    def test_a_number_on_record_is_refused(self, equipped: Shop) -> None:
        plan(equipped)
        with refused(Conflict, Code.ALREADY_THERE, "number"):
            plan(equipped)

    def test_who_left_weighs_in_no_study(self, equipped: Shop) -> None:
        end_person(by=MARTA, person=TOMAS, reason="moved away", clock=equipped.clock)
        with refused(BadValue, Code.BAD_VALUE, "people/1"):
            plan(equipped)

    @pytest.mark.parametrize("person", [RUTH, VERA])
    def test_neither_inspector_nor_viewer_plans_one(self, equipped: Shop, person: str) -> None:
        with refused(NotAllowed, Code.NOT_ALLOWED):
            plan(equipped, by=person)


class TestAReading:
    def test_it_keeps_text_unit_grams_and_moment(self, equipped: Shop) -> None:
        plan(equipped)
        # 15.873 oz × 28.349523125 g (units of 1959) = 449.991980563125 g
        row = enter(equipped, "", reading=ReadingGiven("15.873", "oz", text="+ 15.873 oz"))
        assert (row.text, row.unit, row.grams) == ("+ 15.873 oz", "oz", Decimal("449.991980563125"))
        assert (row.read_at, row.late, row.recorded_by_id) == (equipped.clock.now(), False, INES)
        assert tables(last_entry(STREAM)) == ["gaugereading"]

    def test_it_is_the_planned_persons_whoever_enters_it(self, equipped: Shop) -> None:
        study = plan(equipped)
        enter(equipped, "450.0", by=MARTA)
        first = study.turns.get(order=1)
        assert [(row.part, row.appraiser) for row in rows_of(study)] == [
            (first.part, first.person_id)
        ]

    def test_only_the_next_turn_is_read(self, equipped: Shop) -> None:
        plan(equipped)
        with refused(Conflict, Code.CONFLICT, "turn") as caught:
            enter(equipped, "450.0", turn=2)
        assert "expected turn 1, part " in caught.value.message
        enter(equipped, "450.0", turn=1)
        with refused(Conflict, Code.CONFLICT, "turn"):
            enter(equipped, "450.0", turn=1)

    @pytest.mark.parametrize(
        ("changed", "code", "field"),
        [
            ({"reading": ReadingGiven("450,0")}, Code.BAD_VALUE, "reading/value"),
            ({"reading": ReadingGiven("0")}, Code.BAD_VALUE, "reading/value"),
            ({"reading": ReadingGiven("2000.1")}, Code.OUT_OF_RANGE, "reading/value"),
            ({"reading": ReadingGiven("450", "grain")}, Code.UNKNOWN_UNIT, "reading/unit"),
            ({"reading": ReadingGiven("450", "stone")}, Code.UNKNOWN_UNIT, "reading/unit"),
            ({"study": "G-99"}, Code.UNKNOWN_NUMBER, "study"),
        ],
    )
    def test_one_that_cannot_be_is_refused_at_the_field(
        self, equipped: Shop, changed: dict[str, Any], code: Code, field: str
    ) -> None:
        plan(equipped)
        with refused(BadValue, code, field):
            enter(equipped, "450.0", **changed)

    def test_one_from_the_future_is_refused(self, equipped: Shop) -> None:
        plan(equipped)
        with refused(BadValue, Code.IN_THE_FUTURE, "read_at"):
            enter(equipped, "450.0", read_at=equipped.clock.now() + timedelta(minutes=10))

    def test_one_entered_after_the_fact_is_marked(self, equipped: Shop) -> None:
        plan(equipped)
        assert enter(equipped, "450.0", read_at=equipped.clock.now() - timedelta(hours=1)).late


class TestACorrection:
    def test_it_names_the_wrong_one_and_puts_the_right_one_in_its_turn(
        self, equipped: Shop
    ) -> None:
        study = plan(equipped)
        wrong = enter(equipped, "540.0")
        enter(equipped, "451.0")
        correction = correct_study_reading(
            by=INES,
            study=STUDY,
            reading=wrong.pk,
            reason="digits swapped",
            right=ReadingGiven("450.0"),
            clock=equipped.clock,
        )
        assert correction.right is not None
        assert correction.right.turn == wrong.turn
        assert [row.value for row in rows_of(study)] == [450.0, 451.0]
        assert tables(last_entry(STREAM)) == ["gaugereading", "gaugereadingcorrection"]

    def test_one_taken_back_is_read_again_next(self, equipped: Shop) -> None:
        study = plan(equipped)
        wrong = enter(equipped, "540.0")
        enter(equipped, "451.0")
        correct_study_reading(
            by=INES, study=STUDY, reading=wrong.pk, reason="other part", clock=equipped.clock
        )
        assert next_turn(study) == wrong.turn
        assert len(turns_left(study)) == 11

    def test_what_was_corrected_isnt_corrected_again(self, equipped: Shop) -> None:
        plan(equipped)
        wrong = enter(equipped, "540.0")
        given: dict[str, Any] = {"by": INES, "study": STUDY, "reading": wrong.pk, "reason": "swap"}
        correct_study_reading(**given, clock=equipped.clock)
        with refused(Conflict, Code.CONFLICT, "reading"):
            correct_study_reading(**given, clock=equipped.clock)

    def test_without_a_reason_or_with_a_bad_reading_nothing_is_written(
        self, equipped: Shop
    ) -> None:
        plan(equipped)
        wrong = enter(equipped, "540.0")
        given: dict[str, Any] = {"by": INES, "study": STUDY, "reading": wrong.pk}
        with refused(BadValue, Code.MISSING, "reason"):
            correct_study_reading(
                **given, reason=" ", right=ReadingGiven("450.0"), clock=equipped.clock
            )
        with refused(BadValue, Code.OUT_OF_RANGE, "right/value"):
            correct_study_reading(
                **given, reason="swap", right=ReadingGiven("4500"), clock=equipped.clock
            )

    def test_a_reading_of_another_study_is_refused(self, equipped: Shop) -> None:
        plan(equipped)
        wrong = enter(equipped, "540.0")
        plan(equipped, number="G-02")
        with refused(BadValue, Code.UNKNOWN_NUMBER, "reading"):
            correct_study_reading(
                by=INES, study="G-02", reading=wrong.pk, reason="swap", clock=equipped.clock
            )


class TestTheEnd:
    def test_a_study_read_through_is_closed_and_then_stands(self, equipped: Shop) -> None:
        plan(equipped)
        read_through(equipped)
        close_study(by=INES, study=STUDY, clock=equipped.clock)
        assert GaugeStudyEnd.objects.get(study=STUDY).outcome == "closed"
        assert last_entry(STREAM).envelope.kind == "gauge study closed"
        last = GaugeReading.objects.latest("pk")
        with refused(Conflict, Code.CONFLICT, "study"):
            correct_study_reading(
                by=INES, study=STUDY, reading=last.pk, reason="late", clock=equipped.clock
            )
        with refused(Conflict, Code.CONFLICT, "study"):
            close_study(by=INES, study=STUDY, clock=equipped.clock)

    def test_one_with_holes_is_refused_and_told_what_is_missing(self, equipped: Shop) -> None:
        plan(equipped)
        enter(equipped, "450.0")
        with refused(Conflict, Code.CONFLICT, "study") as caught:
            close_study(by=INES, study=STUDY, clock=equipped.clock)
        assert "got 11 not read, the first turn 2" in caught.value.message
        assert "another estimator, REML" in caught.value.message

    def test_one_in_which_nothing_differs_is_refused(self, equipped: Shop) -> None:
        plan(equipped)
        for _ in range(12):
            enter(equipped, "450.0")
        with refused(BadValue, Code.OUT_OF_RANGE, "rows"):
            close_study(by=INES, study=STUDY, clock=equipped.clock)

    def test_every_turn_read_there_is_no_next(self, equipped: Shop) -> None:
        plan(equipped)
        read_through(equipped)
        with refused(Conflict, Code.CONFLICT, "turn"):
            enter(equipped, "450.0", turn=13)

    def test_one_given_up_says_why_and_takes_no_more(self, equipped: Shop) -> None:
        plan(equipped)
        enter(equipped, "450.0")
        with refused(BadValue, Code.MISSING, "reason"):
            give_up_study(by=INES, study=STUDY, reason="", clock=equipped.clock)
        give_up_study(by=INES, study=STUDY, reason="the scale was moved", clock=equipped.clock)
        with refused(Conflict, Code.CONFLICT, "study") as caught:
            enter(equipped, "450.0")
        assert "was given up on 2026-03-02" in caught.value.message
