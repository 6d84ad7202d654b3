"""`manage.py bundle BUILD`: a build's record with its proofs, in one file for a scrutineer."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from records.actions.bundles import hand_out_bundle
from records.domain.errors import TarebookError
from records.log_keys import known_log_keys
from records.queries.viewer import Viewer

# who runs commands here can read every build anyway
KEEPER = Viewer(person="the keeper of this server", roles=frozenset({"viewer"}))


class Command(BaseCommand):
    help = "Write a build's entries, proofs, checkpoints and certificates into one ZIP."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("build", help="the build's number")
        parser.add_argument("--out", type=Path, help="unless given, BUILD.zip in this folder")

    def handle(self, *_args: Any, **options: Any) -> None:
        build = options["build"]
        out: Path = options["out"] or Path(f"{build}.zip".replace("/", "-"))
        try:
            out.write_bytes(hand_out_bundle(build=build, viewer=KEEPER))
        except TarebookError as error:
            raise CommandError(str(error)) from error
        except OSError as error:
            raise CommandError(f"{out}: {error.strerror}") from error
        # all of them: a paper of the build may carry a head that an earlier key signed
        keys = " ".join(f"--key {known.key}" for known in known_log_keys())
        self.stdout.write(f"{out}\nverify it: python -m records.domain.proof {out} {keys}")
