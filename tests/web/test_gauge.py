"""A gauge study at the pages: planned, read, corrected, closed, shown, taken away as a file."""

from __future__ import annotations

import csv
import io
import re
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from records.management.demo.numbers import INES, TOMAS
from records.queries.gauge_studies import gauge_study_page
from shop.web.csv_answer import escaped
from tests.records.actions.refusal import written
from tests.web.conftest import SignedIn
from tests.web.reading import body, errors_at, title

PLAN: dict[str, Any] = {
    "number": "G-01",
    "scale": "S-02",
    "what": "whole",
    "parts": "K1\nK2\n\nK3 \n",
    "people": [INES, TOMAS],
    "trials": "2",
    "tolerance_g": "0,5",
    "note": "",
}
AT = "/gauge-studies/G-01/"


@pytest.fixture
def ines(at_work: SignedIn) -> Client:
    return at_work("ines")


@pytest.fixture
def planned(ines: Client) -> Client:
    answer = ines.post("/gauge-studies/", PLAN)
    assert (answer.status_code, answer["Location"]) == (302, AT)
    return ines


def read(client: Client, reading: str, turn: int | None = None) -> Any:
    following = gauge_study_page("G-01").next
    order = turn if turn is not None else following and following.order
    return client.post(AT, {"deed": "read", "turn": order, "reading": reading})


def read_through(client: Client) -> None:
    for index in range(12):
        assert read(client, f"{450 + index % 5 / 10:.1f}").status_code == 302


def test_the_next_part_and_person_are_the_largest_thing(planned: Client) -> None:
    page, turn = planned.get(AT), gauge_study_page("G-01").next
    assert turn is not None
    name = {INES: "Ines", TOMAS: "Tomas"}[turn.person]
    assert title(page) == "Gauge study G-01: twelve readings to go"
    assert f'<p class="next">Part {turn.part}, weighed by {name}</p>' in body(page)


def test_a_reading_leads_to_the_next_turn_and_isnt_shown_above_it(planned: Client) -> None:
    assert read(planned, "450.3 g").status_code == 302
    page = body(planned.get(AT))
    assert 'name="turn" value="2"' in page
    assert "450.3" not in page.split("The readings so far")[0]
    assert gauge_study_page("G-01").turns[0].grams == Decimal("450.3")


def test_a_study_read_through_is_closed_and_shows_both_methods_and_three_charts(
    planned: Client,
) -> None:
    read_through(planned)
    assert title(planned.get(AT)) == "Gauge study G-01 is read through: close it"
    assert planned.post(AT, {"deed": "close"}).status_code == 302
    page = planned.get(AT)
    assert title(page) == "Gauge study G-01 of S-02 is closed"
    text = body(page)
    assert "Average and range, ndc" in text
    assert "Analysis of variance, ndc" in text
    assert text.count('<svg class="chart"') == 3
    assert "% of the tolerance of 0.5 g" in text
    main = text.split("<main")[1]
    assert "<form" not in main


@pytest.mark.parametrize(
    ("changed", "field", "said"),
    [
        ({"parts": "K1"}, "parts", "expected 2 to 30 parts, got 1"),
        ({"parts": "K1\nK1"}, "parts", "expected each name once, got K1 again"),
        ({"people": [INES]}, "people", "expected 2 to 10 people, got 1"),
        ({"trials": "1"}, "trials", "expected 2 to 10, got 1"),
        ({"tolerance_g": "0"}, "tolerance_g", "expected more than 0"),
        ({"scale": "S-99"}, "scale", "expected one of those offered"),
    ],
)
def test_a_plan_that_cannot_be_is_refused_at_the_field(
    ines: Client, changed: dict[str, Any], field: str, said: str
) -> None:
    before = written()
    answer = ines.post("/gauge-studies/", PLAN | changed)
    assert answer.status_code == 422
    assert any(said in one for one in errors_at(answer, field)), body(answer)
    assert written() == before


def test_what_no_scale_shows_is_refused_and_kept_in_the_box(planned: Client) -> None:
    before = written()
    answer = read(planned, "450.3 stone")
    assert answer.status_code == 422
    assert errors_at(answer, "reading")
    assert "450.3 stone" in body(answer)
    assert written() == before


def test_a_turn_read_meanwhile_lets_no_reading_slip_into_the_next(planned: Client) -> None:
    read(planned, "450.3", turn=1)
    before = written()
    answer = read(planned, "461.7", turn=1)
    assert answer.status_code == 409
    assert "Nothing was recorded: expected turn 2" in body(answer)
    assert 'name="turn" value="2"' in body(answer)
    assert "461.7" not in body(answer)
    assert written() == before


def test_a_reading_is_taken_back_by_its_turn_with_the_right_one(planned: Client) -> None:
    read(planned, "540.3")
    wrong = gauge_study_page("G-01").turns[0].reading
    told = {"deed": "correct", "wrong": str(wrong), "reason": "digits swapped", "right": "450.3"}
    assert planned.post(AT, told).status_code == 302
    page = gauge_study_page("G-01")
    assert page.turns[0].grams == Decimal("450.3")
    assert "Digits swapped." in body(planned.get(AT))
    before = written()
    again = planned.post(AT, told)
    assert again.status_code == 422  # no longer among those that stand
    assert written() == before


def test_a_study_is_given_up_with_a_reason(planned: Client) -> None:
    answer = planned.post(AT, {"deed": "give_up", "reason": ""})
    assert answer.status_code == 422
    planned.post(AT, {"deed": "give_up", "reason": "the scale was moved"})
    page = planned.get(AT)
    assert title(page) == "Gauge study G-01 of S-02 is given up"
    assert "The scale was moved." in body(page)


def test_the_file_holds_every_turn_and_runs_nothing(ines: Client) -> None:
    ines.post("/gauge-studies/", PLAN | {"parts": "=1+1\n@K2\nK3"})
    read_through(ines)
    answer = ines.get(AT + "readings.csv")
    assert answer["Content-Disposition"] == 'attachment; filename="gauge-study-G-01.csv"'
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert rows[0][:4] == ["turn", "part", "person", "trial"]
    assert len(rows) == 13
    assert {row[1] for row in rows[1:]} == {"'=1+1", "'@K2", "K3"}
    assert all(re.fullmatch(r"\d+(\.\d+)?", row[6]) for row in rows[1:])


@pytest.mark.parametrize("text", ["=1", "+1", "-1", "@a", "\t=1", "\r=1", "\n=1", "＝1"])
def test_what_begins_a_formula_begins_with_an_apostrophe(text: str) -> None:
    assert escaped(text) == f"'{text}"


@pytest.mark.parametrize("plain", ["450.3", "K-1", "a=b", ""])
def test_what_begins_none_stays_as_it_is(plain: str) -> None:
    assert escaped(plain) == plain


def test_an_inspector_looks_on_and_a_customer_sees_nothing(
    planned: Client, at_work: SignedIn
) -> None:
    ruth, orla = at_work("ruth"), at_work("orla")
    assert "<form" not in body(ruth.get(AT)).split("<main")[1]
    before = written()
    assert ruth.post(AT, {"deed": "read", "turn": 1, "reading": "450.3"}).status_code == 403
    assert written() == before
    for address in ("/gauge-studies/", AT, AT + "readings.csv", "/repeatability/"):
        assert orla.get(address).status_code == 404


def test_repeatability_tells_everyone_to_the_manager_and_oneself_to_others(
    at_work: SignedIn,
) -> None:
    page = body(at_work("marta").get("/repeatability/"))
    assert "everyone" in page
    assert "too few" in page
    assert "Your own, beside everyone's." in body(at_work("tomas").get("/repeatability/"))


def test_a_name_that_is_markup_stays_a_name(ines: Client) -> None:
    ines.post("/gauge-studies/", PLAN | {"parts": "<b>K\n<i>L\nK3"})
    read_through(ines)
    page = body(ines.get(AT))
    assert "<b>K" not in page
    assert "&lt;b&gt;K" in page
