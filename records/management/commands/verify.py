"""`manage.py verify`: is the record as it was entered, and does it still hold what others saw?"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from records.queries.verification import Verification, verify_record
from records.queries.witnesses import (
    Outside,
    checkpoint_outside,
    folder_outside,
    paper_outside,
    receipts_outside,
)

READERS: dict[str, Callable[[str, bytes], Outside]] = {
    "paper": paper_outside,
    "checkpoint": checkpoint_outside,
    "receipts": receipts_outside,
}


class Command(BaseCommand):
    help = (
        "Walk every chain of the ledger, compare every row of the record with its entry, and walk "
        "the log over all entries. What was kept elsewhere is held against it."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--progress", action="store_true", help="tell how far it has come")
        given: dict[str, Any] = {"type": Path, "action": "append", "default": [], "metavar": "FILE"}
        parser.add_argument(
            "--paper", **given, help="a certificate: does the log still extend what it saw?"
        )
        parser.add_argument("--checkpoint", **given, help="a signed head of the log, as a file")
        parser.add_argument(
            "--receipts", **given, help="receipts, one a line: JSON with stream, seq and hash"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        outside = [
            read(str(file), _bytes_of(file))
            for name, read in READERS.items()
            for file in options[name]
        ]
        outside += folder_outside()
        result = verify_record(self._tell if options["progress"] else None, outside)
        self._say_what_was_checked(result)
        if result.stands:
            self.stdout.write("The record is as it was entered.")
            return
        for difference, count in result.told():
            self.stdout.write(f"{difference.kind} ({count}), the first: {difference}")
        self.stdout.write("The record is NOT as it was entered.")
        raise SystemExit(1)

    def _say_what_was_checked(self, result: Verification) -> None:
        self.stdout.write(
            f"{result.streams} streams with {result.entries} entries: every hash, link and head.\n"
            f"{result.rows} rows compared with the entries that name them, and {result.tables} "
            "tables looked through for rows that none names.\n"
            f"The log: {result.logged} leaves and the tree over them, {result.waiting} entries "
            f"still to be taken up; {result.checkpoints} checkpoints of ours.\n"
            f"From outside: {result.outside} heads, {result.receipts} receipts"
            f"{'' if result.outside or result.receipts else OUTSIDE_IS_MISSING}."
        )

    def _tell(self, what: str, count: int) -> None:
        self.stderr.write(f"{what}: {count}")


OUTSIDE_IS_MISSING = (
    "; who can write to this database and to its keys could have changed all of it alike. Name a "
    "certificate from a customer with --paper, or a checkpoint kept elsewhere with --checkpoint"
)


def _bytes_of(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except OSError as error:
        raise CommandError(f"{file}: {error.strerror}") from error
