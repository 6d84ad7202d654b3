"""What a verification of the record found: counts, and the first difference of each kind."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum

Progress = Callable[[str, int], None]


class Kind(StrEnum):
    """What can differ, in the order in which it is told."""

    CHAIN_BROKEN = "chain broken"
    HEAD_DIFFERS = "head of a stream differs"
    ENTRY_UNREADABLE = "entry unreadable"
    ENTRY_COLUMN = "entry's columns differ from its bytes"
    INDEX_DIFFERS = "index of named rows differs from the entries"
    ROW_CHANGED = "row changed"
    ROW_GONE = "entry without row"
    ROW_WITHOUT_ENTRY = "row without entry"
    TABLE_NOT_COVERED = "table that no entry can name"
    TRIGGER_MISSING = "insert-only trigger missing"
    LOG_DIFFERS = "log differs from the entries"
    TREE_DIFFERS = "node of the log's tree differs"
    CHECKPOINT_UNSIGNED = "checkpoint without a signature of this log"
    CHECKPOINT_DIFFERS = "log does not extend a checkpoint"
    OUTSIDE_UNREADABLE = "what was kept outside can't be used"
    OUTSIDE_DIFFERS = "log does not extend what was kept outside"
    RECEIPT_DIFFERS = "entry of a receipt is not there"


@dataclass(frozen=True, slots=True)
class Difference:
    """One difference: where it is, what was expected and what was found."""

    kind: Kind
    where: str
    expected: str
    got: str

    def __str__(self) -> str:
        return f"{self.where}: expected {self.expected}, got {self.got}"


@dataclass(slots=True)
class Verification:
    """What was checked, how often each kind of difference was met, and the first of each kind."""

    streams: int = 0
    entries: int = 0
    rows: int = 0
    tables: int = 0
    logged: int = 0
    waiting: int = 0
    checkpoints: int = 0
    outside: int = 0
    receipts: int = 0
    counts: dict[Kind, int] = field(default_factory=dict)
    firsts: dict[Kind, Difference] = field(default_factory=dict)

    @property
    def stands(self) -> bool:
        """Tell whether nothing differs."""
        return not self.counts

    def found(self, kind: Kind, where: str, expected: str, got: str) -> None:
        """Count a difference, and keep it when it is the first of its kind."""
        self.counts[kind] = self.counts.get(kind, 0) + 1
        self.firsts.setdefault(kind, Difference(kind, where, expected, got))

    def told(self) -> list[tuple[Difference, int]]:
        """Return the first difference of each kind with its count."""
        return [(self.firsts[kind], self.counts[kind]) for kind in Kind if kind in self.counts]
