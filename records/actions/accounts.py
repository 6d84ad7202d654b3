"""Accounts and tokens: changeable rows, no part of the record, so no ledger entry."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Sequence
from datetime import timedelta
from decimal import Decimal

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from records.actions.clock import SYSTEM, Clock
from records.actions.deed import roles_now
from records.actions.figure import figure
from records.actions.lookup import found, optional_text, text
from records.domain.errors import BadValue, Code, Conflict, NotAllowed, NotFound
from records.domain.practice.roles import may
from records.models import Customer, Person, PersonEnd, Token, User

PREFIX = "tare_"
SCOPES = frozenset({"read", "record", "release", "readings:write"})
LONGEST_DAYS = 365


def make_account(
    *, username: str, password: str, person: str | None = None, customer: str | None = None
) -> User:
    """Make an account for one person or one customer.

    Errors: Conflict for a taken name, a person who has an account, or has left; BadValue for a weak
    password or an unknown number.
    """
    if (person is None) == (customer is None):
        raise BadValue(Code.BAD_VALUE, "expected a person or a customer, one of them")
    with transaction.atomic():
        name = text(username, "username", 80)
        if User.objects.filter(username__iexact=name).exists():
            raise Conflict(Code.ALREADY_THERE, f"{name} is taken", field="username")
        if person:
            _refuse_without_work(person)
        user = User(
            username=name,
            person=found(Person, person, "person") if person else None,
            customer=found(Customer, customer, "customer") if customer else None,
        )
        _check_password(password, user)
        user.set_password(password)
        user.save()
        return user


def make_token(
    *,
    made_by: str,
    username: str,
    name: str,
    scopes: Sequence[str],
    days: int = 90,
    hours: int | None = None,
    bench: str = "",
    clock: Clock = SYSTEM,
) -> tuple[Token, str]:
    """Make a token and return it with its key, which is shown this once and kept as a hash.

    `made_by` is a username: one's own tokens, or another's for who may book people. `hours`
    instead of days is for a sign-in.
    """
    _check_token(scopes, days, hours)
    owner, maker = _user(username), _user(made_by)
    lasting = timedelta(days=days) if hours is None else timedelta(hours=hours)
    if owner != maker and not may(roles_now(maker.person_id or ""), "book people"):
        raise NotAllowed(Code.NOT_ALLOWED, f"{made_by} may make tokens for {made_by} only")
    key = PREFIX + secrets.token_urlsafe(32)
    token = Token.objects.create(
        user=owner,
        name=text(name, "name", 80),
        key_hash=key_hash(key),
        scopes=sorted(set(scopes)),
        bench=optional_text(bench, "bench", 40),
        made_by=maker,
        expires_at=clock.now() + lasting,
    )
    return token, key


def revoke_token(*, by: str, token: int, clock: Clock = SYSTEM) -> None:
    """End a token now; its row stays, so that its use can be explained."""
    owner = _user(by)
    tokens = Token.objects.filter(pk=token, revoked_at__isnull=True)
    if not may(roles_now(owner.person_id or ""), "book people"):
        tokens = tokens.filter(user=owner)
    if not tokens.update(revoked_at=clock.now()):
        raise NotFound(Code.NOT_FOUND, f"there is no such token of {by}'s, or it has ended")


def note_token_use(*, token: int, clock: Clock = SYSTEM) -> None:
    """Note when a token was last used."""
    Token.objects.filter(pk=token).update(last_used_at=clock.now())


def key_hash(key: str) -> str:
    """Return what is kept of a key: 256 random bits need no salt and no slow hash."""
    return hashlib.sha256(key.encode()).hexdigest()


def _refuse_without_work(person: str) -> None:
    """Refuse a second account of a person, and one of who has left."""
    if User.objects.filter(person_id=person).exists():
        raise Conflict(Code.ALREADY_THERE, f"{person} has an account", field="person")
    if PersonEnd.objects.filter(person_id=person).exists():
        raise Conflict(Code.CONFLICT, f"{person} has left", field="person")


def _user(username: str) -> User:
    user = User.objects.filter(username=username, is_active=True).first()
    if user is None:
        raise BadValue(Code.UNKNOWN_NUMBER, f"no account is named {username!r}", field="username")
    return user


def _check_token(scopes: Sequence[str], days: int, hours: int | None) -> None:
    unknown = set(scopes) - SCOPES
    if unknown or not scopes:
        raise BadValue(
            Code.BAD_VALUE,
            f"expected scopes of {', '.join(sorted(SCOPES))}, got {', '.join(sorted(unknown))}",
            field="scopes",
            expected=", ".join(sorted(SCOPES)),
            got=", ".join(scopes),
        )
    figure(Decimal(days), "days", least=1, most=LONGEST_DAYS, places=0, unit="days")
    if hours is not None:
        figure(Decimal(hours), "hours", least=1, most=24 * LONGEST_DAYS, places=0, unit="hours")


def _check_password(password: str, user: User) -> None:
    try:
        validate_password(password, user)
    except ValidationError as error:
        raise BadValue(
            Code.BAD_VALUE, " ".join(error.messages), field="password", expected="a long password"
        ) from error
