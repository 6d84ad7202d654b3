"""`manage.py take-in SHEET.csv --build NUMBER`: a bench sheet, all of it or nothing."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from records.actions.take_in import TakeIn, take_in, who_takes_in
from records.domain.errors import ManyErrors, TarebookError

MOST_LINES = 100  # of errors; more help nobody at a time


class Command(BaseCommand):
    help = "Take in a bench sheet (CSV, one row per reading): parts, places and weighings."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("sheet", type=Path, help="the CSV file")
        parser.add_argument("--build", required=True, metavar="NUMBER")
        parser.add_argument("--open", metavar="LAYOUT", help="open the build, such as v8-90")
        parser.add_argument("--engine", default="", help="what the engine is, in words")
        parser.add_argument("--customer", metavar="NUMBER", help="whom it is done for")
        parser.add_argument("--rod-length-mm", type=_length, metavar="X")
        parser.add_argument("--stroke-mm", type=_length, metavar="X")
        parser.add_argument(
            "--by",
            default="",
            metavar="PERSON",
            help="account name or shop number; else the one operator whom the sheet names",
        )
        parser.add_argument("--dry-run", action="store_true", help="say what would come in")

    def handle(self, *_args: Any, **options: Any) -> None:
        try:
            sheet_bytes = options["sheet"].read_bytes()
            by = who_takes_in(sheet_bytes=sheet_bytes, name=options["by"])
            taken = take_in(
                by=by,
                build=options["build"],
                sheet_bytes=sheet_bytes,
                open_layout=options["open"],
                rod_length_mm=options["rod_length_mm"],
                stroke_mm=options["stroke_mm"],
                engine=options["engine"],
                customer=options["customer"],
                dry_run=options["dry_run"],
            )
        except OSError as error:
            reason = (error.strerror or "no reason given").lower()
            path = options["sheet"]
            raise _refusal(f"{path}: expected a file that can be read, got {reason}") from error
        except TarebookError as error:
            raise _refusal("\n".join(["nothing was taken in", *_lines(error)])) from error
        self._tell(taken, by, dry=options["dry_run"])

    def _tell(self, taken: TakeIn, by: str, *, dry: bool) -> None:
        self.stdout.write(
            f"build {taken.build.number}, taken in by {by}: {len(taken.parts)} parts, "
            f"{len(taken.weighings)} weighings with {taken.readings} readings"
        )
        for warning in taken.warnings:
            self.stdout.write(f"note: {warning}")
        if dry:
            self.stdout.write("dry run: nothing was written")


def _length(text: str) -> Decimal:
    try:
        return Decimal(text)
    except ArithmeticError as error:
        raise CommandError(f"expected a length in mm, got {text!r}", returncode=2) from error


def _lines(error: TarebookError) -> list[str]:
    errors = error.errors if isinstance(error, ManyErrors) else (error,)
    lines = [_line(each) for each in errors[:MOST_LINES]]
    left = len(errors) - len(lines)
    return [*lines, f"and {left} more"] if left else lines


def _line(error: TarebookError) -> str:
    """Name the row and column as a spreadsheet would: `row 17, reading: …`."""
    start, *rest = error.field.split("/", 2)
    if start != "rows" or not rest:
        return str(error)
    return f"row {', '.join(rest)}: {error.message}"


def _refusal(sentence: str) -> CommandError:
    return CommandError(sentence, returncode=2)
