"""Findings: keys that last, and what closes each."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from records.domain.practice.finding import (
    CLOSED_BY,
    LONGEST_KEY,
    RATING_CODES,
    Decision,
    FindingCode,
    finding,
    key_of,
)


def test_a_key_names_the_rule_and_its_evidence() -> None:
    found = finding(FindingCode.FORBIDDEN_ZONE, "…", 12, 3, part="P-1")
    assert found.key == "forbidden_zone:P-1:12:3"


def test_new_evidence_makes_a_new_key() -> None:
    one = key_of(FindingCode.OVER_LIMIT, "P-1", 3, 12)
    assert one != key_of(FindingCode.OVER_LIMIT, "P-1", 3, 12, 13)
    assert one == key_of(FindingCode.OVER_LIMIT, "P-1", 3, 12)


@given(
    st.lists(st.text(max_size=30), max_size=12),
    st.lists(st.text(max_size=30), max_size=12),
)
def test_different_evidence_never_shares_a_key(one: list[str], other: list[str]) -> None:
    keys = [key_of(FindingCode.OVER_LIMIT, "P-1", *pieces) for pieces in (one, other)]
    assert all(len(key) <= LONGEST_KEY for key in keys)
    if "\x1f" not in "".join(one + other):
        assert (keys[0] == keys[1]) == (one == other)


def test_a_long_list_of_evidence_still_fits_the_column() -> None:
    key = key_of(FindingCode.OVER_LIMIT, "P-1", *range(500))
    assert len(key) <= LONGEST_KEY
    assert key != key_of(FindingCode.OVER_LIMIT, "P-1", *range(501))


def test_what_has_no_part_can_not_be_scrapped() -> None:
    assert Decision.SCRAP in finding(FindingCode.MATCH_FAILED, "…", part="P-1").closes_by
    assert Decision.SCRAP not in finding(FindingCode.MATCH_FAILED, "…").closes_by


@pytest.mark.parametrize("code", [FindingCode.BLUED, FindingCode.CRACKED])
def test_a_hold_is_never_conceded(code: FindingCode) -> None:
    assert CLOSED_BY[code] == {Decision.SCRAP, Decision.TESTED}


def test_a_rating_is_never_conceded() -> None:
    for code in RATING_CODES:
        assert Decision.CONCESSION not in CLOSED_BY.get(code, frozenset())


def test_rework_closes_nothing_by_itself() -> None:
    assert not [code for code, closing in CLOSED_BY.items() if Decision.REWORK in closing]


def test_missing_evidence_needs_no_decision_but_evidence() -> None:
    assert not finding(FindingCode.EVIDENCE_MISSING, "…", part="P-1").can_be_disposed
    assert finding(FindingCode.FORBIDDEN_ZONE, "…", part="P-1").can_be_disposed


def test_every_code_fits_its_column() -> None:
    assert max(len(code) for code in FindingCode) <= 60


def test_a_colon_inside_a_piece_does_not_make_two_keys_meet() -> None:
    one = key_of(FindingCode.OVER_LIMIT, "P-1", "a:b", "c")
    assert one != key_of(FindingCode.OVER_LIMIT, "P-1", "a", "b:c")
