"""Certificates: the list, one with its revisions, and its signed file."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_GET, require_http_methods

from records.actions.releases import change_certificate_state
from records.queries.certificates import certificate_bytes, certificate_page
from records.queries.certificates import certificates as all_certificates
from records.queries.people import customer_names_of, names_of
from shop.web.forms.deciding import CertificateStateForm
from shop.web.views.deeds import refused
from shop.web.views.page import Asked, page, shown
from shop.web.words import things


@require_GET
@page
def certificates(request: Asked) -> HttpResponse:
    """List every revision of every certificate, newest first."""
    rows = all_certificates(request.viewer)
    standing = sum(row.state == "stands" for row in rows)
    title = f"{things(standing, 'certificate')} {'stands' if standing == 1 else 'stand'}"
    names = customer_names_of(row.customer for row in rows if row.customer)
    return shown(
        request,
        "web/certificates.html",
        {"rows": rows, "title": title.capitalize(), "names": names},
    )


@require_http_methods(["GET", "POST"])
@page
def certificate(request: Asked, number: str) -> HttpResponse:
    """Show a certificate; change the state of its newest revision."""
    seen = certificate_page(number, request.viewer)
    newest = seen.revisions[0]
    form = CertificateStateForm(
        request.POST if request.method == "POST" else None,
        initial={"revision": newest.row.revision},
    )
    status = 200
    if request.method == "POST":
        status = refused(
            request,
            form,
            lambda told: change_certificate_state(by=request.person, certificate=number, **told),
        )
        if not status:
            messages.success(request, f"{number} is now {form.cleaned_data['state']}.")
            return redirect("web:certificate", number=number)
    people = [state.by for one in seen.revisions for state in one.states]
    return shown(
        request,
        "web/certificate.html",
        {
            "page": seen,
            "newest": newest,
            "form": form,
            "names": names_of(people + [one.row.released_by for one in seen.revisions]),
            "may_change": request.viewer.may("change certificate")
            and newest.row.state != "withdrawn",
        },
        status,
    )


@require_GET
@page
def certificate_pdf(request: Asked, number: str, revision: int) -> HttpResponse:
    """Hand the signed file out as it was issued."""
    pdf = certificate_bytes(number, revision, request.viewer)
    answer = HttpResponse(pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'attachment; filename="{_file_name(number, revision)}"'
    answer["Cache-Control"] = "no-store"
    return answer


def _file_name(number: str, revision: int) -> str:
    plain = "".join(c if c.isalnum() or c in "-_" else "_" for c in number)
    return f"{plain}-{revision}.pdf"
