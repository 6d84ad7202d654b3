"""One value, one sequence of bytes: RFC 8785 within our subset, and what is refused."""

import json
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from records.domain.errors import BadValue, Unreadable
from records.domain.proof.canonical import canonical_bytes, parse_canonical
from tests import outside

REFUSED = json.loads((Path(__file__).parents[2] / "data/canonical_refused.json").read_text("utf-8"))

# characters of every plane, but no lone surrogates
texts = st.text(st.characters(exclude_categories=["Cs"]))
values = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | texts,
    lambda inner: (
        st.lists(inner, max_size=5)
        | st.dictionaries(st.text(st.characters(max_codepoint=127)), inner, max_size=5)
    ),
    max_leaves=20,
)


@given(values)
def test_bytes_equal_those_of_an_independent_implementation(value: Any) -> None:
    # source: the package rfc8785 (Trail of Bits), which passes the RFC's reference data
    assert canonical_bytes(value) == rfc8785.dumps(value)


@given(values)
def test_what_was_written_reads_back(value: Any) -> None:
    assert parse_canonical(canonical_bytes(value)) == value


def _whole_numbers(text: str) -> int:
    # the reference data writes 56.0 for 56; a mass would be a text with us
    assert float(text).is_integer()
    return int(float(text))


@pytest.mark.parametrize("name", ["arrays", "structures", "unicode"])
def test_bytes_equal_the_reference_data_of_the_rfc(name: str) -> None:
    # source: RFC 8785 reference test data (cyberphone/json-canonicalization)
    case = outside.data("jcs.json")["cases"][name]
    value = json.loads(case["input"], parse_float=_whole_numbers)
    assert canonical_bytes(value) == bytes.fromhex("".join(case["output_hex"]))


def test_the_reference_case_with_fractions_is_refused_for_them_alone() -> None:
    case = outside.data("jcs.json")["cases"]["values"]
    value = json.loads(case["input"])
    with pytest.raises(BadValue, match="/numbers/0"):
        canonical_bytes(value)
    del value["numbers"]
    whole = bytes.fromhex("".join(case["output_hex"]))
    before, _, after = whole.partition(b'"numbers":')
    assert canonical_bytes(value) == before + after.partition(b"],")[2]


@pytest.mark.parametrize("case", REFUSED["cases"], ids=lambda case: case["name"])
def test_it_refuses_bytes_that_are_not_canonical(case: dict[str, str]) -> None:
    raw = bytes.fromhex(case["hex"]) if "hex" in case else case["text"].encode()
    with pytest.raises(Unreadable):
        parse_canonical(raw)


@pytest.mark.parametrize(
    ("make", "where"),
    [
        (lambda: {"a": [0, 0.5]}, "/a/1"),
        (lambda: {"mass": float("nan")}, "/mass"),
        (lambda: {"mass": Decimal("1.5")}, "/mass"),
        (lambda: {"a": b"bytes"}, "/a"),
        (lambda: {"a": {1: 2}}, "/a"),
        (lambda: {"größe": 1}, "/"),
        (lambda: [2**53], "/0"),
        (lambda: [-(2**53)], "/0"),
        (lambda: {"a": "\ud800"}, "/a"),
        (lambda: {"a": {1, 2}}, "/a"),
    ],
)
def test_it_refuses_a_value_and_names_its_place(make: Callable[[], Any], where: str) -> None:
    with pytest.raises(BadValue) as refused:
        canonical_bytes(make())
    assert refused.value.field == where


def test_it_refuses_what_is_nested_without_end() -> None:
    value: list[Any] = []
    value.append(value)
    with pytest.raises(BadValue, match="64 levels"):
        canonical_bytes(value)
    with pytest.raises(Unreadable):
        parse_canonical(b"[" * 100_000)


def test_it_refuses_an_integer_too_long_to_read() -> None:
    with pytest.raises(Unreadable):
        parse_canonical(b"9" * 10_000)


def test_the_greatest_integers_stand() -> None:
    # RFC 7493 2.2: from -(2^53)+1 to 2^53-1
    assert canonical_bytes([2**53 - 1, -(2**53) + 1]) == b"[9007199254740991,-9007199254740991]"
