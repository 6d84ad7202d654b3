"""Scales: how fit they are and why, their calibrations and checks; check weights."""

from __future__ import annotations

from datetime import UTC, datetime

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from records.actions.scale_checks import record_scale_check
from records.actions.scales import book_check_weight, book_scale, record_calibration
from records.queries.people import names_of
from records.queries.scales import ScaleRow, check_weights, scales_with_status
from records.queries.scales import scale_page as page_of
from shop.web.forms.scales import BookScaleForm, CalibrationForm, CheckForm, CheckWeightForm
from shop.web.views.deeds import refused
from shop.web.views.page import Asked, of_the_shop, shown
from shop.web.words import listed, things


@require_http_methods(["GET", "POST"])
@of_the_shop
def scales(request: Asked) -> HttpResponse:
    """List the scales and check weights; book another."""
    sent = request.POST.get("deed", "")
    scale_form = BookScaleForm(request.POST if sent == "scale" else None)
    weight_form = CheckWeightForm(request.POST if sent == "weight" else None)
    status = 200
    if sent == "scale":
        status = refused(request, scale_form, lambda told: _booked(request, scale_form))
    elif sent == "weight":
        status = refused(
            request, weight_form, lambda told: book_check_weight(by=request.person, **told)
        )
    if sent and status == 0:
        messages.success(request, f"{request.POST['number'].strip()} is booked.")
        return redirect("web:scales")
    rows = scales_with_status(datetime.now(UTC))
    return shown(
        request,
        "web/scales.html",
        {
            "title": _title(rows),
            "rows": rows,
            "weights": check_weights(),
            "scale_form": scale_form,
            "weight_form": weight_form,
            "may_keep": request.viewer.may("keep scales"),
        },
        status or 200,
    )


@require_http_methods(["GET", "POST"])
@of_the_shop
def scale(request: Asked, number: str) -> HttpResponse:
    """Show a scale; record a check or a calibration of it."""
    sent = request.POST.get("deed", "")
    weights = [(w.number, f"{w.number}, {w.nominal_g.normalize():f} g") for w in check_weights()]
    check = CheckForm(request.POST if sent == "check" else None, weights=weights)
    calibration = CalibrationForm(request.POST if sent == "calibration" else None)
    status = 200
    if sent == "check":
        status = refused(request, check, lambda told: _checked(request, number, check))
    elif sent == "calibration":
        status = refused(
            request, calibration, lambda told: _calibrated(request, number, calibration)
        )
    if sent and status == 0:
        return redirect("web:scale", number=number)
    page = page_of(number, datetime.now(UTC))
    return shown(
        request,
        "web/scale.html",
        {
            "page": page,
            "names": names_of(
                [one.operator for one in page.checks] + [c.recorded_by for c in page.calibrations]
            ),
            "check": check,
            "calibration": calibration,
            "may_check": request.viewer.may("check scale"),
            "may_keep": request.viewer.may("keep scales"),
        },
        status or 200,
    )


def _booked(request: Asked, form: BookScaleForm) -> None:
    told = form.cleaned_data
    book_scale(
        by=request.person,
        number=told["number"],
        capacity_g=told["capacity_g"],
        steps=form.steps,
        note=told["note"],
    )


def _checked(request: Asked, number: str, form: CheckForm) -> None:
    check = record_scale_check(
        by=request.person,
        scale=number,
        loads=form.loads,
        measured_at=form.cleaned_data["measured_at"],
        remark=form.cleaned_data["remark"],
    )
    if check.passed:
        messages.success(request, f"The check of {number} passed and is recorded.")
    else:
        messages.warning(
            request,
            f"The check of {number} failed and is recorded. What was weighed on it since its last "
            "good check doesn't count now: clean and level it, check it again, or take another.",
        )


def _calibrated(request: Asked, number: str, form: CalibrationForm) -> None:
    told = form.cleaned_data
    record_calibration(
        by=request.person,
        scale=number,
        certificate_number=told["certificate_number"],
        calibrated_on=told["calibrated_on"],
        due_on=told["due_on"],
        as_left=form.points("as_left"),
        as_found=form.points("as_found"),
        repeatability=form.spreads,
        repeatability_nu=told["repeatability_nu"],
        eccentricity=form.eccentricity,
        laboratory=told["laboratory"],
        adjusted=bool(told["as_found"]),
    )
    messages.success(request, f"Calibration {told['certificate_number']} is recorded.")


def _title(rows: tuple[ScaleRow, ...]) -> str:
    if not rows:
        return "No scale is booked yet"
    many = things(len(rows), "scale").capitalize()
    unfit = [row.number for row in rows if not row.may_weigh]
    if not unfit:
        return f"{many}, fit to weigh on"
    return f"{many}, and {listed(unfit)} may not weigh now"
