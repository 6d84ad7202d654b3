"""Real processes on the test's database: forked ones that die, and commands as a shop runs them."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import traceback
from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from django.db import connection

ROOT = Path(__file__).parents[2]
DIED = -signal.SIGKILL


def kill_this_process(*_: object, **__: object) -> None:
    """End as in a power cut: no handler, no clean-up, no answer to the database."""
    os.kill(os.getpid(), signal.SIGKILL)


def forked(work: Callable[[], object]) -> int:
    """Start a process that does `work` on connections of its own; return its id."""
    connection.close()  # one connection must not be in two processes
    child = os.fork()
    if child:
        return child
    code = 1
    try:
        work()
        code = 0
    except BaseException:
        traceback.print_exc()
    finally:
        connection.close()
        os._exit(code)


def ended(child: int) -> int:
    """Wait for a forked process; return its exit code, or minus the signal that killed it."""
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def run_forked(work: Callable[[], object]) -> int:
    """Do `work` in a process of its own and return how that ended."""
    return ended(forked(work))


def at_once(*works: Callable[[], object]) -> list[int]:
    """Let several processes do their work from one moment on; return how each ended."""
    reading, writing = os.pipe()

    def waiting(work: Callable[[], object]) -> Callable[[], object]:
        def run() -> None:
            os.close(writing)
            os.read(reading, 1)  # ends for all when the parent closes the pipe
            work()

        return run

    children = [forked(waiting(work)) for work in works]
    os.close(writing)
    os.close(reading)
    return [ended(child) for child in children]


def environment(**more: str) -> dict[str, str]:
    """Return the environment in which a command works on the test's own database and keys."""
    kept = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    return kept | {
        "DJANGO_SETTINGS_MODULE": "shop.settings",
        "PYTHONPATH": str(ROOT),
        "DATABASE_URL": _database_url(),
        "TAREBOOK_KEYS_FOLDER": str(settings.TAREBOOK_KEYS_FOLDER),
        **more,
    }


def manage(*words: str, **more: str) -> subprocess.CompletedProcess[str]:
    """Run `manage.py` as a shop does, and return what it said."""
    connection.close()
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=ROOT,
        env=environment(**more),
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def _database_url() -> str:
    used = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{used['NAME']}"
    return "postgres://{USER}:{PASSWORD}@{HOST}:{PORT}/{NAME}".format(**used)
