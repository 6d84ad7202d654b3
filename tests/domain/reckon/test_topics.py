from __future__ import annotations

import json
from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from records.domain.errors import BadValue, Code, Unreadable
from records.domain.reckon import topics
from records.domain.reckon.shape import Shape
from records.domain.reckon.text import read_json
from records.domain.reckon.topics import TOPICS, reckon

REFUSED = Path(__file__).parents[2] / "data" / "reckon_measure_refused.json"
CASES: list[dict[str, Any]] = json.loads(REFUSED.read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['topic']}:{case['field']}")
def test_it_refuses_and_names_the_key(case: dict[str, Any]) -> None:
    with pytest.raises(BadValue) as refused:
        reckon(case["topic"], case["data"])
    assert (refused.value.field, refused.value.code.value) == (case["field"], case["code"])
    assert refused.value.expected
    assert refused.value.got
    assert refused.value.message[0].islower()


@pytest.mark.parametrize("topic", ["weighing", "difference", "rod-end", "decision", "convert"])
@pytest.mark.parametrize("data", [[], None, "text", 5])
def test_only_an_object_is_read(topic: str, data: Any) -> None:
    with pytest.raises(BadValue, match="expected an object"):
        reckon(topic, data)


def test_an_unknown_topic_is_answered_with_the_known_ones() -> None:
    with pytest.raises(BadValue) as refused:
        reckon("horoscope", {})
    assert all(topic in refused.value.message for topic in TOPICS)


@pytest.mark.parametrize("result", [float("nan"), [float("inf")], {"a": [{"b": -float("inf")}]}])
def test_an_answer_that_isnt_finite_never_leaves(
    result: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    def topic(_data: Mapping[str, object]) -> dict[str, object]:
        return {"answer": result}

    monkeypatch.setitem(topics.TOPICS, "invented", topic)
    with pytest.raises(BadValue, match="finite"):
        reckon("invented", {})


def test_a_division_by_nothing_becomes_an_error_of_ours(monkeypatch: pytest.MonkeyPatch) -> None:
    def topic(_data: Mapping[str, object]) -> dict[str, object]:
        return {"answer": 1 / 0}

    monkeypatch.setitem(topics.TOPICS, "invented", topic)
    with pytest.raises(BadValue, match="finite"):
        reckon("invented", {})


@pytest.mark.parametrize("value", [2, 2.0, "2", "2.0", "+2", "2e0", Decimal("2.00")])
def test_a_number_may_come_as_a_number_or_a_decimal_string(value: object) -> None:
    assert Shape({"mass_g": value}).number("mass_g") == 2.0
    assert Shape({"mass_g": value}).whole("mass_g") == 2


@pytest.mark.parametrize(
    "value",
    [True, None, "", "1_000", "0x1", "1 ", "½", [1], {}, Decimal("NaN"), Decimal("sNaN"), 10**400],
)
def test_nothing_else_is_a_number(value: object) -> None:
    with pytest.raises(BadValue) as refused:
        Shape({"mass_g": value}).number("mass_g")
    assert refused.value.field == "mass_g"


def test_lists_and_children_name_their_place() -> None:
    read = Shape({"kinds": [{"masses_g": [1, "2", "x"]}]})
    with pytest.raises(BadValue) as refused:
        read.objects("kinds")[0].numbers("masses_g")
    assert refused.value.field == "kinds/0/masses_g/2"


def test_done_covers_the_children() -> None:
    read = Shape({"removals": [{"x_mm": 1, "colour": "red"}]})
    read.objects("removals")[0].number("x_mm")
    with pytest.raises(BadValue) as refused:
        read.done()
    assert refused.value.field == "removals/0/colour"
    assert refused.value.code is Code.UNKNOWN_KEY
    assert "x_mm" in refused.value.expected


def test_an_optional_list_may_be_one_number_for_all() -> None:
    read = Shape({"a": 1, "b": [1, "2"]})
    assert read.optional_number_or_numbers("a") == 1.0
    assert read.optional_number_or_numbers("b") == [1.0, 2.0]
    assert read.optional_number_or_numbers("c") is None


def test_json_keeps_the_digits_as_written() -> None:
    assert read_json(b'{"a": 0.10000000000000000000001}') == {
        "a": Decimal("0.10000000000000000000001")
    }
    assert read_json(b"\xef\xbb\xbf{}") == {}


@pytest.mark.parametrize(
    "text", [b"", b"{", b"\xff{}", b"[" * 100_000, b'{"a": ' + b"9" * 5000 + b"}"]
)
def test_what_isnt_json_is_unreadable(text: bytes) -> None:
    with pytest.raises(Unreadable):
        read_json(text)


@pytest.mark.parametrize("text", [b'{"a": NaN}', b'{"a": -Infinity}', b'{"a": 1, "a": 2}'])
def test_json_with_two_meanings_is_refused(text: bytes) -> None:
    with pytest.raises(BadValue):
        read_json(text)
