"""What goes out: facts as plain JSON, and the answer to a deed with its receipt.

Exact decimals go out as strings, times in UTC with a Z, numbers reckoned in floats as numbers.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, fields, is_dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import Enum
from typing import Any, TypeVar

from records.queries.receipts import Receipt, receipt_of


@dataclass(frozen=True, slots=True)
class Recorded:
    """What a deed recorded: the row's id, when, by whom, and where it stands in the ledger."""

    id: int | str
    recorded_at: datetime
    recorded_by: str
    receipt: Receipt


Answer = TypeVar("Answer", bound=Recorded)
OF_EVERY_DEED = frozenset(field.name for field in fields(Recorded))


def recorded(row: Any, kind: type[Answer], **more: Any) -> Answer:
    """Return the answer to a deed; what `kind` has beyond Recorded is read off the row.

    `more` gives what the row doesn't have under that name.
    """
    own = [field.name for field in fields(kind) if field.name not in OF_EVERY_DEED]
    return kind(
        id=row.pk,
        recorded_at=row.recorded_at,
        # a person's own row bears no hand
        recorded_by=getattr(row, "recorded_by_id", row.pk),
        receipt=receipt_of(row),
        **{name: more[name] if name in more else getattr(row, name) for name in own},
    )


def plain(value: Any) -> Any:
    """Return facts as JSON can carry them."""
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, Set):
        return sorted(plain(one) for one in value)
    if isinstance(value, Enum):
        return plain(value.value)
    if isinstance(value, Sequence) and not isinstance(value, str | bytes):
        return [plain(one) for one in value]
    return _scalar(value)


def _scalar(value: Any) -> Any:
    if isinstance(value, Decimal):
        return format(value.normalize(), "f")
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat().replace("+00:00", "Z")
    if isinstance(value, date):
        return value.isoformat()
    return value
