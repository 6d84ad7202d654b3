"""What the record's tests share: a few rows with their entries, and an insider with SQL."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from django.db import connection, transaction

from records import ledger, triggers
from records.ledger import Receipt
from records.models import Person, RoleGrant, Scale, ScaleStep
from records.models.ledger import Entry, EntryRow, StreamHead

MONDAY = datetime(2026, 3, 2, 8, 15, 0, 250_000, tzinfo=UTC)


def ines() -> Person:
    """Enter Ines, the technician, in her own stream."""
    with transaction.atomic():
        person = Person.objects.create(number="P-01", recorded_at=MONDAY)
        role = RoleGrant.objects.create(
            person=person, role="technician", recorded_at=MONDAY, recorded_by=person
        )
        ledger.append(
            stream=ledger.person_stream("P-01"),
            kind="person registered",
            actor="P-01",
            recorded_at=MONDAY,
            data={},
            rows=[person, role],
        )
    return person


def scale_of(person: Person, number: str = "S-02") -> tuple[Scale, Receipt]:
    """Enter a scale with its two steps, in its own stream."""
    with transaction.atomic():
        scale = Scale.objects.create(
            number=number, capacity_g=Decimal("2000"), recorded_at=MONDAY, recorded_by=person
        )
        steps = [
            ScaleStep.objects.create(
                scale=scale, unit=unit, step=Decimal(step), step_g=Decimal(step_g)
            )
            for unit, step, step_g in (("g", "0.1", "0.1"), ("oz", "0.001", "0.028349523125"))
        ]
        receipt = ledger.append(
            stream=ledger.scale_stream(number),
            kind="scale registered",
            actor=person.pk,
            recorded_at=MONDAY,
            data={"note": "Waage für große Teile"},
            rows=[scale, *steps],
        )
    return scale, receipt


def counts() -> tuple[int, ...]:
    """Return how many entries, named rows and heads there are, and where the heads stand."""
    stands = sum(StreamHead.objects.values_list("seq", flat=True))
    return Entry.objects.count(), EntryRow.objects.count(), StreamHead.objects.count(), stands


@contextmanager
def triggers_down() -> Iterator[None]:
    """Take the triggers down, as an owner of the database could, and put them up again."""
    # PostgreSQL alters no table with references still to be checked
    connection.check_constraints()
    triggers.uninstall(connection)
    yield
    connection.check_constraints()
    triggers.install(connection)


def insider(sql: str, *values: Any) -> None:
    """Run one statement past the triggers; it must touch exactly one row."""
    with triggers_down(), connection.cursor() as cursor:
        cursor.execute(sql, values)
        assert cursor.rowcount == 1, f"{sql}: touched {cursor.rowcount} rows"
