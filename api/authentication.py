"""Who is at the door: a bearer token (RFC 6750) or a signed-in session."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from django.contrib.auth import get_user_model
from rest_framework import exceptions
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request

from records.actions.accounts import key_hash, note_token_use
from records.domain.errors import Code, NotAllowed
from records.queries.people import TokenRow, token_by_hash, viewer_of_user
from records.queries.viewer import Viewer

if TYPE_CHECKING:
    # rest_framework.views asks for the classes of this module while it is being imported itself
    from rest_framework.views import APIView

WORD = b"bearer"
READ = frozenset({"read"})
RECORD = frozenset({"record"})
RELEASE = frozenset({"release"})
WEIGH = frozenset({"record", "readings:write"})
RECKON = frozenset({"read", "record"})
EVERY = frozenset({"read", "record", "release", "readings:write"})


class TokenAuthentication(BaseAuthentication):
    """Take `Authorization: Bearer tare_…`; the table keeps its hash only."""

    def authenticate(self, request: Request) -> tuple[object, TokenRow] | None:
        words = get_authorization_header(request).split()
        if not words or words[0].lower() != WORD:
            return None
        if len(words) != 2:
            raise exceptions.AuthenticationFailed("expected one token after Bearer")
        token = token_by_hash(key_hash(key=words[1].decode("latin-1")))
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
    """Let a token do only what its scopes name; a view says which of them it needs (`scopes`)."""

    message = "this token's scopes don't reach so far"

    def has_permission(self, request: Request, view: APIView) -> bool:
        if not (request.user and request.user.is_authenticated):
            return False
        if not isinstance(request.auth, TokenRow):
            return True
        return not needed_scopes(request, view).isdisjoint(request.auth.scopes)


class OfTheShop(BasePermission):
    """Close a whole address to customers, whatever is asked for below it."""

    message = "this is for people of the shop"

    def has_permission(self, request: Request, view: APIView) -> bool:
        return viewer(request).of_the_shop


def needed_scopes(request: Request, view: APIView) -> frozenset[str]:
    """Return the scopes of which one is needed: `read` for looking, else what the view says."""
    if request.method in SAFE_METHODS:
        return READ
    needed: frozenset[str] = getattr(view, "scopes", RECORD)
    return needed


def check_password_again(request: Request, password: str) -> None:
    """Refuse a deed that asks for the password once more when it isn't the right one.

    Errors: NotAllowed, the same for every wrong password.
    """
    if not get_user_model().objects.get(pk=account(request)).check_password(password):
        raise NotAllowed(
            Code.NOT_ALLOWED, "this is not the password of who is signed in", field="password"
        )


def scopes_held(request: Request) -> frozenset[str]:
    """Return the scopes that a request may hand on: all of them for a session."""
    return frozenset(request.auth.scopes) if isinstance(request.auth, TokenRow) else EVERY


def account(request: Request) -> int:
    """Return the id of the account that is signed in; 0 is nobody's."""
    return int(request.user.pk or 0)


def viewer(request: Request) -> Viewer:
    """Return who is looking."""
    if isinstance(request.auth, TokenRow):
        return request.auth.viewer
    return viewer_of_user(account(request))


def person(request: Request) -> str:
    """Return the shop number of who acts; empty for a customer, whom every deed refuses."""
    return viewer(request).person or ""
