"""Every error is a problem (RFC 9457): a stable code, a sentence, a pointer to each field."""

from typing import Any

import pytest

from tests.api.caller import Caller, NothingWritten

BUILD = {"number": "B-1", "engine": "demo", "layout": "i4", "use": "street"}


def first(answer: Any) -> tuple[int, str, str]:
    problem = answer.json()
    assert answer["Content-Type"] == "application/problem+json"
    assert problem["status"] == answer.status_code
    assert problem["type"] == f"urn:tarebook:problem:{problem['code']}"
    error = (problem["errors"] or [{"pointer": "", "code": problem["code"]}])[0]
    return answer.status_code, error["pointer"], error["code"]


class TestTheBody:
    @pytest.mark.parametrize(
        ("raw", "said"),
        [
            (b"{", "expected JSON"),
            (b'{"number": NaN}', "NaN"),
            (b'{"number": "C-9", "number": "C-8"}', "comes twice"),
            (b"\xff\xfe", "expected JSON"),
            (b"[" * 50_000, "expected JSON"),
            (rb'{"number": "C\u0000"}', "NUL"),
            (rb'{"\ud800": 1}', "surrogate"),
            (b'{"a":' * 30 + b"1" + b"}" * 30, "levels"),
        ],
    )
    def test_what_cannot_be_read_is_said(self, ines: Caller, raw: bytes, said: str) -> None:
        with NothingWritten():
            answer = ines.post("customers", raw, content_type="application/json")
        assert first(answer) == (400, "#", "unreadable")
        assert said in answer.json()["detail"]

    def test_a_body_too_large_is_refused(self, ines: Caller) -> None:
        raw = b'{"number": "' + b"x" * 300_000 + b'"}'
        answer = ines.post("customers", raw, content_type="application/json")
        assert first(answer) == (413, "", "too_large")

    @pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded"])
    def test_another_content_type_is_refused(self, ines: Caller, kind: str) -> None:
        answer = ines.post("customers", "number=C-9", content_type=kind)
        assert first(answer) == (415, "", "media_type")

    def test_only_a_sheet_comes_as_csv(self, ines: Caller) -> None:
        answer = ines.post("customers", "number;name", content_type="text/csv")
        assert answer.status_code == 415

    @pytest.mark.parametrize("body", [[], "text", 5])
    def test_what_is_no_object_is_refused(self, ines: Caller, body: Any) -> None:
        with NothingWritten():
            answer = ines.post("customers", body, format="json")
        assert first(answer)[:2] == (422, "#")


class TestTheFields:
    def test_an_unknown_key_is_refused_where_it_stands(self, ines: Caller) -> None:
        with NothingWritten():
            top = ines.post("builds", {**BUILD, "recorded_by": "P-04"})
            deep = ines.post("builds", {**BUILD, "promise": {"set_g": "1", "demo": True}})
        assert first(top) == (422, "#/recorded_by", "unknown_key")
        assert first(deep) == (422, "#/promise/demo", "unknown_key")

    def test_a_pointer_is_escaped(self, ines: Caller) -> None:
        answer = ines.post("builds", {**BUILD, "a/b~c": 1})
        assert first(answer) == (422, "#/a~1b~0c", "unknown_key")

    def test_a_missing_key_has_its_own_code(self, ines: Caller) -> None:
        answer = ines.post("builds", {"number": "B-1", "layout": "i4", "use": "street"})
        assert first(answer) == (422, "#/engine", "missing")

    def test_each_wrong_one_is_named(self, ines: Caller) -> None:
        answer = ines.post("builds", {**BUILD, "use": "racing", "stroke_mm": "long"})
        pointers = {error["pointer"] for error in answer.json()["errors"]}
        assert pointers == {"#/use", "#/stroke_mm"}

    def test_what_a_deed_refuses_points_at_its_field_too(self, ines: Caller) -> None:
        ines.done("builds", BUILD)
        with NothingWritten():
            taken = ines.post("builds", BUILD)
            unknown = ines.post("builds", {**BUILD, "number": "B-2", "customer": "C-77"})
        assert first(taken) == (409, "#/number", "already_there")
        assert first(unknown) == (422, "#/customer", "unknown_number")

    @pytest.mark.parametrize("value", ["NaN", "-5", "1e400", "soon", ""])
    def test_an_impossible_reading_is_refused_at_the_reading(
        self, ines: Caller, value: str
    ) -> None:
        ines.done("builds", BUILD)
        given = {"part": "P", "what": "whole", "scale": "S", "readings": [{"value": value}]}
        with NothingWritten():
            answer = ines.post("builds/B-1/weighings", given)
        assert first(answer)[:2] == (422, "#/readings/0/value")

    def test_a_time_without_its_zone_is_refused(self, ines: Caller) -> None:
        ines.done("builds", BUILD)
        given = {"question": "heat", "answer": "yes", "answered_at": "2026-03-02T08:00:00"}
        with NothingWritten():
            answer = ines.post("builds/B-1/checklist", given)
        assert first(answer)[:2] == (422, "#/answered_at")

    def test_a_time_ahead_is_refused(self, ines: Caller) -> None:
        ines.done("builds", BUILD)
        given = {"question": "heat", "answer": "yes", "answered_at": "2199-03-02T08:00:00Z"}
        with NothingWritten():
            answer = ines.post("builds/B-1/checklist", given)
        assert first(answer) == (422, "#/answered_at", "in_the_future")


class TestTheAddress:
    def test_one_that_leads_nowhere_is_a_problem(self, ines: Caller) -> None:
        for path in ("builds/B-404", "nowhere", "builds/"):
            answer = ines.get(path)
            assert (answer.status_code, answer.json()["code"]) == (404, "not_found")

    def test_text_that_no_table_holds_is_refused(self, ines: Caller) -> None:
        assert ines.get("builds/%00").status_code == 404
        assert ines.get("parts", serial="a\0").status_code == 422

    def test_a_method_it_does_not_know_is_refused(self, ines: Caller) -> None:
        answer = ines.client.put("/api/v1/builds", {})
        assert first(answer) == (405, "", "method_not_allowed")
