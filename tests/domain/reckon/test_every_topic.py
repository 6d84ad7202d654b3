"""Every topic of the page that says what `reckon` answers is there, and no other."""

from __future__ import annotations

import pytest

from records.domain.errors import BadValue
from records.domain.reckon.topics import TOPICS, reckon

# As the page lists them.
NAMED = (
    "weighing",
    "difference",
    "rod-end",
    "decision",
    "match",
    "rod-levers",
    "rod-pads",
    "bob-weight",
    "layout",
    "unbalance-tolerance",
    "hole",
    "slug",
    "split",
    "index",
    "chart",
    "gauge-study",
    "twist",
    "convert",
)


def test_the_topics_are_those_named() -> None:
    assert sorted(TOPICS) == sorted(NAMED)


@pytest.mark.parametrize("topic", NAMED)
def test_an_empty_object_is_told_a_key_it_lacks(topic: str) -> None:
    with pytest.raises(BadValue) as refused:
        reckon(topic, {})
    assert refused.value.code.value == "missing"
    assert refused.value.field
    assert refused.value.expected
