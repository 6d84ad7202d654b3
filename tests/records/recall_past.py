"""The demo's past without its demo: five builds went out on S-04, and its calibration is entered.

Played once in a run by the very functions that `manage.py demo` plays, and put back for each test.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from django.conf import LazySettings

from records.actions.clock import SetClock
from records.management.demo import found_out, past, shop
from records.models import Recall
from tests.records.kept_rows import KeptRows, kept_once

OPENED = datetime(2026, 7, 20, 8, 0, tzinfo=UTC)
FOUND = OPENED + timedelta(days=113)
EARLY, LATE = past.EARLY.engine.build, past.LATE.engine.build
WHOLLY = tuple(one.engine.build for one in past.WHOLLY)
STORE: dict[str, KeptRows] = {}


def keys_of_its_own(settings: LazySettings, folder: Path) -> None:
    """Keep keys apart: those of the run may be younger than this past."""
    settings.TAREBOOK_KEYS_FOLDER = str(folder / "keys")


def five_went_out() -> SetClock:
    """Open the shop, let the five builds go out, and enter what the laboratory found."""
    kept_once(STORE, "five", _five)
    return SetClock(FOUND + timedelta(minutes=10))


def recalled() -> tuple[Recall, SetClock]:
    """Let Marta recall what S-04 touched, and reckon all of it again."""
    clock = five_went_out()
    return found_out.recalled(clock), clock


@pytest.fixture
def past_shop(db: None, settings: LazySettings, tmp_path: Path) -> SetClock:
    keys_of_its_own(settings, tmp_path)
    return five_went_out()


@pytest.fixture
def recall_and_clock(db: None, settings: LazySettings, tmp_path: Path) -> tuple[Recall, SetClock]:
    keys_of_its_own(settings, tmp_path)
    return recalled()


def _five() -> None:
    shop.open_the_shop(SetClock(OPENED), "a long one for tests 26")
    past.three_months(OPENED)
    found_out.calibrated(SetClock(FOUND))
