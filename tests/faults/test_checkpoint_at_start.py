"""A server that starts signs what was entered while nobody did."""

from __future__ import annotations

from pathlib import Path

import pytest

from records.models.log import Checkpoint
from records.queries.verification import verify_record
from tests.faults.processes import manage
from tests.faults.test_server_start import _server, _until

pytestmark = [pytest.mark.faults, pytest.mark.usefixtures("ready_shop")]


def test_it_signs_one_head_though_two_workers_start(tmp_path: Path) -> None:
    log = tmp_path / "log"
    assert not Checkpoint.objects.exists()
    with _server(log, workers=2):
        _until(Checkpoint.objects.exists, log)
    assert Checkpoint.objects.count() == 1
    result = verify_record()
    assert result.stands, result.firsts
    assert (result.waiting, result.checkpoints) == (0, 1)


def test_the_command_finds_the_same_head(tmp_path: Path) -> None:
    done = manage("checkpoint", "--out", str(tmp_path / "head"))
    assert done.returncode == 0, done.stderr
    assert manage("verify", "--checkpoint", str(tmp_path / "head")).returncode == 0
    again = manage("checkpoint")
    assert (tmp_path / "head").read_text() in again.stdout
