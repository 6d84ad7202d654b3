"""Attacks on rows, papers and bundles are noticed by the means that the table names."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from records.actions.certificates import issue_certificate
from records.models import Certificate
from records.queries.papers import verify_paper
from records.queries.verification import verify_record
from tests.faults.other_attacks import OTHER_ATTACKS, OtherAttack
from tests.records.filled_log import keys_apart
from tests.records.kept_rows import KeptRows, kept_once
from tests.records.small_engine import ready_to_release, release

pytestmark = pytest.mark.faults


@pytest.fixture(scope="session")
def _shelf() -> dict[str, KeptRows]:
    return {}


@pytest.fixture
def paper(db: None, _shelf: dict[str, KeptRows], settings: Any, tmp_path: Path) -> Certificate:
    keys_apart(settings, tmp_path)
    kept_once(_shelf, "twin", ready_to_release)
    return issue_certificate(release=release().pk)


def test_without_an_attack_all_stands(paper: Certificate) -> None:
    assert verify_record().stands
    assert verify_paper(bytes(paper.pdf)).accepted


@pytest.mark.parametrize("attack", OTHER_ATTACKS, ids=lambda attack: attack.words)
def test_it_is_noticed_by_the_means_in_the_table(paper: Certificate, attack: OtherAttack) -> None:
    told = attack.do(paper)
    if attack.says:
        assert attack.says in told
    else:
        assert told == ""
