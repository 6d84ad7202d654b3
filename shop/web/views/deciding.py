"""What is answered, decided and signed: the checklist, findings, and the release."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from records.actions.checklist import answer_question
from records.actions.findings import dispose
from records.actions.releases import release_build
from records.domain.errors import Code, NotFound
from records.queries.build_page import BuildPage
from records.queries.words import answers_to
from shop.web.forms.deciding import AnswerForm, DisposeForm, ReleaseForm
from shop.web.views.deeds import refused
from shop.web.views.one_build import framed, way_to
from shop.web.views.page import Asked, of_the_shop, shown
from shop.web.words import count, things


@require_http_methods(["GET", "POST"])
@of_the_shop
def checklist(request: Asked, number: str) -> HttpResponse:
    """Show the questions with their newest answers; answer one."""
    context = framed(request, number, "checklist")
    page: BuildPage = context["page"]
    forms = {q.key: _answer_form(request, page, q.key) for q in page.facts.questions}
    status, sent = 200, request.POST.get("question", "")
    if request.method == "POST":
        form = forms.get(sent)
        if form is None:
            raise _unknown("question", sent)
        status = refused(
            request,
            form,
            lambda told: answer_question(by=request.person, build=number, **told),
        )
        if not status:
            messages.success(request, "The answer is recorded.")
            return redirect(reverse("web:checklist", args=[number]) + "#open")
    context |= _checklist(page, forms) | {"may_answer": request.viewer.may("answer checklist")}
    return shown(request, "web/build/checklist.html", context, status)


@require_http_methods(["GET", "POST"])
@of_the_shop
def findings(request: Asked, number: str) -> HttpResponse:
    """Show what was found; record what an inspector decides."""
    context = framed(request, number, "findings")
    page: BuildPage = context["page"]
    sent, status = request.POST.get("key", ""), 200
    rows = [(one, _dispose_form(request, one, sent)) for one in page.findings]
    if request.method == "POST":
        form = next((f for one, f in rows if one.finding.key == sent and f.is_bound), None)
        if form is None:
            raise _unknown("finding", sent)
        status = refused(request, form, lambda told: _disposed(request, number, form))
        if not status:
            messages.success(request, "The decision is recorded.")
            return redirect("web:findings", number=number)
    still = [pair for pair in rows if not pair[0].closed]
    context |= {
        "title": _findings_title(len(still), len(rows) - len(still)),
        "standing": [pair for pair in still if pair[0].decisions],
        "undecided": [
            (one, way_to(number, str(one.finding.code))) for one, _ in still if not one.decisions
        ],
        "closed": [one for one, _ in rows if one.closed],
        "sent": sent,
        "may_dispose": request.viewer.may("dispose"),
    }
    return shown(request, "web/build/findings.html", context, status)


@require_http_methods(["GET", "POST"])
@of_the_shop
def release(request: Asked, number: str) -> HttpResponse:
    """Show what is signed and what it means; release on the password given again."""
    context = framed(request, number, "release")
    page: BuildPage = context["page"]
    form = ReleaseForm(
        request.POST if request.method == "POST" else None,
        user=request.user,
        competition=page.row.use == "competition",
        conditional=bool(page.conditional),
        released=bool(page.row.certificate),
    )
    status = 200
    if request.method == "POST":
        status = refused(request, form, lambda told: _released(request, number, form))
        if not status:
            return redirect("web:build", number=number)
    context |= {
        "title": _release_title(page),
        "form": form,
        "waived": [b for b in page.blocks if b not in page.blocks_for_competition_waived],
        "may_release": request.viewer.may("release"),
        "did": sorted(page.workers.get(request.person, ())),
    }
    return shown(request, "web/build/release.html", context, status)


def _release_title(page: BuildPage) -> str:
    number, blocks = page.row.number, len(page.blocks)
    if blocks:
        verb = "blocks" if blocks == 1 else "block"
        return f"{things(blocks, 'thing').capitalize()} {verb} the release of build {number}"
    if page.row.certificate and page.row.state == "stands":
        return f"Build {number} is released; another revision would replace its certificate"
    return f"Nothing blocks the release of build {number}"


def _findings_title(still: int, closed: int) -> str:
    if not still:
        return f"No finding is open, {closed or 'none'} closed"
    title = f"{things(still, 'finding')} open, {count(closed) if closed else 'none'} closed"
    return title.capitalize()


def _released(request: Asked, number: str, form: ReleaseForm) -> None:
    told = form.cleaned_data
    row = release_build(
        by=request.person,
        build=number,
        seals=form.seals_put_on,
        no_seals_reason=told["no_seals_reason"],
        seen_conditional=told.get("seen_conditional", False),
        not_for_competition=told.get("not_for_competition", False),
        not_for_competition_reason=told.get("not_for_competition_reason", ""),
        replaces=told.get("replaces", False),
    )
    messages.success(
        request,
        f"Build {number} is released as certificate {row.certificate_number}, "
        f"revision {row.revision}.",
    )


def _disposed(request: Asked, number: str, form: DisposeForm) -> None:
    told = form.cleaned_data
    dispose(
        by=request.person,
        build=number,
        key=told["key"],
        decision=told["decision"],
        reason=told["reason"],
        evidence=form.evidence,
    )


def _answer_form(request: Asked, page: BuildPage, key: str) -> AnswerForm:
    bound = request.POST.get("question") == key
    return AnswerForm(
        request.POST if bound else None,
        answers=answers_to(key, page.facts),
        initial={"question": key},
        auto_id=f"id_{key}_%s",
    )


def _dispose_form(request: Asked, one: Any, sent: str) -> DisposeForm:
    key = one.finding.key
    return DisposeForm(
        request.POST if sent == key else None,
        finding=one,
        initial={"key": key},
        auto_id=f"id_{abs(hash(key))}_%s",
    )


def _checklist(page: BuildPage, forms: dict[str, AnswerForm]) -> dict[str, Any]:
    answers = {answer.key: answer for answer in page.facts.answers}
    waits = {b.text for b in page.blocks if b.code == "not_answered"}
    rows = [
        (
            question,
            answers.get(question.key),
            next((text for text in waits if question.text in text), ""),
            forms[question.key],
        )
        for question in page.facts.questions
    ]
    left = sum(bool(row[2]) for row in rows)
    title = "Every question is answered"
    if left:
        title = f"{things(len(rows), 'question')}, {count(left)} still to answer".capitalize()
    return {"title": title, "rows": rows}


def _unknown(what: str, got: str) -> NotFound:
    return NotFound(Code.NOT_FOUND, f"no {what} is known as {got[:40]!r}")
