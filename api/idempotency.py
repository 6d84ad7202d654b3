"""A POST that records is done once per `Idempotency-Key`: key, deed and answer in one transaction.

A second request with the key waits for the first on the unique index, then gets its answer. An
error rolls key and deed back together and is not stored, so it may be sent again corrected.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from typing import Any

from django.db import OperationalError, connection, transaction
from rest_framework.request import Request
from rest_framework.response import Response

from api.authentication import account
from api.models import IdempotencyKey
from records.domain.errors import BadValue, Code, Conflict, Unreadable

LONGEST = 80
WAIT = "5s"
KEPT = timedelta(days=30)  # as long as a tablet may stay away from the network

Answer = tuple[int, dict[str, Any]]


def done_once(request: Request, deed: Callable[[], Answer]) -> Response:
    """Run a deed under the request's key, or give the answer that it got before.

    Errors: Unreadable without a usable key, BadValue for a key used with another request, Conflict
    while the first request still runs.
    """
    key = _key_of(request)
    with transaction.atomic():
        return _answered(request, key, deed)


def _answered(request: Request, key: str, deed: Callable[[], Answer]) -> Response:
    fingerprint = _fingerprint(request)
    row = _claimed(request, key, fingerprint)
    if row.fingerprint != fingerprint:
        raise BadValue(
            Code.KEY_REUSED,
            "this key came with another request before; take a new one for each deed",
            field="Idempotency-Key",
        )
    if row.status is not None:
        return Response(row.body, status=row.status, headers={"Idempotency-Replayed": "true"})
    status, body = deed()
    plain = json.loads(json.dumps(body, default=str))
    IdempotencyKey.objects.filter(pk=row.pk).update(status=status, body=plain)
    return Response(plain, status=status)


def _claimed(request: Request, key: str, fingerprint: str) -> IdempotencyKey:
    own = IdempotencyKey.objects.filter(user_id=account(request))
    own.filter(created_at__lt=datetime.now(UTC) - KEPT).delete()
    row = IdempotencyKey(user_id=account(request), key=key, fingerprint=fingerprint)
    try:
        with _waiting_at_most(WAIT):
            IdempotencyKey.objects.bulk_create([row], ignore_conflicts=True)
    except OperationalError as error:
        raise Conflict(
            Code.KEY_IN_USE, "the first request with this key still runs; send it again later"
        ) from error
    return own.get(key=key)


@contextmanager
def _waiting_at_most(span: str) -> Iterator[None]:
    """Bound the wait for another's lock; on SQLite the transaction's start has waited already."""
    if connection.vendor != "postgresql":
        yield
        return
    with connection.cursor() as cursor:
        cursor.execute(f"SET LOCAL lock_timeout = '{span}'")
        yield
        cursor.execute("SET LOCAL lock_timeout = DEFAULT")


def _key_of(request: Request) -> str:
    # draft-ietf-httpapi-idempotency-key-header: a structured-field string, in quotes; bare is taken
    key = request.headers.get("Idempotency-Key", "").strip().strip('"')
    if not key or len(key) > LONGEST or not key.isascii() or not key.isprintable():
        raise Unreadable(
            Code.KEY_MISSING,
            f"expected an Idempotency-Key of 1 to {LONGEST} characters, got {key[:20] or 'none'}",
            field="Idempotency-Key",
        )
    return key


def _fingerprint(request: Request) -> str:
    body = request.data
    if isinstance(body, dict):
        # a password must not be kept, not even as a part of what a fast hash was made of
        body = {key: value for key, value in body.items() if key != "password"}
    plain = json.dumps(body, sort_keys=True, default=str, separators=(",", ":"))
    return hashlib.sha256(f"{request.method} {request.path}\n{plain}".encode()).hexdigest()
