"""What blocks a release, and who may release what."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from records.domain.errors import BadValue, Code, Conflict, ManyErrors, NotAllowed
from records.domain.practice.facts import BuildFacts
from records.domain.practice.facts_of_parts import IntakeFacts
from records.domain.practice.findings import findings_of
from records.domain.practice.release import ReleaseRuling, check_release, what_blocks
from tests.domain.practice.finished import (
    RATED,
    TODAY,
    answer,
    answered,
    decided,
    finished,
    for_competition,
    with_part,
    without,
)
from tests.domain.practice.sample import at, promise, removal, weighing
from tests.domain.practice.sample_sheet import with_weighings

BLUE = IntakeFacts("dark blue", cracks=False, earlier_cuts=False, note="")
TESTS = {"hardness": "38 HRC, asked 36 to 40", "crack_test": "none found"}


def blocks(facts: BuildFacts, **changes: Any) -> list[str]:
    return [block.code for block in what_blocks(facts, today=TODAY, **changes)]


def release(facts: BuildFacts, **changes: Any) -> ReleaseRuling:
    given: dict[str, Any] = {
        "releaser": "ruth",
        "releaser_roles": {"inspector"},
        "today": TODAY,
        "seen_conditional": False,
        "seals": ["E-1041"],
    }
    return check_release(facts, **given | changes)


def expired(**changes: Any) -> BuildFacts:
    rating = replace(RATED, expires_on=date(2026, 1, 1))
    return with_part(for_competition(**changes), "D-1", rating=rating)


def cut_in_the_crown() -> BuildFacts:
    crown = removal(1, "P-1", [13], at(3), before=2, after=80)
    after = weighing(80, "P-1", "450.0", "450.0", measured_at=at(3, 10))
    return with_weighings(finished(removals=(crown,)), after)


def conditional() -> BuildFacts:
    heavier = weighing(80, "R-2", "447.3", "447.3", what="big end", measured_at=at(4))
    return replace(with_weighings(finished(), heavier), promise=promise("1.0", "1"))


def test_a_finished_build_is_released_by_a_second_person() -> None:
    assert blocks(finished()) == []
    ruling = release(finished())
    assert ruling == ReleaseRuling(True, False, (), "", None)


def test_a_competition_build_is_judged_on_the_release_day_without_an_event_day() -> None:
    assert release(for_competition()).rating_day == TODAY


def test_a_forbidden_cut_blocks_until_it_is_conceded() -> None:
    facts = cut_in_the_crown()
    assert blocks(facts) == ["forbidden_zone"]
    with pytest.raises(Conflict) as refused:
        release(facts)
    assert refused.value.code is Code.RELEASE_BLOCKED
    [found] = findings_of(facts, today=TODAY)
    assert blocks(decided(facts, found, "concession")) == []
    assert blocks(decided(facts, found, "concession", by="ines")) == ["forbidden_zone"]
    assert blocks(decided(facts, found, "rework")) == ["forbidden_zone"]


def test_blued_steel_blocks_whatever_is_conceded_until_it_is_tested() -> None:
    facts = with_part(finished(), "R-1", intake=BLUE)
    [found] = findings_of(facts, today=TODAY)
    assert blocks(decided(facts, found, "concession")) == ["blued"]
    assert blocks(decided(facts, found, "looked at")) == ["blued"]
    assert blocks(decided(facts, found, "tested")) == ["blued"]
    assert blocks(decided(facts, found, "tested", evidence=TESTS)) == []


def test_a_scrapped_part_blocks_as_long_as_it_is_in_the_build() -> None:
    facts = with_part(finished(), "R-1", intake=BLUE)
    [found] = findings_of(facts, today=TODAY)
    scrapped = decided(facts, found, "scrap")
    assert blocks(scrapped) == ["part_scrapped"]
    assert "part_scrapped" not in blocks(without(scrapped, "R-1"))
    assert blocks(with_part(finished(), "R-1", scrapped_in="B-0")) == ["part_scrapped"]


def test_a_decision_speaks_of_its_own_evidence_alone() -> None:
    facts = cut_in_the_crown()
    [found] = findings_of(facts, today=TODAY)
    conceded = decided(facts, found, "concession")
    again = removal(2, "P-1", [13], at(4), before=80, after=81)
    after = weighing(81, "P-1", "450.0", "450.0", measured_at=at(4, 10))
    more = with_weighings(replace(conceded, removals=(*facts.removals, again)), after)
    assert blocks(more) == ["forbidden_zone"]


def test_a_part_taken_out_takes_its_findings_with_it() -> None:
    facts = with_part(finished(), "R-1", intake=BLUE)
    assert "blued" not in blocks(without(facts, "R-1"))


def test_an_expired_rating_is_released_as_not_for_competition_or_not_at_all() -> None:
    facts = expired()
    assert blocks(facts) == ["rating_expired"]
    with pytest.raises(Conflict):
        release(facts)
    ruling = release(facts, not_for_competition=True, not_for_competition_reason="label expired")
    assert ruling.not_for_competition
    assert ruling.rating_day is None
    with pytest.raises(BadValue) as refused:
        release(facts, not_for_competition=True)
    assert refused.value.field == "not_for_competition_reason"


def test_an_expired_rating_is_never_conceded() -> None:
    facts = expired()
    [found] = findings_of(facts, today=TODAY)
    assert blocks(decided(facts, found, "concession")) == ["rating_expired"]


def test_not_for_competition_waives_nothing_else() -> None:
    facts = with_part(expired(), "R-1", intake=BLUE)
    assert blocks(facts, not_for_competition=True) == ["blued"]


def test_a_street_build_is_not_released_as_not_for_competition() -> None:
    with pytest.raises(BadValue) as refused:
        release(finished(), not_for_competition=True, not_for_competition_reason="why")
    assert refused.value.field == "not_for_competition"


def test_a_conditional_pass_is_ticked_as_seen_and_goes_on_page_1() -> None:
    with pytest.raises(BadValue) as refused:
        release(conditional())
    assert refused.value.field == "seen_conditional"
    [passed] = release(conditional(), seen_conditional=True).conditional
    assert (passed.kind, passed.place, passed.parts) == ("big end", 2, ("R-2",))
    assert 0.5 < passed.conformance_probability < 1


def test_who_worked_can_not_release_and_who_is_no_inspector_neither() -> None:
    with pytest.raises(NotAllowed, match="ines worked"):
        release(finished(), releaser="ines", releaser_roles={"technician", "inspector"})
    with pytest.raises(NotAllowed, match="expected the role inspector"):
        release(finished(), releaser="marta", releaser_roles={"manager"})


def test_a_street_build_released_by_its_worker_says_so() -> None:
    facts = finished()
    alone = replace(facts, shop=replace(facts.shop, self_release_street=True))
    roles = {"technician", "inspector"}
    assert release(alone, releaser="ines", releaser_roles=roles).second_person is False
    assert release(alone).second_person is True


def test_seals_are_named_or_it_is_said_why_there_are_none() -> None:
    assert release(finished(), seals=[], no_seals_reason="engine comes back open")
    wrongs: list[dict[str, Any]] = [
        {"seals": []},
        {"seals": ["E-1"], "no_seals_reason": "none"},
        {"seals": ["E-1", "E-1"]},
        {"seals": ["E-1", " "]},
    ]
    for wrong in wrongs:
        with pytest.raises(BadValue) as refused:
            release(finished(), **wrong)
        assert refused.value.field in ("seals", "no_seals_reason")


def test_all_that_is_wrong_is_said_at_once() -> None:
    facts = answered(cut_in_the_crown(), answer("clean", "no", detail="oily"))
    with pytest.raises(ManyErrors) as refused:
        release(facts, seals=[])
    codes = [(error.code, error.field) for error in refused.value.errors]
    assert codes == [
        (Code.MISSING, "seals"),
        (Code.RELEASE_BLOCKED, "forbidden_zone"),
        (Code.RELEASE_BLOCKED, "not_answered"),
    ]


def test_a_build_is_released_once_unless_a_revision_says_so() -> None:
    released = replace(finished(), released=True)
    with pytest.raises(Conflict) as refused:
        release(released)
    assert refused.value.code is Code.ALREADY_THERE
    assert release(released, replaces=True).second_person


def test_a_damper_not_seen_is_said_on_page_1() -> None:
    away = without(finished(crank_in_job=False, no_crank_reason="with the customer"), "D-1")
    said = answered(away, answer("damper", "not seen by us", detail="with the customer"))
    assert release(said).damper_not_seen == "damper not seen by us: with the customer"


def test_blocks_that_an_inspector_can_decide_carry_the_findings_key() -> None:
    [block] = what_blocks(cut_in_the_crown(), today=TODAY)
    assert block.key == "forbidden_zone:P-1:1:13"
    [block] = what_blocks(finished(answers=finished().answers[1:]), today=TODAY)
    assert (block.code, block.key) == ("not_answered", None)
