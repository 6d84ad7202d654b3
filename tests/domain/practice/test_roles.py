"""Who may do which deed."""

import pytest

from records.domain.errors import NotAllowed
from records.domain.practice.roles import MAY, ROLES, check_may, may

# The table once more, by role, so that a change of one is seen in the other.
BENCH = {"open build", "book parts", "fit", "weigh", "match", "cut", "issue card"}
BENCH |= {"answer checklist", "check scale", "study scale", "correct", "book customers", "read"}
INSPECTION = {"correct", "verify weighing", "rule allowance", "dispose", "release", "read"}
INSPECTION |= {"change certificate", "clear recall"}
OFFICE = {"open build", "book parts", "check scale", "change certificate", "keep scales", "read"}
OFFICE |= {"book people", "book customers", "set rules", "recall", "study scale"}


@pytest.mark.parametrize(
    ("role", "deeds"),
    [
        ("technician", BENCH),
        ("inspector", INSPECTION),
        ("manager", OFFICE),
        ("viewer", {"read"}),
    ],
)
def test_each_role_may_do_its_deeds_and_no_other(role: str, deeds: set[str]) -> None:
    assert {deed for deed in MAY if may({role}, deed)} == deeds


def test_a_deed_that_is_not_listed_nobody_may_do() -> None:
    assert not may(ROLES, "sell the shop")


def test_someone_without_a_role_may_do_nothing() -> None:
    assert not [deed for deed in MAY if may((), deed)]


def test_one_person_may_hold_several_roles() -> None:
    assert may({"technician", "inspector"}, "release")


def test_it_refuses_a_release_by_a_technician_and_says_who_may() -> None:
    check_may({"inspector"}, "release", "ruth")
    with pytest.raises(NotAllowed, match="ines may not release: expected the role inspector"):
        check_may({"technician"}, "release", "ines")
