"""What every record row has in common: it is written once and never again."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db import models

from records.domain.errors import Code, Conflict

GRAMS: dict[str, Any] = {"max_digits": 20, "decimal_places": 13}  # 0.0001 oz needs 13 places
MILLIMETRES: dict[str, Any] = {"max_digits": 12, "decimal_places": 4}


class Record(models.Model):
    """A row that is only ever inserted; a later state is a row of its own.

    `ledger_fields` lists, per schema number, the fields that enter the ledger and are compared
    with it. A number is kept for ever; a column added later is nullable and brings a new number.
    """

    ledger_fields: ClassVar[dict[int, tuple[str, ...]]]

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise Conflict(Code.CONFLICT, f"{self._meta.label} {self.pk} is on record for good")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        raise Conflict(Code.CONFLICT, f"{self._meta.label} {self.pk} is on record for good")


class Deed(Record):
    """A record row that says when it was recorded and by whom (a person's shop number)."""

    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("records.Person", models.PROTECT, related_name="+")

    class Meta:
        abstract = True
