"""Signing in, and tokens."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from rest_framework import serializers

from api.authentication import EVERY
from api.serializers.base import Given, a_number, words


class SignInGiven(Given):
    username = serializers.CharField(max_length=80)
    password = serializers.CharField(max_length=400, trim_whitespace=False)


class TokenAsked(Given):
    name = serializers.CharField(max_length=80)
    scopes = serializers.ListField(
        child=serializers.ChoiceField(sorted(EVERY)), allow_empty=False, max_length=len(EVERY)
    )
    days = serializers.IntegerField(min_value=1, max_value=365, default=90)
    bench = words(40)
    username = a_number(80, required=False, help_text="whose token: your own unless said")


@dataclass(frozen=True, slots=True)
class NewToken:
    """A token with its key, which is shown this once."""

    id: int
    key: str
    name: str
    scopes: tuple[str, ...]
    expires_at: datetime
    person: str | None
    customer: str | None
    roles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SignedOut:
    """The token that no longer works."""

    revoked: int
