"""Releases and certificates: signed with the password once more, shown, and put in doubt."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from rest_framework.request import Request
from rest_framework.throttling import ScopedRateThrottle

from api.authentication import RELEASE, check_password_again, viewer
from api.serializers.work import Released, ReleaseRecorded, StateChanged
from api.shapes import ListOf, Pdf
from api.views.base import Looking, OfABuild, Recording
from records.actions.releases import change_certificate_state, release_build
from records.queries.certificates import (
    CertificatePage,
    CertificateRow,
    certificate_bytes,
    certificate_page,
    certificates,
)


class Releases(OfABuild, Recording):
    """Releases of a build."""

    scopes = RELEASE
    throttle_classes = (ScopedRateThrottle,)
    throttle_scope = "sign-in"  # it takes a password
    takes = Released
    gives = ReleaseRecorded

    def check_before(self, request: Request, **named: Any) -> None:
        data = request.data
        given = data.get("password") if isinstance(data, dict) else None
        if isinstance(given, str) and given:
            check_password_again(request, given)

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Release the build and fix its certificate's number; the paper is issued right after."""
        told = {key: value for key, value in given.items() if key != "password"}
        return release_build(by=by, build=named["number"], **told)


class Certificates(Looking):
    """Certificates that one may see."""

    shows = ListOf(CertificateRow)

    def look(self, request: Request, **named: Any) -> tuple[CertificateRow, ...]:
        """List every revision of every certificate, newest first."""
        return certificates(viewer(request))

    def key_of(self, row: CertificateRow) -> object:
        return f"{row.number}/{row.revision}"


class Certificate(Looking):
    """One certificate."""

    shows = CertificatePage

    def look(self, request: Request, **named: Any) -> CertificatePage:
        """Show a certificate with all its revisions, their states and frozen facts."""
        return certificate_page(named["number"], viewer(request))


class Paper(Looking):
    """The signed paper."""

    shows = Pdf

    def get(self, request: Request, **named: Any) -> HttpResponse:  # type: ignore[override]
        number, revision = named["number"], named["revision"]
        name = "".join(c if c.isalnum() else "-" for c in f"{number}-{revision}")
        return HttpResponse(
            self.look(request, **named),
            content_type="application/pdf",
            headers={"Content-Disposition": f'attachment; filename="{name}.pdf"'},
        )

    def look(self, request: Request, **named: Any) -> bytes:
        """Hand out the signed PDF as it was issued."""
        return certificate_bytes(named["number"], named["revision"], viewer(request))


class CertificateStates(Recording):
    """Later states of a certificate."""

    scopes = RELEASE
    takes = StateChanged

    def check_before(self, request: Request, **named: Any) -> None:
        certificate_page(named["number"], viewer(request))

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Put a certificate in doubt, withdraw it, or let it stand again, with the reason."""
        number, revision = named["number"], named["revision"]
        return change_certificate_state(by=by, certificate=number, revision=revision, **given)
