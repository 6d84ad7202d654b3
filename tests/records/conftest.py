"""A build that is ready to be released, played once in a run and put back for each test."""

from __future__ import annotations

import pytest

from tests.records.kept_rows import KeptRows, kept_once
from tests.records.small_engine import ready_to_release


@pytest.fixture(scope="session")
def _shelf() -> dict[str, KeptRows]:
    return {}


@pytest.fixture
def ready(db: None, _shelf: dict[str, KeptRows]) -> None:
    """Bring a street twin as far as its release, in a test's own transaction."""
    kept_once(_shelf, "twin", ready_to_release)
