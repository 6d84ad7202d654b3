"""Recalls: a scale found out, what it touched, its report, and the end of each case."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from rest_framework.request import Request

from api.authentication import RELEASE
from api.serializers.recalls import (
    CaseEnded,
    CaseEndRecorded,
    RecallGiven,
    RecallRecorded,
    WeightGiven,
    WeightRecalled,
)
from api.shapes import Csv, ListOf, Pdf, result_of, row_of
from api.views.base import ForTheShop, Looking, Recording
from records.actions import recall_clearings, recall_weights
from records.actions import recalls as deeds
from records.queries.recalls import RecallRow, recall_csv, recall_pdf, recall_told, recalls


class Recalls(ForTheShop, Looking, Recording):
    """Recalls of scales that were found out."""

    shows = ListOf(row_of(recalls))
    takes = RecallGiven
    gives = RecallRecorded

    def look(self, request: Request, **named: Any) -> tuple[RecallRow, ...]:
        """List the recalls, newest first."""
        return recalls()

    def key_of(self, row: RecallRow) -> object:
        return row.id

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Recall all that a scale touched since its last good evidence."""
        return deeds.recall(by=by, **given)


class WeightRecalls(ForTheShop, Recording):
    """Recalls by a check weight that was found out."""

    takes = WeightGiven
    gives = WeightRecalled  # type: ignore[assignment]  # of several scales, or of none

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Judge each check again with the weight as found, and recall what it had let pass."""
        return recall_weights.recall_check_weight(by=by, **given)

    def answer(self, row: Any) -> Any:
        return WeightRecalled(tuple(one.pk for one in row))


class OneRecall(ForTheShop, Looking):
    """One recall."""

    shows = result_of(recall_told)

    def look(self, request: Request, **named: Any) -> Any:
        """Show a recall with each build, each decision before and after, and how far it is."""
        return recall_told(named["recall"])


class RecallReport(ForTheShop, Looking):
    """The report of a recall on paper."""

    shows = Pdf

    def get(self, request: Request, **named: Any) -> HttpResponse:  # type: ignore[override]
        return _file(self.look(request, **named), "application/pdf", named["recall"], "pdf")

    def look(self, request: Request, **named: Any) -> bytes:
        """Hand out the report as an unsigned PDF, as it stands now."""
        return recall_pdf(named["recall"])


class RecallRows(ForTheShop, Looking):
    """The report of a recall in rows."""

    shows = Csv

    def get(self, request: Request, **named: Any) -> HttpResponse:  # type: ignore[override]
        rows = self.look(request, **named).encode()
        return _file(rows, "text/csv; charset=utf-8", named["recall"], "csv")

    def look(self, request: Request, **named: Any) -> str:
        """Hand out the report as CSV, one row for each decision (RFC 4180)."""
        return recall_csv(named["recall"])


class CaseEnds(ForTheShop, Recording):
    """The end of a build's case, which may let its certificate stand again."""

    scopes = RELEASE
    takes = CaseEnded
    gives = CaseEndRecorded

    def check_before(self, request: Request, **named: Any) -> None:
        recall_told(named["recall"])

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """End a case: cleared, re-measured, replaced or withdrawn, with the reason."""
        return recall_clearings.clear_case(
            by=by, recall=named["recall"], build=named["build"], **given
        )


def _file(content: bytes, kind: str, recall: int, ending: str) -> HttpResponse:
    name = f'attachment; filename="recall-{recall}.{ending}"'
    return HttpResponse(content, content_type=kind, headers={"Content-Disposition": name})
