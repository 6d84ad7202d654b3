"""What the topics of correction, charts, gauge studies and twist refuse, with the key named."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from records.domain.errors import BadValue
from records.domain.reckon.topics import reckon

REFUSED = Path(__file__).parents[2] / "data" / "reckon_correction_refused.json"
CASES: list[dict[str, Any]] = json.loads(REFUSED.read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['topic']}:{case['field']}")
def test_it_refuses_and_names_the_key(case: dict[str, Any]) -> None:
    with pytest.raises(BadValue) as refused:
        reckon(case["topic"], case["data"])
    assert (refused.value.field, refused.value.code.value) == (case["field"], case["code"])
    assert refused.value.expected
    assert refused.value.got
    assert refused.value.message[0].islower()
