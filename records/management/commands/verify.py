"""`manage.py verify`: is the record as it was entered?"""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from records.queries.verification import Verification, verify_record


class Command(BaseCommand):
    help = "Walk every chain of the ledger and compare every row of the record with its entry."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--progress", action="store_true", help="tell how far it has come")

    def handle(self, *args: Any, **options: Any) -> None:
        result = verify_record(self._tell if options["progress"] else None)
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
            "tables looked through for rows that none names."
        )

    def _tell(self, what: str, count: int) -> None:
        self.stderr.write(f"{what}: {count}")
