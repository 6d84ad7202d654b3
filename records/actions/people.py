"""People and customers: booked by number, with names kept apart."""

from __future__ import annotations

from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from records import ledger
from records.actions.clock import SYSTEM, Clock
from records.actions.deed import Act, deed
from records.actions.lookup import found, new_number, one_of, refuse_taken, text
from records.domain.errors import BadValue, Code, Conflict
from records.models import (
    Customer,
    CustomerContact,
    Person,
    PersonContact,
    PersonEnd,
    RoleEnd,
    RoleGrant,
    Token,
    User,
)


def book_person(
    *,
    by: str,
    number: str,
    name: str,
    roles: Sequence[str],
    service: bool = False,
    clock: Clock = SYSTEM,
) -> Person:
    """Book a person (or a service) with roles.

    Errors: Conflict for a number on record, BadValue at `number`, `name` or `role`.
    """
    new_number(number, "number", 20)
    stream = ledger.person_stream(number)
    with deed(by=by, name="book people", streams=[stream], clock=clock) as act:
        refuse_taken(Person, number, "number")
        person = Person.objects.create(
            number=number,
            kind=Person.Kind.SERVICE if service else Person.Kind.PERSON,
            recorded_at=act.at,
        )
        PersonContact.objects.create(person=person, name=text(name, "name", 200))
        grants = [_grant(act, person, role) for role in dict.fromkeys(roles)]
        act.enter(stream, "person booked", [person, *grants])
        return person


def grant_role(*, by: str, person: str, role: str, clock: Clock = SYSTEM) -> RoleGrant:
    """Give a person a role from now on.

    Errors: Conflict for a role that is held, or a person who has left.
    """
    stream = ledger.person_stream(person)
    with deed(by=by, name="book people", streams=[stream], clock=clock) as act:
        whom = found(Person, person, "person")
        _refuse_gone(whom)
        if RoleGrant.objects.filter(person=whom, role=role, end__isnull=True).exists():
            raise Conflict(Code.ALREADY_THERE, f"{person} is {role} already", field="role")
        grant = _grant(act, whom, role)
        act.enter(stream, "role given", [grant])
        return grant


def end_role(*, by: str, person: str, role: str, reason: str, clock: Clock = SYSTEM) -> RoleEnd:
    """End a role of a person.

    Errors: Conflict for a role that isn't held, or that of the last manager.
    """
    stream = ledger.person_stream(person)
    with deed(by=by, name="book people", streams=[stream, ledger.SHOP_STREAM], clock=clock) as act:
        grant = RoleGrant.objects.filter(person_id=person, role=role, end__isnull=True).first()
        if grant is None:
            raise Conflict(Code.CONFLICT, f"{person} is not {role}", field="role")
        if role == RoleGrant.Role.MANAGER:
            _refuse_last_manager(person)
        row = RoleEnd.objects.create(grant=grant, reason=text(reason, "reason", 400), **act.stamp)
        act.enter(stream, "role ended", [row])
        return row


def end_person(*, by: str, person: str, reason: str, clock: Clock = SYSTEM) -> PersonEnd:
    """Record that someone no longer works here; account and tokens end with it.

    Errors: Conflict for who has left already, and for the last manager.
    """
    stream = ledger.person_stream(person)
    with deed(by=by, name="book people", streams=[stream, ledger.SHOP_STREAM], clock=clock) as act:
        whom = found(Person, person, "person")
        _refuse_gone(whom)
        _refuse_last_manager(person)
        row = PersonEnd.objects.create(person=whom, reason=text(reason, "reason", 400), **act.stamp)
        User.objects.filter(person=whom).update(is_active=False)
        Token.objects.filter(user__person=whom, revoked_at__isnull=True).update(revoked_at=act.at)
        act.enter(stream, "person left", [row])
        return row


def book_customer(
    *, by: str, number: str, name: str, email: str = "", clock: Clock = SYSTEM
) -> Customer:
    """Book a customer by number.

    Errors: Conflict for a number on record, BadValue at `number`, `name` or `email`.
    """
    new_number(number, "number", 20)
    _check_email(email)
    with deed(by=by, name="book customers", streams=[ledger.SHOP_STREAM], clock=clock) as act:
        refuse_taken(Customer, number, "number")
        customer = Customer.objects.create(number=number, **act.stamp)
        CustomerContact.objects.create(
            customer=customer, name=text(name, "name", 200), email=email.strip()
        )
        act.enter(ledger.SHOP_STREAM, "customer booked", [customer])
        return customer


def _refuse_gone(person: Person) -> None:
    if PersonEnd.objects.filter(person=person).exists():
        raise Conflict(Code.ALREADY_THERE, f"{person} has left already", field="person")


def _refuse_last_manager(person: str) -> None:
    """A shop without a manager could never get one again; its stream is locked, so none slips."""
    managers = RoleGrant.objects.filter(
        role=RoleGrant.Role.MANAGER, end__isnull=True, person__end__isnull=True
    ).values_list("person_id", flat=True)
    if set(managers) == {person}:
        raise Conflict(
            Code.CONFLICT,
            f"{person} is the last manager; make someone else one first",
            field="person",
        )


def _check_email(email: str) -> None:
    if not email:
        return
    try:
        validate_email(email.strip())
    except ValidationError as error:
        raise BadValue(
            Code.BAD_VALUE,
            "expected an address such as name@example.org",
            field="email",
            expected="an e-mail address",
            got=email[:40],
        ) from error


def _grant(act: Act, person: Person, role: str) -> RoleGrant:
    one_of(role, "role", RoleGrant.Role.values)
    return RoleGrant.objects.create(person=person, role=role, **act.stamp)
