"""Who is at the door: a bearer token (RFC 6750) or a signed-in session."""

from __future__ import annotations

from datetime import UTC, datetime

from django.contrib.auth import get_user_model
from rest_framework import exceptions
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request
from rest_framework.views import APIView

from records.actions.accounts import key_hash, note_token_use
from records.queries.people import TokenRow, token_by_hash, viewer_of_user
from records.queries.viewer import Viewer

WORD = b"bearer"


class TokenAuthentication(BaseAuthentication):
    """Take `Authorization: Bearer tare_…`; the table keeps its hash only."""

    def authenticate(self, request: Request) -> tuple[object, TokenRow] | None:
        words = get_authorization_header(request).split()
        if not words or words[0].lower() != WORD:
            return None
        if len(words) != 2:
            raise exceptions.AuthenticationFailed("expected one token after Bearer")
        token = token_by_hash(key_hash(words[1].decode("latin-1")))
        now = datetime.now(UTC)
        if token is None or token.revoked_at is not None or token.expires_at <= now:
            raise exceptions.AuthenticationFailed("this token is unknown, ended or expired")
        user = get_user_model().objects.filter(pk=token.user, is_active=True).first()
        if user is None:
            raise exceptions.AuthenticationFailed("this token's account is closed")
        note_token_use(token=token.id)
        return user, token

    def authenticate_header(self, request: Request) -> str:
        return 'Bearer realm="tarebook"'


class Scoped(BasePermission):
    """Let a token do only what its scopes name; a view says which it needs (`scope`)."""

    message = "this token's scopes don't reach so far"

    def has_permission(self, request: Request, view: APIView) -> bool:
        if not (request.user and request.user.is_authenticated):
            return False
        if not isinstance(request.auth, TokenRow):
            return True
        return needed_scope(request, view) in request.auth.scopes


def needed_scope(request: Request, view: APIView) -> str:
    """Return the scope that a request needs: `read` for looking, else what the view says."""
    if request.method in SAFE_METHODS:
        return "read"
    return str(getattr(view, "scope", "record"))


def viewer(request: Request) -> Viewer:
    """Return who is looking."""
    if isinstance(request.auth, TokenRow):
        return request.auth.viewer
    return viewer_of_user(request.user.pk)


def person(request: Request) -> str:
    """Return the shop number of who acts; empty for a customer, whom every deed refuses."""
    return viewer(request).person or ""
