"""`manage.py reckon TOPIC [FILE]`: a what-if that records nothing; JSON in, JSON out."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from collections.abc import Mapping
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from records.domain.errors import TarebookError
from records.domain.reckon.numbers import refuse
from records.domain.reckon.text import read_json
from records.domain.reckon.topics import TOPICS, reckon


class Command(BaseCommand):
    help = "Reckon a topic from a JSON object (FILE or standard input) and print the answer as JSON"
    # A sum needs no database and no settings to be right.
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("topic", help=", ".join(TOPICS))
        parser.add_argument("file", nargs="?", default="-", help="a file, or - for standard input")

    def handle(self, *, topic: str, file: str, **_options: object) -> None:
        try:
            answer = reckon(topic, _object_in(file))
        except TarebookError as error:
            raise _refusal(str(error)) from error
        self.stdout.write(json.dumps(answer, ensure_ascii=False, allow_nan=False, indent=2))


def _object_in(file: str) -> Mapping[str, object]:
    try:
        text = sys.stdin.buffer.read() if file == "-" else Path(file).read_bytes()
    except OSError as error:
        reason = error.strerror or "no reason given"
        raise _refusal(f"{file}: expected a file that can be read, got {reason.lower()}") from error
    data = read_json(text)
    if not isinstance(data, dict):
        refuse("", "an object", data)
    return data


def _refusal(sentence: str) -> CommandError:
    return CommandError(" ".join(sentence.split()), returncode=2)
