"""Lists of builds: what is open, what is whose, and what the ledger holds of one."""

from __future__ import annotations

from datetime import timedelta

import pytest

from records.domain.errors import NotFound
from records.queries.builds import (
    all_builds,
    build_summary,
    builds_for_customer,
    entries_of_build,
    open_builds,
)
from records.queries.viewer import NOBODY, Viewer
from tests.records import factory
from tests.records.factory import START
from tests.records.queries.people_of_the_shop import INES, NILS, ORLA

pytestmark = pytest.mark.django_db


def _numbers(rows: tuple[object, ...]) -> list[str]:
    return [row.number for row in rows]  # type: ignore[attr-defined]


def test_a_build_is_open_until_a_release_that_stands() -> None:
    factory.a_build("26-001")
    factory.released(factory.a_build("26-002"), number="C2026-00002")
    doubted = factory.released(factory.a_build("26-003"), number="C2026-00003")
    factory.put_in_state(doubted, "in doubt")
    cleared = factory.released(factory.a_build("26-004"), number="C2026-00004")
    factory.put_in_state(cleared, "in doubt")
    factory.put_in_state(cleared, "stands")
    assert _numbers(open_builds(INES)) == ["26-001", "26-003"]
    assert _numbers(all_builds(INES)) == ["26-001", "26-002", "26-003", "26-004"]


def test_the_newest_revision_speaks_for_the_build() -> None:
    build = factory.a_build("26-001")
    first = factory.released(build, number="C2026-00001")
    factory.put_in_state(first, "replaced")
    factory.released(build, number="C2026-00001", revision=2, replaces=first)
    row = build_summary("26-001", INES)
    assert (row.certificate, row.revision, row.state) == ("C2026-00001", 2, "stands")
    assert not row.is_open


def test_a_build_without_a_release_has_no_state() -> None:
    factory.a_build("26-001", customer=factory.a_customer())
    row = build_summary("26-001", INES)
    assert (row.certificate, row.revision, row.state) == ("", None, "")
    assert (row.customer, row.opened_at, row.opened_by) == ("C-01", START, "P-04")
    assert row.is_open and not row.demo


def test_a_customer_sees_their_own_builds_alone() -> None:
    factory.a_build("26-001", customer=factory.a_customer("C-01"))
    factory.a_build("26-002", customer=factory.a_customer("C-02", name="Nils"))
    factory.a_build("26-003")
    assert _numbers(open_builds(ORLA)) == ["26-001"]
    assert _numbers(builds_for_customer("C-01", INES)) == ["26-001"]
    assert builds_for_customer("C-01", NILS) == ()
    assert build_summary("26-001", ORLA).number == "26-001"


@pytest.mark.parametrize("viewer", [NILS, NOBODY, Viewer(person="P-01"), Viewer(customer="")])
def test_what_is_not_theirs_is_answered_like_what_is_not_there(viewer: Viewer) -> None:
    factory.a_build("26-001", customer=factory.a_customer("C-01"))
    factory.a_build("26-002")
    for ask in (build_summary, entries_of_build):
        told = []
        for number in ("26-001", "26-002", "26-404"):
            with pytest.raises(NotFound) as refusal:
                ask(number, viewer)
            told.append(str(refusal.value).replace(number, "…"))
        assert len(set(told)) == 1
    assert open_builds(viewer) == ()


def test_the_entries_of_a_build_are_told_in_order() -> None:
    build = factory.a_build("26-001")
    part = factory.a_part("PA01")
    factory.fitted(build, part, 1, at=START + timedelta(minutes=1))
    factory.weighed(part, "446.8", build=build, at=START + timedelta(minutes=2))
    entries = entries_of_build("26-001", INES)
    assert [entry.seq for entry in entries] == [1, 2, 3]
    assert [entry.actor for entry in entries] == ["P-04", "P-04", "P-01"]
    assert entries[2].recorded_at == "2026-03-02T08:02:00.000000Z"
    assert len({entry.hash for entry in entries}) == 3
    assert not entries[0].clock_was_set
