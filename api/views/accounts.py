"""Sign in, sign out, and tokens: changeable rows, so no key and no receipt."""

from __future__ import annotations

from typing import Any

from django.contrib.auth import authenticate
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.permissions import AllowAny, IsAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.throttling import ScopedRateThrottle

from api.authentication import EVERY, RECORD, account, scopes_held, viewer
from api.serializers.accounts import NewToken, SignedOut, SignInGiven, TokenAsked
from api.serializers.base import Nothing
from api.shapes import ListOf
from api.views.base import Looking, Telling
from records.actions.accounts import make_token, revoke_token
from records.domain.errors import BadValue, Code, NotAllowed
from records.queries.people import TokenRow, viewer_of_user
from records.queries.tokens import OwnToken, tokens_of
from records.queries.viewer import not_found

SHIFT_HOURS = 12
FOR_PEOPLE = ("read", "record", "release")
FOR_OTHERS = frozenset({"readings:write"})


class SignIn(Telling):
    """Sign in with a name and a password."""

    authentication_classes = ()
    permission_classes = (AllowAny,)
    throttle_classes = (ScopedRateThrottle,)
    throttle_scope = "sign-in"
    open_to_all = True
    status = 201
    takes = SignInGiven
    gives = NewToken

    def record(self, request: Request, given: dict[str, Any], **named: Any) -> NewToken:
        """Make a token for one shift and show its key, this once."""
        user = authenticate(request, username=given["username"], password=given["password"])
        if user is None:
            # the same for a name that is unknown, closed, or has another password
            raise AuthenticationFailed("this name and password don't go together")
        name = user.get_username()
        token, key = make_token(
            made_by=name, username=name, name="sign-in", scopes=FOR_PEOPLE, hours=SHIFT_HOURS
        )
        return new_token(token, key)

    def get_authenticate_header(self, request: Request) -> str:
        return 'Bearer realm="tarebook"'  # else DRF makes a 403 of it


class SignOut(Telling):
    """End the token that this request bears."""

    permission_classes = (IsAuthenticated,)
    takes = Nothing
    gives = SignedOut

    def record(self, request: Request, given: dict[str, Any], **named: Any) -> SignedOut:
        """End the token that this request bears."""
        if not isinstance(request.auth, TokenRow):
            raise BadValue(Code.MISSING, "expected a token to end, got a session; sign out there")
        revoke_token(by=request.user.get_username(), token=request.auth.id)
        return SignedOut(request.auth.id)


class Tokens(Looking, Telling):
    """One's tokens, and those one made for a scale bridge."""

    scopes = RECORD
    status = 201
    shows = ListOf(OwnToken)
    takes = TokenAsked
    gives = NewToken

    def look(self, request: Request, **named: Any) -> tuple[OwnToken, ...]:
        """List one's tokens, newest first."""
        return tokens_of(account(request))

    def key_of(self, row: OwnToken) -> object:
        return row.id

    def record(self, request: Request, given: dict[str, Any], **named: Any) -> NewToken:
        """Make a token with some of the scopes one holds, and show its key, this once."""
        own = request.user.get_username()
        username = given.pop("username", own)
        _check_handed_on(request, set(given["scopes"]), is_own=username == own)
        token, key = make_token(made_by=own, username=username, **given)
        return new_token(token, key)


class Token(Looking):
    """One token."""

    scopes = RECORD
    shows = OwnToken

    def look(self, request: Request, **named: Any) -> OwnToken:
        """Show one of one's tokens."""
        for token in tokens_of(account(request)):
            if token.id == named["token"]:
                return token
        raise not_found("token", named["token"])

    def delete(self, request: Request, **named: Any) -> Response:
        self.end(request, **named)
        return Response(status=204)

    def end(self, request: Request, **named: Any) -> None:
        """End a token now; its row stays, so that its use can be explained."""
        revoke_token(by=request.user.get_username(), token=named["token"])


def new_token(token: Any, key: str) -> NewToken:
    """Return what is shown of a token that was just made."""
    owner = viewer_of_user(token.user_id)
    return NewToken(
        id=token.pk,
        key=key,
        name=token.name,
        scopes=tuple(token.scopes),
        expires_at=token.expires_at,
        person=owner.person,
        customer=owner.customer,
        roles=tuple(sorted(owner.roles)),
    )


def _check_handed_on(request: Request, scopes: set[str], *, is_own: bool) -> None:
    """A token hands on no more than it has; a manager makes for others what weighs, no more."""
    held = scopes_held(request)
    may = (held | FOR_OTHERS if "record" in held else held) if is_own else FOR_OTHERS
    if beyond := scopes - may:
        raise NotAllowed(
            Code.NOT_ALLOWED,
            f"expected scopes of {', '.join(sorted(may & EVERY))}, got {', '.join(sorted(beyond))}",
            field="scopes",
        )
    if not is_own and not viewer(request).of_the_shop:
        raise NotAllowed(Code.NOT_ALLOWED, "expected your own name", field="username")
