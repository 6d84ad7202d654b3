"""Recalls: a scale found out, what it touched, and the end of each build's case."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_GET, require_http_methods

from records.actions.recall_clearings import clear_case
from records.actions.recall_weights import recall_check_weight
from records.actions.recalls import look_again, recall
from records.queries.check_weights import check_weights
from records.queries.people import customer_names_of, names_of
from records.queries.recalls import recall_csv, recall_pdf, recall_told
from records.queries.recalls import recalls as all_recalls
from records.queries.scales import ScalePage, scale_page
from shop.web.forms.deed import Choices
from shop.web.forms.recalls import EndForm, RecallForm, WeightForm
from shop.web.views.deeds import refused
from shop.web.views.page import Asked, of_the_shop, shown
from shop.web.words import listed, things


@require_http_methods(["GET", "POST"])
@of_the_shop
def recalls(request: Asked) -> HttpResponse:
    """List every recall, newest first; recall what a wrong check weight had let pass."""
    weights = [(weight.number, weight.number) for weight in check_weights()]
    form = WeightForm(request.POST or None, weights=weights)
    status = 200
    if request.method == "POST":
        status = refused(request, form, lambda told: _weighed_wrong(request, told))
        if not status:
            return redirect("web:recalls")
    rows = all_recalls()
    left = sum(row.open for row in rows)
    title = "Nothing was recalled yet"
    if rows:
        title = f"{things(len(rows), 'recall')}, {things(left, 'build')} still open"
    return shown(
        request,
        "web/recalls.html",
        {
            "rows": rows,
            "title": title.capitalize(),
            "form": form,
            "may_recall": request.viewer.may("recall"),
        },
        status,
    )


@require_http_methods(["GET", "POST"])
@of_the_shop
def recall_scale(request: Asked, number: str) -> HttpResponse:
    """Recall all that a scale touched since its last good evidence."""
    page = scale_page(number, datetime.now(UTC))
    form = RecallForm(request.POST or None, causes=_causes(page))
    made: list[int] = []
    status = 200
    if request.method == "POST":
        status = refused(
            request,
            form,
            lambda told: made.append(
                recall(
                    by=request.person,
                    scale=number,
                    found_by=form.found,
                    cause=told["cause"],
                    withdrawn_at=told["withdrawn_at"],
                ).pk
            ),
        )
        if not status:
            messages.success(request, f"What {number} touched is in doubt from now on.")
            return redirect("web:recall", made[0]) if made else redirect("web:recalls")
    return shown(
        request,
        "web/recall_scale.html",
        {"page": page, "form": form, "may_recall": request.viewer.may("recall")},
        status,
    )


@require_http_methods(["GET", "POST"])
@of_the_shop
def one_recall(request: Asked, recall: int) -> HttpResponse:
    """Show a recall with its cases; end one, or follow it once more."""
    form = EndForm(request.POST if request.POST.get("deed") == "end" else None)
    status = 200
    if request.method == "POST" and form.is_bound:
        status = refused(
            request, form, lambda told: clear_case(by=request.person, recall=recall, **told)
        )
        if not status:
            told = form.cleaned_data
            messages.success(request, f"{told['build']} is {told['outcome']}.")
    elif request.method == "POST":
        look_again(by=request.person, recall=recall)
        messages.success(request, "It was followed once more, for what was entered late.")
    if request.method == "POST" and not form.errors:
        return redirect("web:recall", recall)
    page = recall_told(recall)
    people = [page.recalled_by, *(case.end.by for case in page.cases if case.end)]
    return shown(
        request,
        "web/recall.html",
        {
            "page": page,
            "form": form,
            "names": names_of(people),
            "customers": customer_names_of(c.customer for c in page.cases if c.customer),
            "may_end": request.viewer.may("clear recall"),
            "may_recall": request.viewer.may("recall"),
        },
        status,
    )


@require_GET
@of_the_shop
def report_pdf(request: Asked, recall: int) -> HttpResponse:
    """Hand out the report on paper, as it stands now."""
    return _file(recall_pdf(recall), "application/pdf", f"recall-{recall}.pdf")


@require_GET
@of_the_shop
def report_csv(request: Asked, recall: int) -> HttpResponse:
    """Hand out the report in rows, one for each decision."""
    return _file(recall_csv(recall).encode(), "text/csv; charset=utf-8", f"recall-{recall}.csv")


def _weighed_wrong(request: Asked, told: dict[str, Any]) -> None:
    made = recall_check_weight(by=request.person, **told)
    scales = listed([row.scale_id for row in made])
    if made:
        messages.warning(request, f"{told['weight']} had let {scales} pass; recalled.")
    else:
        messages.success(request, "Every check with it still passes; nothing was recalled.")


def _file(content: bytes, kind: str, name: str) -> HttpResponse:
    answer = HttpResponse(content, content_type=kind)
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["Cache-Control"] = "no-store"
    return answer


def _causes(page: ScalePage) -> Choices:
    calibrations = [
        (
            f"calibration {one.facts.certificate_number}",
            f"calibration {one.facts.certificate_number} of {one.facts.calibrated_on}, as found",
        )
        for one in page.calibrations
    ]
    failed = [
        (f"check {one.id}", f"check of {one.measured_at:%Y-%m-%d %H:%M} UTC, which failed")
        for one in page.checks
        if not one.passed
    ]
    return calibrations + failed
