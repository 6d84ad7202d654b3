"""What the tests of the log share: entries by the number, a key of their own, a folder outside."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.db import transaction

from records import ledger
from records.ledger import Receipt
from tests.records.keeper import MONDAY

BUILD, OTHER = "build/26-014", "build/26-015"


def enter(stream: str = BUILD, count: int = 1) -> list[Receipt]:
    """Append entries that name no row, and return their receipts."""
    with transaction.atomic():
        return [
            ledger.append(
                stream=stream,
                kind="note",
                actor="P-02",
                recorded_at=MONDAY,
                data={"note": f"number {number}"},
            )
            for number in range(count)
        ]


def keys_apart(settings: Any, folder: Path) -> None:
    """Let a test make its own keys, and keep heads of the log nowhere but in the database."""
    settings.TAREBOOK_KEYS_FOLDER = str(folder / "keys")
    settings.TAREBOOK_ANCHOR_FOLDER = ""
