"""Who is looking: the shop's people see every build, a customer only their own.

What isn't theirs is answered exactly like what doesn't exist, so that nobody learns which numbers
there are.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from django.db.models import Q, QuerySet

from records.domain.errors import Code, NotFound
from records.domain.practice.roles import may
from records.models import Build


@dataclass(frozen=True, slots=True)
class Viewer:
    """A person of the shop with roles, or a customer; neither sees nothing."""

    person: str | None = None
    roles: frozenset[str] = field(default_factory=frozenset)
    customer: str | None = None

    @property
    def of_the_shop(self) -> bool:
        """Tell whether this is a person who holds a role in the shop."""
        return self.person is not None and bool(self.roles)

    def may(self, deed: str) -> bool:
        """Tell whether this person's roles allow a deed, as practice/roles lists it."""
        return self.person is not None and may(self.roles, deed)


NOBODY = Viewer()


def builds_seen_by(viewer: Viewer) -> QuerySet[Build]:
    """Return the builds that a viewer may know of."""
    return Build.objects.filter(seen_by(viewer))


def seen_by(viewer: Viewer, build: str = "") -> Q:
    """Return the condition on a build, or on rows that reach it by the path `build`."""
    if viewer.of_the_shop:
        return Q()
    path = f"{build}__" if build else ""
    if viewer.customer is not None:
        return Q(**{f"{path}customer": viewer.customer})
    return Q(pk__in=[])


def check_build_is_theirs(number: str, viewer: Viewer) -> None:
    """Raise NotFound for a build that isn't there or isn't the viewer's."""
    if not builds_seen_by(viewer).filter(number=number).exists():
        raise not_found("build", number)


def check_of_the_shop(what: str, number: str, viewer: Viewer) -> None:
    """Raise NotFound for anyone who holds no role in the shop."""
    if not viewer.of_the_shop:
        raise not_found(what, number)


def not_found(what: str, number: object) -> NotFound:
    """Return the error for a thing that isn't there, or isn't this viewer's."""
    message = f"no {what} is known as {str(number)!r}"
    return NotFound(
        Code.NOT_FOUND, message, field=what, expected=f"a known {what}", got=str(number)
    )
