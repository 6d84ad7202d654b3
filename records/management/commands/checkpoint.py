"""`manage.py checkpoint`: sign the log's head now, and put it where the settings say."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from records import anchors
from records.actions.checkpoints import change_log_key, make_checkpoint
from records.domain.errors import TarebookError
from records.log import KeptCheckpoint
from records.log_keys import known_log_keys


class Command(BaseCommand):
    help = "Take up what was entered, sign the log's head where there is news, and put it outside."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--out", type=Path, help="write the signed head into this file as well")
        parser.add_argument("--keys", action="store_true", help="print the log's public keys only")
        parser.add_argument(
            "--replace-key", metavar="REASON", help="let a new key sign from here on (with --by)"
        )
        parser.add_argument("--by", default="", help="shop number of the manager who replaces it")

    def handle(self, *_args: Any, **options: Any) -> None:
        try:
            if options["replace_key"]:
                new = change_log_key(by=options["by"], reason=options["replace_key"])
                self.stdout.write(f"signs from here on: {new.key}")
            if not options["keys"]:
                self._say(make_checkpoint(), options["out"])
            for known in known_log_keys():
                until = "" if known.until is None else f", for heads up to {known.until} entries"
                self.stdout.write(f"key {known.key}{until}")
        except TarebookError as error:
            raise CommandError(str(error)) from error

    def _say(self, made: KeptCheckpoint | None, out: Path | None) -> None:
        if made is None:
            self.stdout.write("nothing was entered yet")
            return
        self.stdout.write(made.note.decode())
        if anchors.folder() is None:
            self.stdout.write("TAREBOOK_ANCHOR_FOLDER is not set: it lies in the database only")
        if out:
            out.write_bytes(made.note)
