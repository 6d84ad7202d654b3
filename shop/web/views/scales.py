"""Scales: how fit they are and why, what is due; check weights; booking them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from records.actions.check_weights import record_weight_certificate
from records.actions.scales import book_check_weight, book_scale
from records.queries.check_weights import check_weights
from records.queries.due_list import due_list
from records.queries.scales import ScaleRow, scales_with_status
from shop.web.forms.deed import DeedForm
from shop.web.forms.scale_events import WeightCertificateForm
from shop.web.forms.scales import BookScaleForm, CheckWeightForm
from shop.web.views.deeds import refused
from shop.web.views.page import Asked, of_the_shop, shown
from shop.web.words import listed, things


@require_http_methods(["GET", "POST"])
@of_the_shop
def scales(request: Asked) -> HttpResponse:
    """List the scales and check weights; book another."""
    sent = request.POST.get("deed", "")
    now = datetime.now(UTC)
    weights = check_weights()
    forms = _forms(request, [(row.number, row.number) for row in weights])
    status = 200
    if sent in forms:
        status = refused(request, forms[sent], lambda told: DEEDS[sent](request, forms[sent]))
        if not status:
            return redirect("web:scales")
    rows = scales_with_status(now)
    return shown(
        request,
        "web/scales.html",
        {
            "title": _title(rows),
            "rows": rows,
            "weights": weights,
            "due": due_list(now),
            "forms": forms,
            "may_keep": request.viewer.may("keep scales"),
        },
        status,
    )


def _forms(request: Asked, weights: list[tuple[str, str]]) -> dict[str, DeedForm]:
    sent = request.POST.get("deed", "")

    def given(deed: str) -> Any:
        return request.POST if sent == deed else None

    return {
        "scale": BookScaleForm(given("scale")),
        "weight": CheckWeightForm(given("weight")),
        "certificate": WeightCertificateForm(given("certificate"), weights=weights),
    }


def _booked(request: Asked, form: Any) -> None:
    told = form.cleaned_data
    book_scale(
        by=request.person,
        number=told["number"],
        capacity_g=told["capacity_g"],
        steps=form.steps,
        note=told["note"],
        made_on=told["made_on"],
    )
    messages.success(request, f"{told['number']} is booked.")


def _weight(request: Asked, form: Any) -> None:
    book_check_weight(by=request.person, **form.cleaned_data)
    messages.success(request, f"{form.cleaned_data['number']} is booked.")


def _certified(request: Asked, form: Any) -> None:
    record_weight_certificate(by=request.person, **form.cleaned_data)
    messages.success(request, f"The certificate of {form.cleaned_data['weight']} is recorded.")


DEEDS: dict[str, Callable[[Asked, Any], None]] = {
    "scale": _booked,
    "weight": _weight,
    "certificate": _certified,
}


def _title(rows: tuple[ScaleRow, ...]) -> str:
    if not rows:
        return "No scale is booked yet"
    many = things(len(rows), "scale").capitalize()
    unfit = [row.number for row in rows if not row.may_weigh]
    if not unfit:
        return f"{many}, fit to weigh on"
    return f"{many}, and {listed(unfit)} may not weigh now"
