"""The shop, its people and customers, and how a row enters the record."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from django.db import models, transaction

from records import ledger
from records.models import (
    BalanceRule,
    Checklist,
    ChecklistQuestion,
    Customer,
    CustomerContact,
    Person,
    PersonContact,
    RodFixture,
    RoleGrant,
    ShopSettings,
    ToleranceClass,
)

START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
NAMES = {"P-01": "Ines", "P-02": "Tomas", "P-03": "Ruth", "P-04": "Marta"}
ROLES = {
    "P-01": ("technician",),
    "P-02": ("technician",),
    "P-03": ("inspector",),
    "P-04": ("manager",),
}


def entered(
    *rows: models.Model,
    stream: str = ledger.SHOP_STREAM,
    kind: str = "made for a test",
    at: datetime = START,
    actor: str = "P-04",
) -> None:
    """Save rows in their order (a child after its parent) and name them all in one entry."""
    with transaction.atomic():
        for row in rows:
            row.save(force_insert=True)
            row.refresh_from_db()
        ledger.append(stream=stream, kind=kind, actor=actor, recorded_at=at, data={}, rows=rows)


def grams(value: str | Decimal) -> Decimal:
    """Return exact grams from a text."""
    return Decimal(value)


def a_person(
    number: str = "P-01", *, roles: Sequence[str] | None = None, name: str | None = None
) -> Person:
    """Return the person of this number, made with roles and a name when not there yet."""
    there = Person.objects.filter(number=number).first()
    if there is not None:
        return there
    person = Person(number=number, recorded_at=START)
    given = ROLES.get(number, ()) if roles is None else roles
    grants = [
        RoleGrant(person=person, role=role, recorded_at=START, recorded_by=person) for role in given
    ]
    entered(person, *grants, stream=ledger.person_stream(number))
    PersonContact(person=person, name=name or NAMES.get(number, number)).save()
    return person


def a_customer(number: str = "C-01", *, name: str = "Orla") -> Customer:
    """Return the customer of this number, made when not there yet."""
    there = Customer.objects.filter(number=number).first()
    if there is not None:
        return there
    customer = Customer(number=number, **stamp())
    entered(customer)
    CustomerContact(customer=customer, name=name).save()
    return customer


def stamp(at: datetime = START, by: str = "P-04") -> dict[str, Any]:
    """Return the columns that every deed's row bears."""
    return {"recorded_at": at, "recorded_by": a_person(by)}


def a_shop(*, demo: bool = False, self_release_street: bool = False) -> ShopSettings:
    """Return the shop's newest settings, made with its rules when there are none."""
    there = ShopSettings.objects.order_by("-version").first()
    if there is not None:
        return there
    for number in NAMES:
        a_person(number)
    settings = ShopSettings(
        version=1,
        name="Ferrow Lane Balancing",
        timezone="Europe/Dublin",
        demo=demo,
        self_release_street=self_release_street,
        **stamp(),
    )
    checklist = Checklist(version=1, **stamp())
    entered(
        settings,
        _tolerances("street", "1.0", "0", hangings=2),
        _tolerances("competition", "0.5", "1", hangings=3),
        BalanceRule(
            version=1, oil_g=grams("5"), fraction=grams("0.5"), range_g=grams("0.5"), **stamp()
        ),
        checklist,
        *(
            ChecklistQuestion(checklist=checklist, key=key, text=text, order=order, **stamp())
            for order, (key, text) in enumerate(QUESTIONS.items(), start=1)
        ),
    )
    return settings


QUESTIONS = {
    "no-blue": "Is nothing blued by heat?",
    "oil-ways": "Are the oil ways clear and the parts clean?",
}


def _tolerances(name: str, each_g: str, guard_r: str, *, hangings: int) -> ToleranceClass:
    each = grams(each_g)
    return ToleranceClass(
        name=name,
        version=1,
        set_g=each,
        big_end_g=each,
        whole_rod_g=each,
        guard_r=grams(guard_r),
        readings=2,
        hangings=hangings,
        **stamp(),
    )


def a_fixture(number: str = "F-01", version: int = 1) -> RodFixture:
    """Return a new rod fixture with 0.03 mm at each end."""
    fixture = RodFixture(
        number=number, version=version, big_mm=grams("0.03"), small_mm=grams("0.03"), **stamp()
    )
    entered(fixture)
    return fixture
