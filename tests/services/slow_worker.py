"""The shop's Celery app, in which signing can be caught: `celery -A tests.services.slow_worker`.

SIGNING_FOLDER names a folder. Signing leaves a file there that bears its process's id, and then
waits as long as the folder holds a file `hold`; with a file `kill` it kills its process instead.
"""

import os
import time
from pathlib import Path
from unittest.mock import patch

import django

django.setup()

from records.documents.signing.sign import sign_pdf  # noqa: E402
from shop.celery import app  # noqa: E402
from tests.faults.processes import kill_this_process  # noqa: E402

__all__ = ["app"]

FOLDER = Path(os.environ["SIGNING_FOLDER"])


def sign(*given: object, **named: object) -> bytes:
    (FOLDER / f"signing-{os.getpid()}-{time.monotonic_ns()}").touch()
    if (FOLDER / "kill").exists():
        kill_this_process()
    while (FOLDER / "hold").exists():
        time.sleep(0.05)
    return sign_pdf(*given, **named)  # type: ignore[arg-type]


patch("records.actions.certificates.sign_pdf", sign).start()
