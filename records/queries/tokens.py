"""Tokens as their owner's list shows them; never a key, nor its hash."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from records.models import Token


@dataclass(frozen=True, slots=True)
class OwnToken:
    """A token: what it may, by whom and when it was made, last used and ended."""

    id: int
    username: str
    name: str
    scopes: tuple[str, ...]
    bench: str
    made_by: str
    created_at: datetime
    expires_at: datetime
    last_used_at: datetime | None
    revoked_at: datetime | None


def tokens_of(user: int) -> tuple[OwnToken, ...]:
    """Return the tokens of an account and those it made for others, newest first."""
    rows = Token.objects.filter(user=user) | Token.objects.filter(made_by=user)
    return tuple(
        OwnToken(
            id=row.pk,
            username=row.user.username,
            name=row.name,
            scopes=tuple(row.scopes),
            bench=row.bench,
            made_by=row.made_by.username,
            created_at=row.created_at,
            expires_at=row.expires_at,
            last_used_at=row.last_used_at,
            revoked_at=row.revoked_at,
        )
        for row in rows.select_related("user", "made_by").order_by("-id")
    )
