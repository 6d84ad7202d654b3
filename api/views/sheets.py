"""Bench sheets taken in, all of it or nothing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from rest_framework.request import Request
from rest_framework.response import Response

from api.answers import plain
from api.authentication import person, viewer
from api.idempotency import done_once
from api.parsers import Json, Sheet
from api.serializers.sheets import SheetGiven, TakenIn
from api.views.base import Recording, checked
from records.actions.take_in import TakeIn, take_in
from records.queries.receipts import receipt_of
from records.queries.viewer import check_build_is_theirs
from records.queries.weighing_warnings import warnings_of_opening

BESIDE_A_CSV = ("open_layout", "rod_length_mm", "stroke_mm", "engine", "customer", "dry_run")


class Sheets(Recording):
    """Bench sheets of a build."""

    parser_classes = (Json, Sheet)
    takes = SheetGiven
    gives: ClassVar[Any] = TakenIn
    also_takes: ClassVar[dict[str, Any]] = {"text/csv": {"type": "string"}}
    beside = BESIDE_A_CSV

    def post(self, request: Request, **named: Any) -> Response:
        told = _told(request)
        if not (isinstance(told, dict) and told.get("open_layout")):
            check_build_is_theirs(named["number"], viewer(request))
        given = checked(self.takes, told)
        if given["dry_run"]:
            return Response(self.taken_in(request, given, named))
        return done_once(request, lambda: (201, self.taken_in(request, given, named)))

    def taken_in(
        self, request: Request, given: dict[str, Any], named: Mapping[str, Any]
    ) -> dict[str, Any]:
        taken = self.record(person(request), given, **named)
        dry_run = given["dry_run"]
        answer: dict[str, Any] = plain(
            TakenIn(
                build=named["number"],
                dry_run=dry_run,
                new_parts=tuple(part.number for part in taken.parts),
                weighings=() if dry_run else tuple(row.pk for row in taken.weighings),
                readings=taken.readings,
                warnings=(*taken.warnings, *_of_opening(given, named["number"])),
                receipt=None if dry_run or not taken.weighings else receipt_of(taken.weighings[-1]),
            )
        )
        return answer

    def record(self, by: str, given: dict[str, Any], **named: Any) -> TakeIn:
        """Take a bench sheet in; with `open_layout` open its build first, with `dry_run` only try.

        Send the sheet as text/csv with the rest in the query, or as JSON.
        """
        told = {key: value for key, value in given.items() if key != "sheet"}
        return take_in(by=by, build=named["number"], sheet_bytes=given["sheet"].encode(), **told)


def _told(request: Request) -> Any:
    """Return body and query as one object; a query beside JSON is refused as unknown keys are."""
    if not isinstance(request.data, dict):
        return request.data
    query = {
        key if key in BESIDE_A_CSV else f"?{key}": value
        for key, value in request.query_params.items()
    }
    return {**request.data, **query}


def _of_opening(given: dict[str, Any], build: str) -> tuple[str, ...]:
    opened = given["open_layout"] and not given["dry_run"]
    return warnings_of_opening(build) if opened else ()
