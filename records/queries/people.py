"""People, their roles and names; accounts and tokens by what identifies them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from records.models import CustomerContact, Person, PersonContact, RoleGrant, Token, User
from records.queries.viewer import NOBODY, Viewer


@dataclass(frozen=True, slots=True)
class PersonRow:
    """A person of the shop: number, name as known today ("" when erased), roles held now."""

    number: str
    name: str
    kind: str
    roles: frozenset[str]
    at_work: bool


@dataclass(frozen=True, slots=True)
class TokenRow:
    """A token as it stands: whose it is, what it may, and until when."""

    id: int
    user: int
    username: str
    name: str
    scopes: tuple[str, ...]
    bench: str
    expires_at: datetime
    revoked_at: datetime | None
    viewer: Viewer


def people() -> tuple[PersonRow, ...]:
    """Return everybody who was ever recorded, by number, in three queries."""
    rows = Person.objects.select_related("end").order_by("number")
    roles, names = _roles(), names_of(row.number for row in rows)
    return tuple(
        PersonRow(
            number=row.number,
            name=names.get(row.number, ""),
            kind=row.kind,
            roles=frozenset(roles.get(row.number, ())),
            at_work=not hasattr(row, "end"),
        )
        for row in rows
    )


def roles_of(person: str) -> frozenset[str]:
    """Return the roles that a person at work holds now."""
    held = RoleGrant.objects.filter(person=person, end__isnull=True, person__end__isnull=True)
    return frozenset(held.values_list("role", flat=True))


def names_of(numbers: Iterable[str]) -> dict[str, str]:
    """Return the display name of each person's number; an erased name is left out."""
    contacts = PersonContact.objects.filter(person__in=set(numbers))
    return dict(contacts.values_list("person", "name"))


def customer_names_of(numbers: Iterable[str]) -> dict[str, str]:
    """Return the display name of each customer's number; an erased name is left out."""
    contacts = CustomerContact.objects.filter(customer__in=set(numbers))
    return dict(contacts.values_list("customer", "name"))


def person_of_user(user: int) -> str | None:
    """Return the shop number of the person behind an account, if there is one."""
    return User.objects.filter(pk=user).values_list("person", flat=True).first()


def viewer_of_user(user: int) -> Viewer:
    """Return who looks when this account is signed in: nobody when it is closed or unknown."""
    account = User.objects.filter(pk=user, is_active=True).first()
    return NOBODY if account is None else _viewer(account)


def token_by_hash(key_hash: str) -> TokenRow | None:
    """Return the token whose key has this SHA-256 in hex, whatever its state."""
    token = Token.objects.select_related("user").filter(key_hash=key_hash).first()
    if token is None:
        return None
    return TokenRow(
        id=token.pk,
        user=token.user_id,
        username=token.user.username,
        name=token.name,
        scopes=tuple(token.scopes),
        bench=token.bench,
        expires_at=token.expires_at,
        revoked_at=token.revoked_at,
        viewer=_viewer(token.user) if token.user.is_active else NOBODY,
    )


def _viewer(account: User) -> Viewer:
    person = account.person_id
    if person is None:
        return Viewer(customer=account.customer_id)
    return Viewer(person=person, roles=roles_of(person))


def _roles() -> dict[str, set[str]]:
    roles: dict[str, set[str]] = {}
    held = RoleGrant.objects.filter(end__isnull=True, person__end__isnull=True)
    for person, role in held.values_list("person", "role"):
        roles.setdefault(person, set()).add(role)
    return roles
