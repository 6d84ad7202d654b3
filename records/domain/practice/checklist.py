"""The safety checklist: what is asked, which answers do, and when an answer no longer counts."""

from __future__ import annotations

from dataclasses import dataclass

from records.domain.errors import BadValue, Code, Conflict
from records.domain.practice.facts import AnswerFacts, BuildFacts, QuestionFacts
from records.domain.practice.finding import Finding, FindingCode, finding
from records.domain.practice.fitted import last_touched, parts_now

YES = "yes"
NO = "no"
NOT_APPLICABLE = "not applicable"
NOT_SEEN = "not seen by us"
NOT_FOR_COMPETITION = "not for competition"
ANSWERS = (YES, NO, NOT_APPLICABLE, NOT_SEEN, NOT_FOR_COMPETITION)

DAMPER = "damper"
RATING = "rating"
CAPS = "caps-and-bolts"


@dataclass(frozen=True, slots=True)
class Question:
    """A question, and the kinds of part it speaks of (none named: every part)."""

    key: str
    text: str
    kinds: tuple[str, ...] = ()


# The wording is ours, the shop edits it; the key is what the rules know (common practice).
QUESTIONS: tuple[Question, ...] = (
    Question("heat", "Is every part free of blue or darker heat colour?"),
    Question("forbidden-zones", "Is every part uncut in the zones that forbid it?"),
    Question(CAPS, "Are all caps and bolts back on their own rods, as marked?", ("rod",)),
    Question("oil-ways", "Are all oil ways clear?", ("rod", "crankshaft")),
    Question("clean", "Are all parts deburred and clean?"),
    Question(
        DAMPER,
        "Is a damper fitted that really damps (a solid pulley is none)?",
        ("crankshaft", "damper", "pulley"),
    ),
    Question(
        RATING,
        "Is the damper's rating label valid on the event day, under the rulebook that applies?",
        ("damper",),
    ),
)
_KINDS = {question.key: question.kinds for question in QUESTIONS}


def accepted_answers(key: str, facts: BuildFacts) -> tuple[str, ...]:
    """Return the answers that let a build pass this question; a "no" is kept, and blocks."""
    also: tuple[str, ...] = ()
    if key == DAMPER and facts.crank_in_job is False:
        also = (NOT_SEEN,)
    elif key == RATING:
        also = (NOT_FOR_COMPETITION,) if facts.use == "competition" else (NOT_APPLICABLE,)
    elif key in (CAPS, "oil-ways") and not parts_now(facts, *_KINDS[key]):
        also = (NOT_APPLICABLE,)
    return (YES, *also)


def check_answer(key: str, answer: str, detail: str, facts: BuildFacts) -> str:
    """Return the answer, tidied; refuse one that the question can't have.

    Errors: BadValue at `key`, `answer` or `detail`; Conflict for "not seen by us" where the crank
    is in the job.
    """
    if key not in {question.key for question in facts.questions}:
        known = ", ".join(question.key for question in facts.questions) or "no question"
        raise _bad("key", known, key, Code.UNKNOWN_NUMBER)
    told = " ".join(answer.lower().split())
    if told == NOT_SEEN and key == DAMPER and facts.crank_in_job is not False:
        raise Conflict(
            Code.CONFLICT,
            f"expected a yes or no: the crank of build {facts.number} is not said to be elsewhere; "
            "say first that it isn't in the job, and why",
            field="answer",
            expected="yes or no",
            got=answer,
        )
    possible = (*accepted_answers(key, facts), NO)
    if told not in possible:
        raise _bad("answer", ", ".join(possible), answer, Code.BAD_VALUE)
    if told not in (YES, NOT_APPLICABLE) and not detail.strip():
        raise _bad("detail", "a reason", "none", Code.MISSING)
    return told


def checklist_findings(facts: BuildFacts) -> tuple[Finding, ...]:
    """Return what is unanswered, answered no, or answered before the last cut or fitment."""
    answers = {answer.key: answer for answer in facts.answers}
    found = []
    for question in facts.questions:
        why = _why_open(question, answers.get(question.key), facts)
        if why:
            text = f"checklist, {question.text} {why}"
            found.append(finding(FindingCode.NOT_ANSWERED, text, question.key, why))
    if not facts.questions:
        text = "checklist: expected questions, got none; set one for the shop"
        found.append(finding(FindingCode.NOT_ANSWERED, text, "no questions"))
    return tuple(found)


def _why_open(question: QuestionFacts, answer: AnswerFacts | None, facts: BuildFacts) -> str:
    """Say why a question is still open; nothing when its answer counts."""
    if answer is None:
        return "not answered yet"
    touched = last_touched(facts, _KINDS.get(question.key, ()))
    if touched is not None and answer.answered_at < touched:
        return "answered before the last cut or fitment it speaks of; answer it again"
    if answer.answer not in accepted_answers(question.key, facts):
        return f"answered {answer.answer}; put it right and answer again"
    if answer.answer in (NOT_SEEN, NOT_FOR_COMPETITION) and not answer.detail.strip():
        return f"answered {answer.answer} without a reason"
    return ""


def _bad(field: str, expected: str, got: str, code: Code) -> BadValue:
    return BadValue(
        code,
        f"expected {expected}; got {got!r}",
        field=field,
        expected=expected,
        got=got,
    )
