"""The ledger's tables. records.ledger alone reads and writes them."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q


class Entry(models.Model):
    """One entry of one stream; the bytes are kept as they were hashed."""

    stream = models.CharField(max_length=100)
    seq = models.PositiveIntegerField()
    prev = models.CharField(max_length=64)
    hash = models.CharField(max_length=64)
    bytes = models.BinaryField()
    recorded_at = models.DateTimeField()
    kind = models.CharField(max_length=60)

    class Meta:
        verbose_name_plural = "entries"
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["stream", "seq"], name="one_entry_per_place"),
            # a fork can't be stored, even by a writer who forgot the lock
            models.UniqueConstraint(fields=["stream", "prev"], name="one_entry_after_each"),
            models.CheckConstraint(condition=Q(seq__gte=1), name="entry_counts_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.stream} {self.seq}: {self.kind}"


class EntryRow(models.Model):
    """Which entry names a row of the record: exactly one does."""

    entry = models.ForeignKey(Entry, models.PROTECT, related_name="named_rows")
    table = models.CharField(max_length=60)
    row_id = models.CharField(max_length=60)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["table", "row_id"], name="one_entry_per_row"),
        ]

    def __str__(self) -> str:
        return f"{self.table} {self.row_id}"


class StreamHead(models.Model):
    """Where a stream ends; the row that its writers lock (changeable)."""

    stream = models.CharField(max_length=100, primary_key=True)
    seq = models.PositiveIntegerField(default=0)
    hash = models.CharField(max_length=64)

    def __str__(self) -> str:
        return f"{self.stream} {self.seq}"
