"""Answers to the safety checklist: the newest holds, until what it speaks of is touched."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from records.actions.builds import note_detail
from records.actions.checklist import answer_question
from records.domain.errors import BadValue, Code, Conflict
from records.models import ChecklistAnswer
from records.queries.build_facts import facts_of
from tests.records.actions.bench import BUILD, INES, MARTA, STREAM, Shop, last_entry, tables
from tests.records.actions.refusal import refused


def _answer(shop: Shop, question: str, answer: str, **more: Any) -> ChecklistAnswer:
    told: dict[str, Any] = {"by": INES, "clock": shop.clock} | more
    return answer_question(build=BUILD, question=question, answer=answer, **told)


def test_an_answer_is_recorded_under_who_gave_it(shop: Shop) -> None:
    row = _answer(shop, "clean", "Yes", detail="washed twice")
    assert (row.answer, row.detail, row.operator_id) == ("yes", "washed twice", INES)
    entry = last_entry(STREAM)
    assert (entry.envelope.kind, tables(entry)) == ("checklist answered", ["checklistanswer"])


def test_a_no_is_recorded_and_a_newer_answer_takes_its_place(shop: Shop) -> None:
    _answer(shop, "clean", "no", detail="chips in the oil ways")
    _answer(shop, "clean", "yes")
    assert [answer.answer for answer in facts_of(BUILD).answers] == ["yes"]
    assert ChecklistAnswer.objects.count() == 2


@pytest.mark.parametrize(
    ("question", "answer", "detail", "code", "field"),
    [
        ("weather", "yes", "", Code.UNKNOWN_NUMBER, "question"),
        ("clean", "perhaps", "", Code.BAD_VALUE, "answer"),
        ("clean", "not applicable", "", Code.BAD_VALUE, "answer"),
        ("clean", "no", "", Code.MISSING, "detail"),
        ("clean", "yes", "x" * 401, Code.BAD_VALUE, "detail"),
    ],
)
def test_what_does_not_fit_is_refused(
    question: str, answer: str, detail: str, code: Code, field: str, shop: Shop
) -> None:
    with refused(BadValue, code, field):
        _answer(shop, question, answer, detail=detail)


def test_a_damper_not_seen_asks_first_that_the_crank_is_elsewhere(shop: Shop) -> None:
    with refused(Conflict, Code.CONFLICT, "answer"):
        _answer(shop, "damper", "not seen by us", detail="the owner has it")
    note_detail(
        by=MARTA,
        build=BUILD,
        key="crank_in_job",
        value="no",
        reason="the owner keeps it",
        clock=shop.clock,
    )
    assert _answer(shop, "damper", "not seen by us", detail="the owner has it").pk


def test_an_answer_from_the_future_is_refused(shop: Shop) -> None:
    with refused(BadValue, Code.IN_THE_FUTURE, "answered_at"):
        _answer(shop, "clean", "yes", answered_at=shop.clock.now() + timedelta(minutes=6))
