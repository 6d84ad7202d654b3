"""Other people's figures that tests compare with; they are not ours to hold, so we read them.

They lie in the folder that TAREBOOK_CHECKS names, else in shared/checks beside the checkout.
Without them a test skips and says so; where CI=true it fails.
"""

from __future__ import annotations

import csv
import json
import os
from pathlib import Path
from typing import Any

import pytest

BESIDE = Path(__file__).resolve().parents[2] / "shared" / "checks"


def path(name: str) -> Path:
    """Return the path of a data file, or skip the test (CI: fail it)."""
    folder = Path(os.environ.get("TAREBOOK_CHECKS") or BESIDE)
    found = folder / "data" / name
    if not found.is_file():
        reason = f"the outside data file {name} is not here; TAREBOOK_CHECKS names its folder"
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    return found


def data(name: str) -> Any:
    """Return a data file: what a .json holds, or the rows of a .csv as dicts of text."""
    file = path(name)
    if file.suffix == ".json":
        return json.loads(file.read_text(encoding="utf-8"))
    with file.open(encoding="utf-8-sig", newline="") as stream:
        return list(csv.DictReader(stream))
