"""Lists a page at a time."""

import pytest

from tests.api.caller import Caller


@pytest.fixture(autouse=True)
def customers(marta: Caller) -> None:
    for number in range(3, 8):
        marta.done("customers", {"number": f"C-0{number}", "name": f"customer {number}"})


def test_every_row_comes_once(marta: Caller) -> None:
    seen: list[str] = []
    page = marta.seen("customers", limit=3)
    while True:
        seen += [row["number"] for row in page["items"]]
        if page["next"] is None:
            break
        page = marta.seen("customers", limit=3, cursor=page["next"])
    assert seen == [f"C-0{number}" for number in range(1, 8)]


def test_a_row_recorded_meanwhile_moves_none(marta: Caller) -> None:
    first = marta.seen("customers", limit=3)
    marta.done("customers", {"number": "C-00", "name": "sorts before all"})
    after = marta.seen("customers", limit=3, cursor=first["next"])
    assert [row["number"] for row in after["items"]] == ["C-04", "C-05", "C-06"]


@pytest.mark.parametrize("limit", ["0", "501", "-1", "many", "1e2", "٣"])
def test_a_limit_out_of_range_is_refused(marta: Caller, limit: str) -> None:
    answer = marta.get("customers", limit=limit)
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "#/limit")


def test_a_cursor_of_no_row_is_refused(marta: Caller) -> None:
    answer = marta.get("customers", cursor="nonsense")
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "#/cursor")
