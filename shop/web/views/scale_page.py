"""One scale: its standing and why, its checks and their charts, certificates, events."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_GET, require_http_methods

from records.actions.calibration_files import attach_calibration_file
from records.actions.scale_checks import record_scale_check
from records.actions.scale_events import record_scale_event
from records.actions.scales import record_calibration
from records.domain.reckon.shown import shown as rounded
from records.queries.check_weights import check_weights
from records.queries.people import names_of
from records.queries.scale_history import calibration_file
from records.queries.scales import ScalePage
from records.queries.scales import scale_page as page_of
from shop.web.forms.deed import DeedForm
from shop.web.forms.scale_events import CauseForm, EventForm, FileForm
from shop.web.forms.scales import Advised, CalibrationForm, CheckForm
from shop.web.views.deeds import refused
from shop.web.views.page import Asked, of_the_shop, shown

Forms = dict[str, DeedForm]
CHECKS_SHOWN = 20


@require_http_methods(["GET", "POST"])
@of_the_shop
def scale(request: Asked, number: str) -> HttpResponse:
    """Show a scale; record what is told of it."""
    page = page_of(number, datetime.now(UTC))
    forms = _forms(request, page)
    sent = request.POST.get("deed", "")
    status = 200
    if sent in DEEDS and sent in forms:
        status = refused(request, forms[sent], lambda told: DEEDS[sent](request, page, forms[sent]))
        if not status:
            return redirect("web:scale", number=number)
    named = [one.operator for one in page.checks] + [one.recorded_by for one in page.calibrations]
    named += [one.recorded_by for one in page.events]
    context = {
        "page": page,
        "forms": forms,
        "names": names_of(named),
        "checks": page.checks[:CHECKS_SHOWN],
        "older": page.checks[CHECKS_SHOWN:],
        "may_check": request.viewer.may("check scale"),
        "may_recall": request.viewer.may("recall"),
        "may_keep": request.viewer.may("keep scales"),
    }
    return shown(request, "web/scale.html", context, status)


@require_GET
@of_the_shop
def scale_file(request: Asked, number: str, file: int) -> HttpResponse:
    """Hand out a certificate's file apart from our pages: saved, never run here."""
    held = calibration_file(number, file)
    ending = held.media_type.rpartition("/")[2]
    name = "".join(c if c.isascii() and c.isalnum() else "-" for c in held.name)
    answer = HttpResponse(held.content, content_type=held.media_type)
    answer["Content-Disposition"] = f'attachment; filename="{name}.{ending}"'
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Cache-Control"] = "no-store"
    return answer


def _forms(request: Asked, page: ScalePage) -> Forms:
    sent = request.POST.get("deed", "")

    def given(deed: str) -> tuple[Any, ...]:
        return (request.POST, request.FILES) if sent == deed else ()

    weights = [(w.number, f"{w.number}, {w.nominal_g.normalize():f} g") for w in check_weights()]
    certificates = [(str(c.facts.id), c.facts.certificate_number) for c in page.calibrations]
    return {
        "check": CheckForm(*given("check"), weights=weights, advised=_advised(page)),
        "calibration": CalibrationForm(*given("calibration")),
        "event": EventForm(*given("event")),
        "cause": CauseForm(*given("cause")),
        "file": FileForm(*given("file"), calibrations=certificates),
    }


def _advised(page: ScalePage) -> Advised:
    """Say of each advised load which weights, why, and which limit and why."""
    loads = page.advice.loads if page.advice else ()
    return [
        (
            one.weights,
            f"Advised: {' + '.join(one.weights)}, {one.why}. Limit "
            f"± {rounded(one.limit_g, one.limit_g)[1]} g: {one.limit_why}.",
        )
        for one in loads
    ]


def _checked(request: Asked, page: ScalePage, form: Any) -> None:
    number = page.scale.number
    check = record_scale_check(
        by=request.person,
        scale=number,
        loads=form.loads,
        measured_at=form.cleaned_data["measured_at"],
        remark=form.cleaned_data["remark"],
    )
    if check.passed:
        messages.success(request, f"The check of {number} passed and is recorded.")
        return
    messages.warning(
        request,
        f"The check of {number} failed and is recorded; {number} is withdrawn. What was weighed "
        "on it since its last good check is in doubt. Find the cause and record it, then repeat "
        "the check; or take another scale.",
    )


def _calibrated(request: Asked, page: ScalePage, form: Any) -> None:
    told, certificate = form.cleaned_data, form.certificate
    record_calibration(
        by=request.person,
        scale=page.scale.number,
        certificate_number=told["certificate_number"],
        calibrated_on=told["calibrated_on"],
        due_on=told["due_on"],
        as_left=certificate.as_left,
        as_found=certificate.as_found,
        repeatability=certificate.repeatability,
        repeatability_nu=told["repeatability_nu"],
        eccentricity=form.eccentricity,
        laboratory=told["laboratory"],
        adjusted=bool(certificate.as_found),
    )
    messages.success(request, f"Calibration {told['certificate_number']} is recorded.")


def _happened(request: Asked, page: ScalePage, form: Any) -> None:
    told = form.cleaned_data
    record_scale_event(
        by=request.person,
        scale=page.scale.number,
        kind=told["kind"],
        reason=told["reason"],
        happened_at=told["happened_at"],
    )
    messages.success(request, f"Recorded: {page.scale.number} {told['kind']}.")


def _caused(request: Asked, page: ScalePage, form: Any) -> None:
    record_scale_event(
        by=request.person,
        scale=page.scale.number,
        kind="cause recorded",
        reason=form.cleaned_data["reason"],
        check=page.unanswered,
    )
    messages.success(request, "The cause is recorded; a passed repeat check makes the scale fit.")


def _attached(request: Asked, page: ScalePage, form: Any) -> None:
    told = form.cleaned_data
    attach_calibration_file(
        by=request.person,
        scale=page.scale.number,
        calibration=int(told["calibration"]),
        name=told["file"].name,
        content=told["file"].read(),
    )
    messages.success(request, "The file is attached; its hash stands in the ledger.")


DEEDS: dict[str, Callable[[Asked, ScalePage, Any], None]] = {
    "check": _checked,
    "calibration": _calibrated,
    "event": _happened,
    "cause": _caused,
    "file": _attached,
}
