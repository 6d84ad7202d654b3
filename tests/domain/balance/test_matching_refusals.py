"""What a matching refuses, naming the key: never a wrong number."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from records.domain.balance.matching import Aim, Grouping, Kind, match
from records.domain.errors import BadValue

D = Decimal
PISTONS = Kind("piston", (D(450), D(451), D(452)))
PINS = Kind("pin", (D(120), D(121), D(122)))

REFUSED: dict[str, tuple[dict[str, Any], str]] = {
    "no places": ({"places": 0}, "places"),
    "no kinds": ({"kinds": []}, "kinds"),
    "fewer parts than places": ({"places": 4}, "kinds/0/masses_g"),
    "a negative mass": ({"kinds": [Kind("piston", (D(1), D(-1), D(1)))]}, "kinds/0/masses_g/1"),
    "a mass that is none": ({"kinds": [Kind("piston", (D("NaN"),) * 3)]}, "kinds/0/masses_g/0"),
    "a tonne of piston": ({"kinds": [Kind("piston", (D("1E7"),) * 3)]}, "kinds/0/masses_g/0"),
    "a name twice": ({"kinds": [PISTONS, PISTONS]}, "kinds/1/name"),
    "an empty name": ({"kinds": [Kind("", PINS.masses_g)]}, "kinds/0/name"),
    "a negative tolerance": ({"tolerance_g": D("-0.1")}, "tolerance_g"),
    "an endless tolerance": ({"tolerance_g": D("Infinity")}, "tolerance_g"),
    "allowances for too few": (
        {"kinds": [Kind("piston", PISTONS.masses_g, allowance_g=(D(1),))]},
        "kinds/0/allowance_g",
    ),
    "a negative allowance": (
        {"kinds": [Kind("piston", PISTONS.masses_g, allowance_g=D(-1))]},
        "kinds/0/allowance_g",
    ),
    "a tie to an unknown kind": ({"tied": [{"piston": 0, "ring": 0}]}, "tied/0/ring"),
    "a tie to a part that is not there": ({"tied": [{"piston": 0, "pin": 3}]}, "tied/0/pin"),
    "one part tied to two of a kind": (
        {"tied": [{"piston": 0, "pin": 1}, {"piston": 0, "pin": 2}]},
        "tied/1",
    ),
    "a place that is not there": ({"fixed": [Grouping(3, {"piston": 0})]}, "fixed/0/place"),
    "one part in two places": (
        {"fixed": [Grouping(0, {"piston": 0}), Grouping(1, {"piston": 0})]},
        "fixed/1",
    ),
    "two pistons in one place": (
        {"fixed": [Grouping(0, {"piston": 0}), Grouping(0, {"piston": 1})]},
        "fixed/1",
    ),
    "a tie across two places": (
        {
            "tied": [{"piston": 0, "pin": 0}],
            "fixed": [Grouping(0, {"piston": 0}), Grouping(1, {"pin": 0})],
        },
        "fixed/1",
    ),
}


@pytest.mark.parametrize("what", REFUSED)
def test_it_refuses(what: str) -> None:
    change, field = REFUSED[what]
    asked: dict[str, Any] = {"kinds": [PISTONS, PINS], "places": 3, "aim": Aim.SPREAD, **change}
    kinds = asked.pop("kinds")
    with pytest.raises(BadValue) as refused:
        match(kinds, **asked)
    assert refused.value.field == field
    assert refused.value.expected
    assert refused.value.got


def test_it_says_when_tied_parts_find_no_place() -> None:
    # each tie needs a set of its own with the ring it also holds; three ties, two places
    kinds = [
        Kind("piston", (D(1), D(2))),
        Kind("pin", (D(1), D(2))),
        Kind("ring", (D(1), D(2), D(3))),
    ]
    ties = [{"piston": 0, "ring": 0}, {"pin": 0, "ring": 1}, {"piston": 1, "pin": 1, "ring": 2}]
    with pytest.raises(BadValue) as refused:
        match(kinds, places=2, aim=Aim.SPREAD, tied=ties)
    assert refused.value.field == "tied"
