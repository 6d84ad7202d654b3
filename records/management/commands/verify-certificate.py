"""`manage.py verify-certificate FILE`: is this paper ours, unchanged, and does it still stand?"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from records.queries.papers import PaperVerdict, verify_paper


class Command(BaseCommand):
    help = "Verify a certificate: its signature, that nothing was added, and what the ledger holds."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *_args: Any, **options: Any) -> None:
        try:
            pdf = options["file"].read_bytes()
        except OSError as error:
            raise CommandError(f"{options['file']}: {error.strerror}") from error
        verdict = verify_paper(pdf)
        self.stdout.write(f"SHA-256   {verdict.sha256}")
        if verdict.signer:
            self.stdout.write(f"signed by {verdict.signer}")
        if not verdict.accepted:
            raise CommandError("not accepted: " + "; ".join(verdict.problems))
        self.stdout.write(_sentence(verdict))


def _sentence(verdict: PaperVerdict) -> str:
    known = verdict.known
    if known is None:
        return "not accepted"
    told = f"accepted: certificate {known.number}, revision {known.revision}, as it was issued"
    stands = "it stands" if known.state == "genuine" else f"it is {known.state}"
    return f"{told}; {stands}{'; a demo, of an invented shop' if known.demo else ''}"
