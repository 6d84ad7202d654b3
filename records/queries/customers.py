"""Customers as the shop's list shows them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from records.models import Customer
from records.queries.people import customer_names_of


@dataclass(frozen=True, slots=True)
class CustomerRow:
    """A customer: number, and the name as known today ("" when erased)."""

    number: str
    name: str
    booked_at: datetime


def customers() -> tuple[CustomerRow, ...]:
    """Return every customer by number; for people of the shop alone."""
    rows = list(Customer.objects.order_by("number"))
    names = customer_names_of(row.number for row in rows)
    return tuple(
        CustomerRow(row.number, names.get(row.number, ""), row.recorded_at) for row in rows
    )
