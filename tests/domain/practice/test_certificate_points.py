"""Points that no scale can have, each refused at its own field."""

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from records.domain.errors import BadValue
from records.domain.practice.certificate_points import check_points
from records.domain.practice.facts_of_scales import Point

REFUSED = Path(__file__).parents[2] / "data" / "certificate_points_refused.json"


def given(rows: list[list[str]]) -> list[Point]:
    return [Point(*(Decimal(figure) for figure in row)) for row in rows]


@pytest.mark.parametrize("case", json.loads(REFUSED.read_text()), ids=lambda case: case["why"])
def test_it_refuses_at_the_field(case: dict[str, Any]) -> None:
    with pytest.raises(BadValue) as refused:
        check_points(
            given(case["points"]), "as_left", capacity_g=Decimal(2000), finest_g=Decimal("0.1")
        )
    assert refused.value.field == case["field"]
    assert case["says"] in refused.value.message


def test_a_usual_certificate_passes() -> None:
    rows = [["0", "0", "0.05", "2"], ["500", "-0.1", "0.06", "2.13"], ["2000", "0.2", "0.1", "2"]]
    check_points(given(rows), "as_left", capacity_g=Decimal(2000), finest_g=Decimal("0.1"))
