"""Each attack of an insider is run for real; who notices is asserted, and so is who does not."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from records.queries.verification import verify_record
from tests.faults import insider
from tests.faults.attacks import ATTACKS, Attack, first_to_notice, set_scene
from tests.records.filled_log import keys_apart
from tests.records.keeper import triggers_down

pytestmark = [pytest.mark.faults, pytest.mark.django_db]


@pytest.fixture(autouse=True)
def _keys(settings: Any, tmp_path: Path) -> None:
    keys_apart(settings, tmp_path)


def test_an_untouched_record_alarms_nobody() -> None:
    assert first_to_notice(set_scene()) is None


@pytest.mark.parametrize(
    "attack", ATTACKS, ids=[f"{n}-{attack.words}" for n, attack in enumerate(ATTACKS, start=1)]
)
def test_the_first_check_that_notices_is_the_one_in_the_table(attack: Attack) -> None:
    scene = set_scene()
    before = insider.dumped()
    with triggers_down():
        attack.do(scene)
    assert insider.dumped() != before
    # not earlier either: the table must not promise more than is so
    assert first_to_notice(scene) is attack.noticed_by


def test_what_was_changed_is_named() -> None:
    scene = set_scene()
    with triggers_down():
        ATTACKS[3].do(scene)
    first, _ = verify_record().told()[0]
    assert first.where == "checkpoint of 10 entries, 10 entries"
    assert first.expected == scene.older.root
