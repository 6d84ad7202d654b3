"""The log over all entries: leaves, tree, signed heads. records.log alone writes them."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from records.models.ledger import Entry


class LogEntry(models.Model):
    """Which leaf of the log an entry is; indexes count from 0 without a gap."""

    index = models.PositiveBigIntegerField(primary_key=True)
    entry = models.OneToOneField(Entry, models.PROTECT, related_name="+")
    leaf = models.CharField(max_length=64)

    class Meta:
        verbose_name_plural = "log entries"

    def __str__(self) -> str:
        return f"leaf {self.index}"


class LogNode(models.Model):
    """A full node of the tree at every eighth level; those between are reckoned from below."""

    level = models.PositiveSmallIntegerField()
    place = models.PositiveBigIntegerField()
    hash = models.CharField(max_length=64)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["level", "place"], name="one_node_per_place")
        ]

    def __str__(self) -> str:
        return f"node {self.place} at level {self.level}"


class Checkpoint(models.Model):
    """A head of the log, signed: what was promised to whoever holds it."""

    size = models.PositiveBigIntegerField()
    root = models.CharField(max_length=64)
    key_id = models.CharField(max_length=8)  # by which key, as its signature line names it
    note = models.BinaryField()
    made_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            # two roots of one size can't both be signed, even by a signer who forgot the lock
            models.UniqueConstraint(fields=["size", "key_id"], name="one_head_per_size_and_key")
        ]

    def __str__(self) -> str:
        return f"checkpoint of {self.size} entries"


class CheckpointAnchor(models.Model):
    """A place outside the database that was given a checkpoint, and when."""

    checkpoint = models.ForeignKey(Checkpoint, models.PROTECT, related_name="anchors")
    place = models.CharField(max_length=200)
    anchored_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["checkpoint", "place"], name="anchored_once_a_place")
        ]

    def __str__(self) -> str:
        return self.place
