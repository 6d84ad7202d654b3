"""The safety checklist; the wording is common practice, no source."""

from dataclasses import replace

import pytest

from records.domain.errors import BadValue, Conflict
from records.domain.practice.checklist import (
    QUESTIONS,
    accepted_answers,
    check_answer,
    checklist_findings,
)
from records.domain.practice.facts import BuildFacts
from records.domain.practice.finding import FindingCode
from tests.domain.practice.finished import answer, answered, finished, without
from tests.domain.practice.sample import at, fitment, part, removal


def open_keys(facts: BuildFacts) -> list[str]:
    found = checklist_findings(facts)
    assert {f.code for f in found} <= {FindingCode.NOT_ANSWERED}
    assert not [f for f in found if f.can_be_disposed]
    return [f.key.split(":")[2] for f in found]


def cut(facts: BuildFacts, number: str) -> BuildFacts:
    taken = removal(1, number, [], at(6), after=None)
    return replace(facts, removals=(taken,))


def test_a_checklist_answered_after_the_work_lacks_nothing() -> None:
    assert open_keys(finished()) == []


def test_every_question_unanswered_is_found() -> None:
    assert open_keys(finished(answers=())) == [q.key for q in QUESTIONS]


def test_a_build_without_questions_is_found() -> None:
    found = checklist_findings(finished(questions=()))
    assert [f.code for f in found] == [FindingCode.NOT_ANSWERED]


def test_an_answer_no_is_kept_and_blocks() -> None:
    assert open_keys(answered(finished(), answer("clean", "no", detail="oil in it"))) == ["clean"]


def test_answers_before_a_rods_cut_no_longer_count_where_they_speak_of_rods() -> None:
    assert open_keys(cut(finished(), "R-1")) == [
        "heat",
        "forbidden-zones",
        "caps-and-bolts",
        "oil-ways",
        "clean",
    ]


def test_a_pistons_cut_leaves_the_answers_on_rods_and_damper() -> None:
    assert open_keys(cut(finished(), "P-1")) == ["heat", "forbidden-zones", "clean"]


def test_another_damper_asks_for_damper_and_rating_again() -> None:
    facts = finished()
    other = part("D-2", "damper")
    late = replace(
        facts,
        parts={**facts.parts, "D-2": other},
        fitments=(*facts.fitments, fitment(99, "D-2", None, fitted_at=at(6))),
    )
    assert {"damper", "rating"} <= set(open_keys(late))
    again = [answer(q.key, moment=at(6, 10)) for q in QUESTIONS]
    assert open_keys(answered(late, *again)) == []


def test_an_answer_at_the_moment_of_the_cut_counts() -> None:
    facts = cut(finished(), "P-1")
    again = [answer(q.key, moment=at(6)) for q in QUESTIONS]
    assert open_keys(answered(facts, *again)) == []


def test_a_damper_not_seen_needs_a_crank_elsewhere_and_a_reason() -> None:
    facts = without(finished(crank_in_job=False, no_crank_reason="with the customer"), "D-1")
    assert check_answer("damper", "Not seen by us", "with the customer", facts) == "not seen by us"
    said = answered(facts, answer("damper", "not seen by us", detail="with the customer"))
    assert open_keys(said) == []
    assert open_keys(answered(facts, answer("damper", "not seen by us"))) == ["damper"]
    with pytest.raises(BadValue) as refused:
        check_answer("damper", "not seen by us", " ", facts)
    assert refused.value.field == "detail"


def test_it_refuses_not_seen_where_the_crank_is_in_the_job() -> None:
    with pytest.raises(Conflict, match="say first that it isn't in the job"):
        check_answer("damper", "not seen by us", "why", finished())
    said = answered(finished(), answer("damper", "not seen by us", detail="why"))
    assert open_keys(said) == ["damper"]


def test_it_refuses_an_unknown_question() -> None:
    with pytest.raises(BadValue) as refused:
        check_answer("wings", "yes", "", finished())
    assert refused.value.field == "key"


def test_it_refuses_an_answer_that_a_question_can_not_have() -> None:
    assert check_answer("heat", "YES", "", finished()) == "yes"
    with pytest.raises(BadValue, match="expected yes, no; got 'perhaps'"):
        check_answer("heat", "perhaps", "", finished())


def test_a_no_needs_a_reason() -> None:
    assert check_answer("heat", "no", "R-1 is blue", finished()) == "no"
    with pytest.raises(BadValue) as refused:
        check_answer("heat", "no", "", finished())
    assert refused.value.field == "detail"


def test_only_competition_asks_for_a_rating() -> None:
    street, race = finished(), finished(use="competition")
    assert accepted_answers("rating", street) == ("yes", "not applicable")
    assert accepted_answers("rating", race) == ("yes", "not for competition")
    assert open_keys(answered(race, answer("rating", "not applicable"))) == ["rating"]
