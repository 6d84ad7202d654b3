"""`manage.py demo`: play the invented shop once, and say how to look at it."""

from __future__ import annotations

import os
import secrets
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from records.management.demo.play import Played, play, write_certificate
from records.management.demo.shop import SIGN_INS
from records.models import ShopSettings


class Command(BaseCommand):
    help = "Play the demo shop through the shop's own deeds; a second run repeats nothing."

    def handle(self, *_args: Any, **_options: Any) -> None:
        opened = ShopSettings.objects.order_by("version").first()
        if opened and not opened.demo:
            raise CommandError(f"{opened.name} is no demo; the demo never mixes with real records")
        password = _password(Path(settings.VAR))
        played = play(password, datetime.now(UTC))
        path = write_certificate(played, Path(settings.VAR))
        self._say(played, path, password)

    def _say(self, played: Played, path: Path, password: str) -> None:
        self.stdout.write("sign in as")
        for sign_in in SIGN_INS:
            self.stdout.write(f"  {sign_in.username:<6} {sign_in.role}")
        self.stdout.write(f"password: {password}")
        self.stdout.write(f"finished build: {settings.TAREBOOK_BASE_URL}/builds/{played.build}")
        self.stdout.write(f"certificate: {path}")
        self.stdout.write(f"verify it: .venv/bin/python manage.py verify-certificate {path}")


def _password(folder: Path) -> str:
    """Return the demo's password, made at the first run and readable by its owner only."""
    kept = folder / "demo-password"
    if not kept.exists():
        handle = os.open(kept, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w") as file:
            file.write(secrets.token_urlsafe(12))
    return kept.read_text().strip()
