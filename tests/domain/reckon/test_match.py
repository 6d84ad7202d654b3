"""Topic `match`: the face of the matching; its sums are tested in tests/domain/balance."""

from __future__ import annotations

from typing import Any

import pytest

from records.domain.errors import BadValue
from records.domain.reckon.match import reckon


def asked(**change: Any) -> dict[str, Any]:
    # checks/balance.md 8: pistons and pins as listed there
    return {
        "kinds": [
            {"name": "piston", "masses_g": [450.2, "451.0", 449.5, 450.7], "may_cut": True},
            {"name": "pin", "masses_g": [120.1, 120.4, 119.8, 120.0], "may_cut": False},
        ],
        "places": 4,
        "aim": "spread",
        "tolerance_g": 0.5,
        **change,
    }


def test_two_kinds_come_out_as_on_the_check_sheet() -> None:
    answer: Any = reckon(asked())
    assert sorted(s["total_g"] for s in answer["sets"]) == [569.9, 570.3, 570.7, 570.8]
    assert answer["spread_g"] == answer["bound_spread_g"] == 0.9
    assert answer["removed_g"] == 0.7  # 0.3 and 0.4 over 569.9 + 0.5
    assert answer["bound_removed_g"] == 0.7
    assert answer["proven"] is True
    assert [s["place"] for s in answer["sets"]] == [0, 1, 2, 3]
    assert {s["short_g"] for s in answer["sets"]} == {0.0}


def test_least_metal_is_not_least_spread() -> None:
    # checks/balance.md 8: 7 and 15 against 8 and 11
    kinds = [
        {"name": name, "masses_g": masses, "may_cut": True}
        for name, masses in (
            ("a", [9, 15, 17, 29]),
            ("b", [2, 5, 13, 19]),
            ("c", [0, 9, 10, 11]),
        )
    ]
    spread = reckon(asked(kinds=kinds, tolerance_g=0))
    metal = reckon(asked(kinds=kinds, tolerance_g=0, aim="metal"))
    assert (spread["spread_g"], spread["removed_g"]) == (7, 15)
    assert (metal["spread_g"], metal["removed_g"]) == (8, 11)


def test_ties_and_fixed_places_hold_and_shortfall_is_said() -> None:
    kinds = asked()["kinds"]
    kinds[0]["allowance_g"] = [0.1, 0.1, 0.1, "0.1"]
    answer: Any = reckon(
        asked(kinds=kinds, tied=[{"piston": 1, "pin": 1}], fixed=[{"place": 2, "piston": 1}])
    )
    heavy = answer["sets"][2]
    assert heavy["parts"] == {"piston": 1, "pin": 1}
    assert heavy["total_g"] == 571.4
    assert heavy["short_g"] == pytest.approx(heavy["remove_g"] - 0.1)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"aim": "speed"}, "aim"),
        ({"places": 5}, "kinds/0/masses_g"),
        ({"places": 2.5}, "places"),
        ({"tolerance_g": -1}, "tolerance_g"),
        ({"kinds": []}, "kinds"),
        (
            {"kinds": [{"name": "a", "masses_g": [1, "x", 2, 3], "may_cut": True}]},
            "kinds/0/masses_g/1",
        ),
        ({"kinds": [{"name": "a", "masses_g": [1, 2, 3, 4]}]}, "kinds/0/may_cut"),
        (
            {"kinds": [{"name": "a", "masses_g": [1, 2, 3, 4], "may_cut": 1}]},
            "kinds/0/may_cut",
        ),
        (
            {"kinds": [{"name": "a", "masses_g": [1, 2, 3, 4], "may_cut": True, "x": 1}]},
            "kinds/0/x",
        ),
        ({"tied": [{"piston": 0, "ring": 1}]}, "tied/0/ring"),
        ({"fixed": [{"piston": 0}]}, "fixed/0/place"),
        ({"fixed": [{"place": 4, "piston": 0}]}, "fixed/0/place"),
        ({"seed": 1}, "seed"),
    ],
)
def test_it_refuses_and_names_the_key(change: dict[str, Any], field: str) -> None:
    with pytest.raises(BadValue) as refused:
        reckon(asked(**change))
    assert refused.value.field == field


@pytest.mark.parametrize("key", ["kinds", "places", "aim", "tolerance_g"])
def test_it_names_a_missing_key(key: str) -> None:
    data = asked()
    del data[key]
    with pytest.raises(BadValue) as refused:
        reckon(data)
    assert refused.value.field == key
