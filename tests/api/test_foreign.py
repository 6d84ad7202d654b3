"""What isn't yours is answered like what doesn't exist."""

from typing import Any

import pytest

from records.models import Customer
from tests.api.caller import Caller, NothingWritten
from tests.api.test_scopes import asked, routes
from tests.records import factory

MINE, THEIRS, NONE = "B-1", "B-2", "B-3"


@pytest.fixture(autouse=True)
def engines(shop: None) -> None:
    """Orla's build B-1 with a part, and B-2 of Nils, who is from another team."""
    orla, nils = Customer.objects.get(number="C-01"), Customer.objects.get(number="C-02")
    factory.fitted(factory.a_build(MINE, customer=orla), factory.a_part("P-1"), place=1)
    factory.fitted(factory.a_build(THEIRS, customer=nils), factory.a_part("P-2"), place=1)


def said(answer: Any, number: str) -> tuple[int, str]:
    return answer.status_code, answer.content.decode().replace(number, "…")


def below_a_build() -> list[tuple[str, str]]:
    return [(method, path) for method, path, _ in routes() if path.startswith("builds/B-1")]


@pytest.mark.parametrize(("method", "path"), below_a_build())
def test_a_foreign_build_is_answered_like_an_unknown_one(
    orla: Caller, method: str, path: str
) -> None:
    with NothingWritten():
        theirs = asked(orla, method, path.replace("B-1", THEIRS))
        none = asked(orla, method, path.replace("B-1", NONE))
    assert said(theirs, THEIRS) == said(none, NONE)
    # what is for the shop alone is shut whatever is asked for
    assert theirs.status_code == 404 or (path == "builds/B-1/facts" and theirs.status_code == 403)


def test_a_customer_sees_their_own_builds_alone(orla: Caller, ines: Caller) -> None:
    assert [row["number"] for row in orla.seen("builds")["items"]] == [MINE]
    assert orla.seen(f"builds/{MINE}")["row"]["customer"] == "C-01"
    assert {row["number"] for row in ines.seen("builds")["items"]} == {MINE, THEIRS}


def test_a_foreign_part_is_answered_like_an_unknown_one(orla: Caller) -> None:
    assert orla.seen("parts/P-1")["row"]["number"] == "P-1"
    for below in ("", "/history"):
        theirs, none = orla.get(f"parts/P-2{below}"), orla.get(f"parts/P-3{below}")
        assert theirs.status_code == 404
        assert said(theirs, "P-2") == said(none, "P-3")
    found = orla.seen("parts", serial="P-")
    assert [row["number"] for row in found["items"]] == ["P-1"]


def test_a_customer_records_nothing_on_their_own_build(orla: Caller) -> None:
    given = {"key": "stroke_mm", "value": "88.4"}
    with NothingWritten():
        answer = orla.post(f"builds/{MINE}/details", given)
    assert answer.status_code == 403


@pytest.mark.parametrize("path", ["scales", "scales/S-02", "people", "customers", "specs"])
def test_what_is_of_the_shop_is_shut_to_customers(orla: Caller, path: str) -> None:
    assert orla.get(path).status_code == 403
    if path in ("scales", "people", "customers", "specs"):
        with NothingWritten():
            assert orla.post(path, {}).status_code == 403
