"""Who did the work may not release it."""

from dataclasses import replace
from typing import Any

import pytest

from records.domain.errors import NotAllowed
from records.domain.practice.facts import BuildFacts, MatchFacts, ShopFacts
from records.domain.practice.separation import check_may_release, second_person, who, workers
from tests.domain.practice.finished import answer
from tests.domain.practice.sample import SHOP_ZONE, at, build, fitment, part, removal, weighing

ALLOWS_ITSELF = ShopFacts(1, "Ferrow Lane Balancing", "Ferrow", SHOP_ZONE, True, True)
ROD = part("R-1", "rod")


def deeds_of(**changes: Any) -> dict[str, frozenset[str]]:
    return dict(workers(build(parts=[ROD], **changes)))


@pytest.mark.parametrize(
    ("changes", "what"),
    [
        ({"weighings": (weighing(1, "R-1", "620", operator="ruth"),)}, "weighed"),
        ({"removals": (removal(1, "R-1", [21], at(3), operator="ruth"),)}, "cut"),
        ({"matches": (MatchFacts(1, ("pin",), (), at(3), "ruth"),)}, "matched"),
        ({"fitments": (fitment(1, "R-1", 1, fitted_by="ruth"),)}, "fitted"),
        ({"answers": (answer("heat", by="ruth"),)}, "answered"),
        ({"also_worked": {"ruth": "weighed"}}, "weighed"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_who_did_this_can_not_release(changes: dict[str, Any], what: str) -> None:
    facts = build(parts=[ROD], **changes)
    assert what in workers(facts)["ruth"]
    with pytest.raises(NotAllowed, match="ruth worked on build B-1"):
        check_may_release(facts, "ruth")
    assert check_may_release(facts, "marta") is True


@pytest.mark.parametrize(
    "changes",
    [
        {"weighings": (weighing(1, "R-1", "620", operator="ruth", purpose="verification"),)},
        {"weighings": (weighing(1, "R-1", "620", operator="ruth", scale=None),)},
        {"weighings": (weighing(1, "R-1", "620", operator="ruth", build="B-0"),)},
        {"removals": (removal(1, "R-1", [21], at(3), operator="ruth", build="B-0"),)},
    ],
    ids=["verification", "declared", "weighed for another build", "cut in another build"],
)
def test_this_is_not_the_work(changes: dict[str, Any]) -> None:
    assert check_may_release(build(parts=[ROD], **changes), "ruth") is True


def test_who_took_a_part_from_its_place_worked_too() -> None:
    taken = fitment(1, "R-1", 1, fitted_by="ines", ended_at=at(3), ended_by="tomas")
    assert set(deeds_of(fitments=(taken,))) == {"ines", "tomas"}


def by_ruth(**changes: Any) -> BuildFacts:
    return build(answers=(answer("heat", by="ruth"),), **changes)


def test_a_shop_may_allow_itself_to_release_street_builds_without_a_second_person() -> None:
    assert check_may_release(by_ruth(shop=ALLOWS_ITSELF), "ruth") is False


def test_no_shop_releases_its_own_competition_work() -> None:
    with pytest.raises(NotAllowed):
        check_may_release(by_ruth(shop=ALLOWS_ITSELF, use="competition"), "ruth")


def test_it_lists_who_did_what() -> None:
    facts = replace(by_ruth(), matches=(MatchFacts(1, ("pin",), (), at(3), "ines"),))
    assert (who(facts, "answered"), who(facts, "matched"), who(facts, "cut")) == (
        ("ruth",),
        ("ines",),
        (),
    )
    assert second_person(facts, "marta")
    assert not second_person(facts, "ines")
