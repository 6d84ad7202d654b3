"""Every error as a problem (RFC 9457): a stable code, a sentence, and JSON pointers to the fields.

Status: 400 unreadable, 401 not signed in, 403 may not, 404 not there or not yours, 409 a conflict
with the record, 422 a value. Nothing of the inside is shown.
"""

from __future__ import annotations

import logging
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import OperationalError
from django.http import Http404
from rest_framework import exceptions, status
from rest_framework.response import Response
from rest_framework.views import set_rollback

from api.parsers import TooLarge
from records.domain.errors import (
    BadValue,
    Code,
    Conflict,
    ManyErrors,
    NotAllowed,
    NotFound,
    NotProven,
    TarebookError,
    Unreadable,
)

CONTENT_TYPE = "application/problem+json"
STATUS: tuple[tuple[type[TarebookError], int], ...] = (
    (Unreadable, 400),
    (NotAllowed, 403),
    (NotFound, 404),
    (Conflict, 409),
    (NotProven, 409),
    (ManyErrors, 422),
    (BadValue, 422),
)
FIELD_CODES = {"required": Code.MISSING, "null": Code.MISSING, "unknown_key": Code.UNKNOWN_KEY}
log = logging.getLogger("tarebook.api")


def problem(error: Exception, context: dict[str, Any]) -> Response | None:
    """Turn any error into a problem; None leaves it to Django (status 500, without its inside)."""
    set_rollback()
    if isinstance(error, TarebookError):
        return _of_ours(error)
    if isinstance(error, Http404 | PermissionDenied):
        return _of_ours(_of_django(error))
    if isinstance(error, exceptions.ValidationError):
        return _answer(422, Code.BAD_VALUE, "some values can't be taken", _pointed(error.detail))
    if isinstance(error, exceptions.APIException):
        return _of_rest(error)
    if isinstance(error, OperationalError):
        log.warning("database: %s", error)
        busy = _answer(503, Code.BUSY, "the record is busy; send the same request again", [])
        busy["Retry-After"] = "1"
        return busy
    return _inside(error)


def _of_ours(error: TarebookError) -> Response:
    code = next((number for kind, number in STATUS if isinstance(error, kind)), 409)
    each = error.errors if isinstance(error, ManyErrors) else (error,)
    items = [
        {
            "pointer": f"#/{one.field}" if one.field else "#",
            "code": str(one.code),
            "detail": one.message,
            "expected": one.expected,
            "got": one.got,
        }
        for one in each
    ]
    return _answer(code, error.code, error.message, items)


def _of_django(error: Http404 | PermissionDenied) -> TarebookError:
    if isinstance(error, Http404):
        return NotFound(Code.NOT_FOUND, "there is nothing at this address")
    return NotAllowed(Code.NOT_ALLOWED, "you may not do this")


def _of_rest(error: exceptions.APIException) -> Response:
    codes = {
        exceptions.NotAuthenticated: Code.NOT_SIGNED_IN,
        exceptions.AuthenticationFailed: Code.NOT_SIGNED_IN,
        exceptions.PermissionDenied: Code.NOT_ALLOWED,
        exceptions.NotFound: Code.NOT_FOUND,
        exceptions.Throttled: Code.TOO_MANY,
        exceptions.MethodNotAllowed: Code.METHOD_NOT_ALLOWED,
        exceptions.UnsupportedMediaType: Code.MEDIA_TYPE,
        TooLarge: Code.TOO_LARGE,
    }
    code = next((ours for kind, ours in codes.items() if isinstance(error, kind)), Code.UNREADABLE)
    answer = _answer(error.status_code, code, str(error.detail), [])
    if wait := getattr(error, "wait", None):
        answer["Retry-After"] = str(int(wait) + 1)
    if auth_header := getattr(error, "auth_header", None):
        answer["WWW-Authenticate"] = auth_header
    return answer


def _pointed(detail: Any, path: str = "") -> list[dict[str, str]]:
    if isinstance(detail, dict):
        return [
            item
            for key, value in detail.items()
            for item in _pointed(value, f"{path}/{_escaped(str(key))}")
        ]
    if isinstance(detail, list) and any(isinstance(one, dict | list) for one in detail):
        return [
            item
            for index, value in enumerate(detail)
            for item in _pointed(value, f"{path}/{index}")
        ]
    each = detail if isinstance(detail, list) else [detail]
    return [
        {
            "pointer": f"#{path.removesuffix('/non_field_errors')}",
            "code": FIELD_CODES.get(getattr(one, "code", ""), Code.BAD_VALUE),
            "detail": str(one),
            "expected": "",
            "got": "",
        }
        for one in each
    ]


def _escaped(key: str) -> str:
    return key.replace("~", "~0").replace("/", "~1")  # RFC 6901


def _inside(error: Exception) -> Response:
    log.error("unexpected: %s", type(error).__name__, exc_info=error)
    detail = "something went wrong here; nothing was recorded, and the shop's log says what it was"
    return _answer(status.HTTP_500_INTERNAL_SERVER_ERROR, Code.INSIDE, detail, [])


def _answer(number: int, code: Code, detail: str, errors: list[dict[str, str]]) -> Response:
    return Response(
        {
            "type": f"urn:tarebook:problem:{code}",
            "title": str(code).replace("_", " "),
            "status": number,
            "code": str(code),
            "detail": detail,
            "errors": errors,
        },
        status=number,
        content_type=CONTENT_TYPE,
    )
