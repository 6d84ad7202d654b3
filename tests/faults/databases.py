"""A database for each test of the rings `faults` and `services`, with builds ready to be released.

Processes that a test starts must see what it committed, so no transaction is wound back here: a
played database is copied for each test, which takes less time than emptying one.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection


@contextmanager
def _working_on(name: str) -> Iterator[None]:
    """Let this process, and those it forks, work on another database for a while."""
    before = connection.settings_dict["NAME"]
    connection.close()
    connection.settings_dict["NAME"] = name
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict["NAME"] = before


@contextmanager
def _a_database(folder: Path, words: str, *, like: str | None = None) -> Iterator[str]:
    """Make a database, empty or like another to which nobody is connected; yield its name."""
    if connection.vendor == "sqlite":
        file = folder / f"{words}.sqlite3"
        if like:
            shutil.copyfile(like, file)
        yield str(file)
        return
    name = f"tarebook_{words}_{os.getpid()}"
    _on_the_server(f'CREATE DATABASE "{name}"' + (f' TEMPLATE "{like}"' if like else ""))
    yield name
    _on_the_server(f'DROP DATABASE "{name}" WITH (FORCE)')


def _on_the_server(statement: str) -> None:
    connection.close()
    with connection._nodb_cursor() as cursor:
        cursor.execute(statement)


@pytest.fixture(scope="session")
def _played(
    django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[Path, str]]:
    """Play two twins up to their releases, once in a run."""
    # late: tests/conftest.py imports this module before Django is set up
    from tests.records.small_engine import SECOND, TWIN, ready_to_release

    folder = tmp_path_factory.mktemp("databases")
    with django_db_blocker.unblock(), _a_database(folder, "played") as name:
        with _working_on(name):
            call_command("migrate", verbosity=0)
            ready_to_release((TWIN, SECOND))
        yield folder, name


@pytest.fixture
def ready_shop(
    _played: tuple[Path, str], django_db_blocker: Any, settings: Any, tmp_path: Path
) -> Iterator[None]:
    """Work on a copy of the played database, with signing keys of its own."""
    _, played = _played
    settings.TAREBOOK_KEYS_FOLDER = str(tmp_path / "keys")
    with (
        django_db_blocker.unblock(),
        _a_database(tmp_path, "copy", like=played) as name,
        _working_on(name),
    ):
        yield
