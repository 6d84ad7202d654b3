"""Where a row stands in the ledger, for who recorded it."""

from __future__ import annotations

from django.db.models import Model

from records import ledger
from records.ledger import Receipt

__all__ = ["Receipt", "receipt_of"]


def receipt_of(row: Model) -> Receipt:
    """Return the receipt of the deed that recorded a row.

    Errors: NotFound when no entry names it.
    """
    return ledger.receipt_of(row)
