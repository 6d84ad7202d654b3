"""What is recorded of a scale beside its checks: certificates, their files, events; what is due."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any, ClassVar

from django.http import HttpResponse
from rest_framework.request import Request
from rest_framework.response import Response

from api.answers import plain
from api.authentication import person
from api.idempotency import done_once
from api.parsers import FILES, CertificateCsv, Json
from api.serializers.scales import (
    CalibrationGiven,
    EventGiven,
    FileGiven,
    WeightCertificateGiven,
)
from api.shapes import Attached, ListOf
from api.views.base import ForTheShop, Looking, Recording, checked
from records.actions.calibration_files import attach_calibration_file
from records.actions.certificate_csv import certificate_of_csv
from records.actions.check_weights import record_weight_certificate
from records.actions.scale_events import record_scale_event
from records.actions.scales import record_calibration
from records.queries.due_list import DueRow, due_list
from records.queries.scale_history import FileHeld, calibration_file
from records.queries.scales import scale_page

BESIDE_A_CSV = (
    "certificate_number",
    "calibrated_on",
    "due_on",
    "laboratory",
    "adjusted",
    "repeatability_nu",
)


class OfAScale(ForTheShop, Recording):
    """A deed at a scale: one that isn't there is answered 404 first."""

    def check_before(self, request: Request, **named: Any) -> None:
        scale_page(named["number"], datetime.now(UTC))


class Calibrations(OfAScale):
    """Calibrations of a scale."""

    parser_classes = (Json, CertificateCsv)
    takes = CalibrationGiven
    also_takes: ClassVar[dict[str, Any]] = {"text/csv": {"type": "string"}}
    beside = BESIDE_A_CSV

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Record a calibration certificate; without `as_found` the scale was not adjusted.

        As JSON, or its table as text/csv with the rest in the query: columns state, load, error, U,
        k, s with their units, as load_g; state is as left, as found or repeatability.
        """
        return record_calibration(by=by, scale=named["number"], **given)

    def _done(self, request: Request, named: Mapping[str, Any]) -> dict[str, Any]:
        row = self.record(person(request), checked(self.takes, _certificate(request)), **named)
        answer: dict[str, Any] = plain(self.answer(row))
        return answer


class Events(OfAScale):
    """What happens to a scale."""

    takes = EventGiven

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Record an adjustment, a repair, a withdrawal, a return, or a failed check's cause.

        A cause, or a return, makes no scale fit by itself: a repeat check must pass as well.
        """
        return record_scale_event(by=by, scale=named["number"], **given)


class Files(OfAScale):
    """Files at a calibration."""

    parser_classes = FILES
    takes = FileGiven
    takes_only: ClassVar[dict[str, Any]] = {
        one.media_type: {"type": "string", "contentMediaType": one.media_type} for one in FILES
    }
    beside = ("name",)

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Attach a photo or PDF of the certificate: the body is the file, its name in the query.

        What it is is told by its content; a photo's metadata is left out. At most 5 MiB.
        """
        number, calibration = named["number"], named["calibration"]
        return attach_calibration_file(by=by, scale=number, calibration=calibration, **given)

    def post(self, request: Request, **named: Any) -> Response:
        data: Any = request.data
        given = {"file": data["file"], "name": request.query_params.get("name", "")}
        self.check_before(request, **named)
        return done_once(request, lambda: (self.status, self._attached(request, given, named)))

    def _attached(
        self, request: Request, given: dict[str, Any], named: Mapping[str, Any]
    ) -> dict[str, Any]:
        row = self.record(person(request), checked(self.takes, dict(given)), **named)
        answer: dict[str, Any] = plain(self.answer(row))
        return answer


class File(ForTheShop, Looking):
    """A file at a calibration."""

    shows = Attached

    def get(self, request: Request, **named: Any) -> HttpResponse:  # type: ignore[override]
        held = self.look(request, **named)
        return HttpResponse(held.content, content_type=held.media_type, headers=_apart(held))

    def look(self, request: Request, **named: Any) -> FileHeld:
        """Hand out a file as it was attached."""
        return calibration_file(named["number"], named["file"])


class WeightCertificates(ForTheShop, Recording):
    """Certificates of a check weight."""

    takes = WeightCertificateGiven

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Record what a check weight weighs by its certificate."""
        return record_weight_certificate(by=by, weight=named["number"], **given)


class Due(ForTheShop, Looking):
    """What is due."""

    shows = ListOf(DueRow)

    def look(self, request: Request, **named: Any) -> tuple[DueRow, ...]:
        """List what must go to be calibrated, the first due first."""
        return due_list(datetime.now(UTC))

    def key_of(self, row: DueRow) -> object:
        return f"{row.kind} {row.number}"


def _certificate(request: Request) -> Any:
    """Return body and query as one object; a query beside JSON is refused as unknown keys are."""
    data: Any = request.data
    sent = data.get("csv") if isinstance(data, dict) else None
    csv = sent if isinstance(sent, bytes) else None
    query = {
        key if csv is not None and key in BESIDE_A_CSV else f"?{key}": value
        for key, value in request.query_params.items()
    }
    if csv is None:
        return {**data, **query} if isinstance(data, dict) else data
    table = certificate_of_csv(data=csv)
    return {
        "as_left": [_point(point) for point in table.as_left],
        "as_found": [_point(point) for point in table.as_found],
        "repeatability": [
            {"load_g": str(row.load_g), "s_g": str(row.s_g)} for row in table.repeatability
        ],
        **query,
    }


def _point(point: Any) -> dict[str, str]:
    return {key: str(getattr(point, key)) for key in ("load_g", "error_g", "U_g", "k")}


def _apart(held: FileHeld) -> dict[str, str]:
    """Return headers that let a browser save a file, and neither guess its kind nor run it."""
    ending = held.media_type.rpartition("/")[2]
    name = "".join(c if c.isascii() and c.isalnum() else "-" for c in held.name)
    return {
        "Content-Disposition": f'attachment; filename="{name}.{ending}"',
        "X-Content-Type-Options": "nosniff",
        "Content-Security-Policy": "sandbox; default-src 'none'",
    }
