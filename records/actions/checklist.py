"""Answers to the safety checklist."""

from __future__ import annotations

from datetime import datetime

from records import ledger
from records.actions.clock import SYSTEM, Clock, check_not_ahead
from records.actions.deed import deed
from records.actions.findings import raise_findings
from records.actions.lookup import found, optional_text
from records.domain.errors import BadValue, Code
from records.domain.practice.checklist import check_answer
from records.models import Build, ChecklistAnswer, ChecklistQuestion
from records.queries.build_facts import facts_of


def answer_question(
    *,
    by: str,
    build: str,
    question: str,
    answer: str,
    detail: str = "",
    answered_at: datetime | None = None,
    clock: Clock = SYSTEM,
) -> ChecklistAnswer:
    """Record an answer to one question (by its key); a newer answer takes its place.

    Errors: BadValue for an unknown question, or an answer that it doesn't allow.
    """
    stream = ledger.build_stream(build)
    with deed(by=by, name="answer checklist", streams=[stream], clock=clock) as act:
        where = found(Build, build, "build")
        at = answered_at or act.at
        check_not_ahead(at, act.at, "answered_at")
        row = ChecklistAnswer.objects.create(
            build=where,
            question=_question(where, question),
            answer=check_answer(question, answer, detail, facts_of(build)),
            detail=optional_text(detail, "detail", 400),
            operator=act.person,
            answered_at=at,
            **act.stamp,
        )
        act.enter(stream, "checklist answered", [row, *raise_findings(act, where)])
        return row


def _question(build: Build, key: str) -> ChecklistQuestion:
    row = ChecklistQuestion.objects.filter(checklist=build.checklist, key=key).first()
    if row is None:
        keys = ", ".join(build.checklist.questions.values_list("key", flat=True))
        raise BadValue(
            Code.UNKNOWN_NUMBER,
            f"expected one of {keys}, got {key!r}",
            field="question",
            expected=keys,
            got=key,
        )
    return row
