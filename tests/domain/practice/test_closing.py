"""What closes a finding, and who may concede."""

import pytest

from records.domain.errors import BadValue, Conflict, NotAllowed, TarebookError
from records.domain.practice.closing import (
    check_disposition,
    decision_named,
    decisions_for,
    is_closed,
    needed_evidence,
)
from records.domain.practice.facts import DispositionFacts
from records.domain.practice.finding import CLOSED_BY, Decision, FindingCode, finding
from tests.domain.practice.sample import at

TESTS = {"hardness": "38 HRC, asked 36 to 40", "crack_test": "none found"}


def decide(
    code: str,
    decision: str,
    *,
    evidence: dict[str, str] | None = None,
    reason: str = "seen",
    by: str = "ruth",
    has_part: bool = True,
) -> Decision:
    return check_disposition(
        code,
        decision,
        has_part=has_part,
        reason=reason,
        evidence=evidence or {},
        by=by,
        workers={"ines"},
    )


def closed(code: FindingCode, decision: str, *, by: str = "ruth", **evidence: str) -> bool:
    disposition = DispositionFacts(decision, "seen", evidence, by, at(6))
    return is_closed(finding(code, "…", part="R-1"), disposition, {"ines"})


def test_blued_steel_closes_by_scrap_or_by_both_tests() -> None:
    assert decide("blued", "scrap") is Decision.SCRAP
    assert decide("blued", "tested", evidence=TESTS) is Decision.TESTED
    assert closed(FindingCode.BLUED, "tested", **TESTS)


@pytest.mark.parametrize("decision", ["concession", "looked at", "explained"])
def test_blued_steel_is_never_conceded_or_looked_away(decision: str) -> None:
    with pytest.raises(Conflict, match="blued isn't closed by"):
        decide("blued", decision, evidence=TESTS)
    assert not closed(FindingCode.BLUED, decision, **TESTS)


@pytest.mark.parametrize("left_out", ["hardness", "crack_test"])
def test_half_a_test_does_not_close_blued_steel(left_out: str) -> None:
    half = {name: text for name, text in TESTS.items() if name != left_out}
    with pytest.raises(BadValue) as refused:
        decide("blued", "tested", evidence=half)
    assert refused.value.field == f"evidence/{left_out}"
    assert not closed(FindingCode.BLUED, "tested", **half)


def test_straw_closes_by_an_inspectors_look_with_a_reason() -> None:
    assert decide("heat_seen", "looked at") is Decision.LOOKED
    with pytest.raises(BadValue) as refused:
        decide("heat_seen", "looked at", reason="  ")
    assert refused.value.field == "reason"
    with pytest.raises(Conflict):
        decide("heat_seen", "concession")


def test_a_forbidden_zone_is_conceded_by_who_did_not_do_the_work() -> None:
    assert decide("forbidden_zone", "concession") is Decision.CONCESSION
    with pytest.raises(NotAllowed, match="ines worked on this build"):
        decide("forbidden_zone", "concession", by="ines")


def test_a_concession_by_who_worked_later_does_not_close() -> None:
    assert closed(FindingCode.FORBIDDEN_ZONE, "concession")
    assert not closed(FindingCode.FORBIDDEN_ZONE, "concession", by="ines")


def test_metal_gone_is_explained_not_conceded() -> None:
    assert decide("metal_gone", "explained") is Decision.EXPLAINED
    with pytest.raises(Conflict):
        decide("metal_gone", "concession")


def test_a_doubted_rating_needs_the_body_that_confirmed_it() -> None:
    assert needed_evidence("rating_in_doubt", "explained") == ("confirmed_by",)
    with pytest.raises(BadValue):
        decide("rating_in_doubt", "explained")
    confirmed = {"confirmed_by": "letter of 4 March"}
    assert decide("rating_in_doubt", "explained", evidence=confirmed) is Decision.EXPLAINED


@pytest.mark.parametrize("code", ["rating_missing", "rating_expired", "removal_open", "card_stale"])
@pytest.mark.parametrize("decision", list(Decision))
def test_what_new_evidence_alone_closes_no_decision_does(code: str, decision: Decision) -> None:
    assert decisions_for(code, has_part=True) == ()
    with pytest.raises(Conflict, match="new evidence does"):
        decide(code, decision)


def test_rework_may_be_decided_and_closes_nothing() -> None:
    for code in CLOSED_BY:
        assert decide(code, "rework") is Decision.REWORK
        assert not closed(code, "rework")


def test_what_has_no_part_can_not_be_scrapped() -> None:
    assert Decision.SCRAP in decisions_for("match_failed", has_part=True)
    with pytest.raises(Conflict):
        decide("match_failed", "scrap", has_part=False)


def test_an_undecided_finding_is_open() -> None:
    assert not is_closed(finding(FindingCode.FORBIDDEN_ZONE, "…", part="R-1"), None)


def test_it_refuses_words_that_are_no_decision_and_no_code() -> None:
    with pytest.raises(TarebookError) as refused:
        decision_named("shrug")
    assert refused.value.field == "decision"
    with pytest.raises(TarebookError):
        decide("no_such_code", "scrap")
