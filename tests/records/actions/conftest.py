"""A shop opened through its own actions; after every test its record still stands."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from records.actions.builds import note_detail
from records.actions.checklist import answer_question
from records.actions.clock import SetClock
from records.queries.build_facts import facts_of
from records.queries.verification import verify_record
from tests.records.actions.bench import (
    BUILD,
    INES,
    MARTA,
    MONDAY,
    Shop,
    book_all,
    equip,
    open_ferrow_lane,
    open_two,
    set_specs,
    weigh_all,
)


@pytest.fixture(autouse=True)
def _the_record_stands(db: None) -> Iterator[None]:
    """Whatever a test did through the actions, rows and entries agree afterwards."""
    yield
    verification = verify_record()
    assert verification.stands, verification.firsts


@pytest.fixture(autouse=True)
def _keys_of_its_own(settings: Any, tmp_path: Path) -> None:
    """A shop of March 2026 must not meet keys that another test's shop made today."""
    settings.TAREBOOK_KEYS_FOLDER = tmp_path / "keys"


@pytest.fixture
def clock() -> SetClock:
    return SetClock(MONDAY)


@pytest.fixture
def people(clock: SetClock) -> Shop:
    """The shop with its people and nothing else."""
    open_ferrow_lane(clock)
    return Shop(clock)


@pytest.fixture
def equipped(people: Shop) -> Shop:
    """The shop with scales, check weights and part specs."""
    equip(people.clock)
    set_specs(people.clock)
    return people


@pytest.fixture
def shop(equipped: Shop) -> Shop:
    """The shop with a street build of two cylinders and its parts."""
    open_two(equipped.clock)
    book_all(equipped.clock)
    return equipped


@pytest.fixture
def finished(shop: Shop) -> Shop:
    """The build ready for release: weighed, matching, its crank elsewhere, all answered."""
    weigh_all(shop)
    answer_all(shop)
    return shop


def answer_all(shop: Shop) -> None:
    """Answer the checklist of a street build whose crank is elsewhere."""
    note_detail(
        by=MARTA,
        build=BUILD,
        key="crank_in_job",
        value="no",
        reason="the owner keeps it",
        clock=shop.clock,
    )
    special = {
        "damper": ("not seen by us", "stays with the owner"),
        "rating": ("not applicable", ""),
    }
    for question in facts_of(BUILD).questions:
        shop.clock.forward(minutes=1)
        answer, detail = special.get(question.key, ("yes", ""))
        answer_question(
            by=INES,
            build=BUILD,
            question=question.key,
            answer=answer,
            detail=detail,
            clock=shop.clock,
        )
