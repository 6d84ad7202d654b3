"""Gauge studies through the JSON front, and technicians' repeatability."""

from __future__ import annotations

from typing import Any

import pytest

from tests.api.bench import fit_the_scale
from tests.api.caller import Caller, NothingWritten

PLAN: dict[str, Any] = {
    "number": "G-01",
    "scale": "S-02",
    "parts": ["K1", "K2"],
    "people": ["P-01", "P-02"],
    "trials": 2,
    "tolerance_g": "0.5",
    "seed": 26,
}
AT = "gauge-studies/G-01"


@pytest.fixture
def planned(marta: Caller, ines: Caller) -> Caller:
    fit_the_scale(marta, ines)
    assert marta.done("gauge-studies", PLAN)["seed"] == 26
    return ines


def read(ines: Caller, value: str) -> Any:
    turn = ines.seen(AT)["next"]["order"]
    return ines.done(f"{AT}/readings", {"turn": turn, "reading": {"value": value}})


def test_a_study_is_planned_read_closed_and_reckoned(planned: Caller) -> None:
    for n in range(8):
        assert read(planned, f"{450 + n / 10:.1f}")["grams"] == f"{450 + n / 10:g}"
    planned.done(f"{AT}/end", {"outcome": "closed"})
    page = planned.seen(AT)
    assert page["row"]["state"] == "closed"
    assert page["next"] is None
    for method in ("average_range", "anova"):
        names = [one["name"] for one in page["results"][method]["components"]]
        assert names[0] == "repeatability"
    assert page["results"]["advice"][0][0] == "of_tolerance"
    assert [row["number"] for row in planned.seen("gauge-studies")["items"]] == ["G-01"]


def test_a_reading_taken_back_comes_again_and_a_study_is_given_up(planned: Caller) -> None:
    wrong = read(planned, "540.0")
    planned.done(f"{AT}/readings/{wrong['id']}/corrections", {"reason": "digits swapped"})
    page = planned.seen(AT)
    assert page["next"]["order"] == 1
    assert page["corrected"][0]["reason"] == "digits swapped"
    planned.done(f"{AT}/end", {"outcome": "given up", "reason": "the scale was moved"})
    assert planned.seen(AT)["row"]["state"] == "given up"


@pytest.mark.parametrize(
    ("path", "given", "status", "pointer"),
    [
        ("gauge-studies", PLAN | {"number": "G-02", "parts": ["K1"]}, 422, "#/parts"),
        ("gauge-studies", PLAN | {"number": "G-02", "people": ["P-01", "P-9"]}, 422, "#/people/1"),
        ("gauge-studies", PLAN | {"number": "G-02", "colour": "red"}, 422, "#/colour"),
        (f"{AT}/readings", {"turn": 2, "reading": {"value": "450"}}, 409, "#/turn"),
        (f"{AT}/readings", {"turn": 1, "reading": {"value": "0"}}, 422, "#/reading/value"),
        (f"{AT}/end", {"outcome": "closed"}, 409, "#/study"),
        (f"{AT}/end", {"outcome": "given up"}, 422, "#/reason"),
        ("gauge-studies/G-9/readings", {"turn": 1, "reading": {"value": "450"}}, 404, None),
    ],
)
def test_what_cannot_be_is_refused_with_nothing_written(
    planned: Caller, path: str, given: dict[str, Any], status: int, pointer: str | None
) -> None:
    with NothingWritten():
        answer = planned.post(path, given)
    assert answer.status_code == status, answer.json()
    if pointer is not None:
        assert answer.json()["errors"][0]["pointer"] == pointer


def test_an_inspector_may_look_and_not_plan(planned: Caller, ruth: Caller) -> None:
    with NothingWritten():
        assert ruth.post("gauge-studies", PLAN | {"number": "G-02"}).status_code == 403
    assert ruth.seen(AT)["row"]["number"] == "G-01"


def test_a_customer_knows_of_none(planned: Caller, orla: Caller) -> None:
    for path in ("gauge-studies", AT, "repeatability"):
        assert orla.get(path).status_code == 403


def test_repeatability_is_there_and_empty_before_work(planned: Caller) -> None:
    assert planned.seen("repeatability") == {"rows": [], "fewest": 10}
