"""The damper: one that damps, and for competition a rating valid on the day."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from records.domain.practice.damper import damper_findings, damper_not_seen, rating_day
from records.domain.practice.facts import BuildFacts
from records.domain.practice.finding import FindingCode
from tests.domain.practice.finished import RATED, TODAY
from tests.domain.practice.sample import at, build, fitment, part, removal


def codes(facts: BuildFacts) -> list[FindingCode]:
    return [found.code for found in damper_findings(facts, today=TODAY)]


def with_front(kind: str | None, *, rating: Any = RATED, **changes: Any) -> BuildFacts:
    given: dict[str, Any] = {"crank_in_job": True}
    if kind:
        given |= {
            "parts": [part("D-1", kind, rating=rating)],
            "fitments": (fitment(1, "D-1", None),),
        }
    return build(**given | changes)


def race(kind: str | None = "damper", **changes: Any) -> BuildFacts:
    return with_front(kind, use="competition", **changes)


def test_a_damper_is_what_is_asked() -> None:
    assert codes(with_front("damper", rating=None)) == []


@pytest.mark.parametrize("crank_in_job", [True, False, None])
def test_a_solid_pulley_is_no_damper_on_any_build(crank_in_job: bool | None) -> None:
    assert codes(with_front("pulley", crank_in_job=crank_in_job)) == [FindingCode.SOLID_PULLEY]


def test_a_pulley_beside_a_damper_is_right() -> None:
    facts = with_front("damper")
    parts = {**facts.parts, "U-1": part("U-1", "pulley")}
    facts = replace(facts, parts=parts, fitments=(*facts.fitments, fitment(2, "U-1", None)))
    assert codes(facts) == []


def test_a_crank_in_the_job_without_a_damper_is_found() -> None:
    assert codes(with_front(None)) == [FindingCode.DAMPER_MISSING]


def test_a_crank_elsewhere_is_said_and_no_finding() -> None:
    facts = with_front(None, crank_in_job=False, no_crank_reason="at the machine shop")
    assert codes(facts) == []
    assert damper_not_seen(facts) == "damper not seen by us: at the machine shop"
    assert damper_not_seen(with_front("damper")) == ""


def test_competition_asks_for_a_named_damper_always() -> None:
    assert codes(race(None, crank_in_job=False)) == [FindingCode.RATING_MISSING]
    assert codes(race(rating=None)) == [FindingCode.RATING_MISSING]
    assert codes(race(rating=replace(RATED, body=" "))) == [FindingCode.RATING_MISSING]
    assert codes(race()) == []


def test_a_rating_is_judged_on_the_event_day_and_holds_through_its_last() -> None:
    assert codes(race(event_day=date(2027, 1, 1))) == []
    assert codes(race(event_day=date(2027, 1, 2))) == [FindingCode.RATING_EXPIRED]


def test_without_an_event_day_the_release_day_decides() -> None:
    assert rating_day(race(), today=TODAY) == TODAY
    assert codes(race(rating=replace(RATED, expires_on=TODAY))) == []
    past = replace(RATED, expires_on=date(2026, 3, 5))
    assert codes(race(rating=past)) == [FindingCode.RATING_EXPIRED]


def test_a_cut_in_a_rated_damper_puts_its_rating_in_doubt_until_it_is_rated_anew() -> None:
    cut = removal(1, "D-1", [], at(3))
    assert codes(race(removals=(cut,))) == [FindingCode.RATING_IN_DOUBT]
    assert codes(race(removals=(cut,), rating=replace(RATED, noted_at=at(4)))) == []
    assert codes(race(removals=(cut,), rating=replace(RATED, noted_at=None))) == [
        FindingCode.RATING_IN_DOUBT
    ]


def test_a_street_builds_rating_is_nobodys_business() -> None:
    past = replace(RATED, expires_on=date(2020, 1, 1))
    assert codes(with_front("damper", rating=past)) == []


def test_another_parts_cut_leaves_the_rating() -> None:
    assert codes(race(removals=(removal(1, "R-1", [], at(3)),))) == []


def test_no_finding_about_a_rating_can_be_conceded() -> None:
    found = damper_findings(race(rating=None), today=TODAY)
    assert not found[0].can_be_disposed
