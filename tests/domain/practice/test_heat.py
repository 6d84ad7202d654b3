"""Heat: dark blue or beyond on steel holds whenever it came; less asks for an inspector's look."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from records.domain.errors import BadValue
from records.domain.practice.facts_of_parts import IntakeFacts, PartFacts
from records.domain.practice.finding import FindingCode
from records.domain.practice.heat import check_heat, heat_findings
from tests.domain.practice.sample import at, build, part, removal

VECTORS = Path(__file__).parents[2] / "data" / "heat.json"
CASES: list[dict[str, Any]] = json.loads(VECTORS.read_text(encoding="utf-8"))["cases"]
REFUSED: list[dict[str, str]] = json.loads(VECTORS.read_text(encoding="utf-8"))["refused"]


def of_metal(metal: str, intake: str = "none", *, cracks: bool = False) -> PartFacts:
    rod = part("R-1", "rod", intake=IntakeFacts(intake, cracks, False, ""))
    return replace(rod, spec=replace(rod.spec, metal=metal))


def at_a_cut(metal: str, heat: str | None, **changes: Any) -> list[str]:
    rod = of_metal(metal)
    cut = removal(1, "R-1", [23], at(3), heat=heat, **changes)
    return [found.code.value for found in heat_findings(build(removals=(cut,)), [rod])]


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['heat']} on {case['metal']}")
def test_what_a_colour_asks_for(case: dict[str, Any]) -> None:
    assert at_a_cut(case["metal"], case["heat"]) == case["at_a_cut"]
    facts = build()
    seen = heat_findings(facts, [of_metal(case["metal"], case["heat"])])
    assert [found.code.value for found in seen] == case["at_intake"]


@pytest.mark.parametrize("case", REFUSED, ids=lambda case: f"{case['heat']} on {case['metal']}")
def test_it_refuses_what_a_metal_can_not_show(case: dict[str, str]) -> None:
    with pytest.raises(BadValue) as refused:
        check_heat(case["metal"], case["heat"])
    assert refused.value.field == "heat"


def test_it_tidies_a_word() -> None:
    assert check_heat("steel", " Dark  Blue ") == "dark blue"
    assert check_heat("aluminium", "none", at_intake=True) == "none"


def test_heat_not_told_of_a_closed_cut_is_looked_at() -> None:
    assert at_a_cut("steel", None) == [FindingCode.HEAT_SEEN]


def test_an_open_cut_has_no_heat_yet() -> None:
    assert at_a_cut("steel", None, after=None) == []


def test_blue_of_an_earlier_build_still_holds_but_straw_was_looked_at_there() -> None:
    assert at_a_cut("steel", "dark blue", build="B-0") == [FindingCode.BLUED]
    assert at_a_cut("steel", "straw", build="B-0") == []


def test_another_parts_heat_is_not_this_ones() -> None:
    cut = removal(1, "R-2", [23], at(3), heat="dark blue")
    assert heat_findings(build(removals=(cut,)), [of_metal("steel")]) == ()


def test_cracks_noted_at_intake_hold() -> None:
    found = heat_findings(build(), [of_metal("steel", cracks=True)])
    assert [f.code for f in found] == [FindingCode.CRACKED]


def test_a_part_not_asked_about_raises_nothing_here() -> None:
    assert heat_findings(build(), [replace(of_metal("steel"), intake=None)]) == ()
