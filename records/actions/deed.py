"""The frame of every action: one transaction, a person who may, locked streams, one entry each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db import models, transaction

from records import ledger
from records.actions.clock import SYSTEM, Clock
from records.domain.errors import Code, NotAllowed
from records.domain.practice.roles import check_may
from records.domain.practice.shop_day import shop_day
from records.models import Person, RoleGrant, ShopSettings


@dataclass(frozen=True, slots=True)
class Act:
    """A deed under way: who, when, and the door to the ledger."""

    person: Person
    roles: frozenset[str]
    at: datetime
    set_clock: bool

    @property
    def stamp(self) -> dict[str, Any]:
        """Return the columns that every deed's row bears."""
        return {"recorded_at": self.at, "recorded_by": self.person}

    def enter(
        self,
        stream: str,
        kind: str,
        rows: Sequence[models.Model],
        data: Mapping[str, Any] | None = None,
    ) -> ledger.Receipt:
        """Append the deed's entry, naming the rows it wrote; a set clock is marked in it."""
        marked = {**(data or {}), **({"clock": "set"} if self.set_clock else {})}
        return ledger.append(
            stream=stream,
            kind=kind,
            actor=self.person.number,
            recorded_at=self.at,
            data=marked,
            rows=rows,
        )


@contextmanager
def deed(*, by: str, name: str, streams: Iterable[str], clock: Clock = SYSTEM) -> Iterator[Act]:
    """Open a deed: row, entry and outbox row are committed together, or nothing is.

    `by` is a person's shop number, `name` the deed as practice/roles lists it.
    Errors: NotAllowed for a person who is unknown, gone, or lacks the role; and for a set clock
    outside a demo shop.
    """
    with transaction.atomic():
        ledger.lock(streams)
        person = _person_at_work(by)
        roles = roles_now(by)
        check_may(roles, name, by)
        _check_clock(clock)
        yield Act(person, roles, clock.now(), clock.is_set)


@contextmanager
def follow_up(*, of: Person, streams: Iterable[str], clock: Clock = SYSTEM) -> Iterator[Act]:
    """Open what a deed left to be done, under the name of who did it.

    That person was asked when the deed was done; whether they still work here doesn't matter.
    Errors: NotAllowed for a set clock outside a demo shop.
    """
    with transaction.atomic():
        ledger.lock(streams)
        _check_clock(clock)
        yield Act(of, frozenset(), clock.now(), clock.is_set)


def roles_now(number: str) -> frozenset[str]:
    """Return the roles that a person holds now; who left holds none."""
    held = RoleGrant.objects.filter(person_id=number, end__isnull=True, person__end__isnull=True)
    return frozenset(held.values_list("role", flat=True))


def today(moment: datetime) -> date:
    """Return the day of a moment on the shop's calendar."""
    return shop_day(moment, ShopSettings.objects.latest("version").timezone)


def _person_at_work(number: str) -> Person:
    found = Person.objects.filter(number=number, end__isnull=True).first()
    if found is None:
        raise NotAllowed(
            Code.NOT_ALLOWED, f"expected a person at work here, got {number or 'nobody'}"
        )
    return found


def _check_clock(clock: Clock) -> None:
    if not clock.is_set:
        return
    newest = ShopSettings.objects.order_by("-version").first()
    if newest is None or not newest.demo:
        refuse_set_clock()


def refuse_set_clock() -> None:
    """Refuse a set clock (NotAllowed)."""
    raise NotAllowed(Code.NOT_ALLOWED, "expected the machine's clock: this is no demo shop")
