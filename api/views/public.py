"""For anyone who holds a paper: what became of it, without an account and without names."""

from __future__ import annotations

from typing import Any

from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.throttling import ScopedRateThrottle

from api.views.base import Looking
from records.queries.certificates import PublicState, public_by_sha256, public_certificate
from records.queries.viewer import not_found


class Public(Looking):
    """An address open to all, asked so many times a minute."""

    authentication_classes = ()
    permission_classes = (AllowAny,)
    throttle_classes = (ScopedRateThrottle,)
    throttle_scope = "public"
    open_to_all = True
    named_by_query = True
    shows = PublicState


class PublicByCode(Public):
    """A certificate by what is printed on it."""

    asks = (
        {"name": "number", "type": str, "required": True, "description": "as printed"},
        {"name": "code", "type": str, "required": True, "description": "the check code"},
    )

    def look(self, request: Request, **named: Any) -> PublicState:
        """Say what became of the certificate with this number and check code."""
        number = request.query_params.get("number", "")[:40]
        state = public_certificate(number, request.query_params.get("code", "")[:20])
        if state is None:
            # the same for a wrong number and for a wrong code
            raise not_found("certificate", number)
        return state


class PublicBySha256(Public):
    """A certificate by the SHA-256 of its file."""

    def look(self, request: Request, **named: Any) -> PublicState:
        """Say what became of the certificate whose file has this SHA-256."""
        state = public_by_sha256(named["sha256"])
        if state is None:
            raise not_found("certificate", named["sha256"][:64])
        return state
