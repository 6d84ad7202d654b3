"""`manage.py checkpoint` signs, says where it went, and replaces the log's key."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings as configured
from django.core import checks
from django.core.management import CommandError, call_command

from records.checks import DEMO_LOG_KEY
from records.log_keys import known_log_keys, log_signer, open_known
from records.models.log import Checkpoint
from tests.records.filled_log import BUILD, enter, keys_apart
from tests.records.keeper import ines

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _keys(settings: Any, tmp_path: Path) -> None:
    keys_apart(settings, tmp_path)


def _checkpoint(**options: Any) -> str:
    out = io.StringIO()
    call_command("checkpoint", stdout=out, **options)
    return out.getvalue()


def test_of_an_empty_record_it_says_that_nothing_was_entered() -> None:
    assert _checkpoint() == f"nothing was entered yet\nkey {log_signer(demo=False).key}\n"


def test_it_prints_the_head_and_writes_it_where_asked(tmp_path: Path) -> None:
    enter(BUILD, 4)
    told = _checkpoint(out=tmp_path / "head")
    note = (tmp_path / "head").read_bytes()
    assert note.decode() in told
    assert open_known(note).size == 4


def test_keys_alone_sign_nothing() -> None:
    enter(BUILD, 1)
    key = log_signer(demo=False).key
    assert _checkpoint(keys=True) == f"key {key}\n"
    assert not Checkpoint.objects.exists()


def test_who_may_not_replaces_no_key() -> None:
    ines()
    key = log_signer(demo=False).key
    with pytest.raises(CommandError, match="P-01 may not"):
        _checkpoint(replace_key="for fun", by="P-01")
    assert [known.key for known in known_log_keys()] == [key]


class TestADemoKey:
    def _found(self) -> list[str | None]:
        every = checks.run_checks(tags=[checks.Tags.security], include_deployment_checks=True)
        return [message.id for message in every if message.id == DEMO_LOG_KEY]

    def test_is_refused_by_check_deploy(self) -> None:
        log_signer(demo=True)
        assert self._found() == [DEMO_LOG_KEY]

    def test_one_of_a_shop_is_not(self) -> None:
        log_signer(demo=False)
        assert self._found() == []

    def test_before_the_first_run_there_is_nothing_to_refuse(self) -> None:
        assert self._found() == []


def test_the_beat_asks_every_minute_for_a_task_that_there_is() -> None:
    from celery import current_app

    asked = configured.CELERY_BEAT_SCHEDULE["checkpoint"]
    assert asked["schedule"] == 60.0
    enter(BUILD, 1)
    current_app.tasks[asked["task"]].apply()
    assert Checkpoint.objects.count() == 1
