"""Part specs and their zone maps, in versions."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from records.actions.specs import set_part_spec
from records.domain.errors import BadValue, Code, Conflict
from records.domain.practice.default_zones import DefaultZone
from records.models import Part, PartSpec
from tests.records.actions.bench import MARTA, Shop, book, last_entry, tables
from tests.records.actions.refusal import refused

ZONE = DefaultZone(
    "skirt", "inside edge of the skirt", "allowed", "little loaded", ("lathe",), Decimal(3)
)


def _set(shop: Shop, **more: Any) -> PartSpec:
    told: dict[str, Any] = {
        "number": "piston",
        "kind": "pistons",
        "name": "forged, 86 mm",
        "metal": "aluminium",
        "density_g_cm3": Decimal("2.70"),
        "zones": [ZONE],
    }
    return set_part_spec(by=MARTA, clock=shop.clock, **(told | more))


def test_a_new_version_leaves_the_parts_of_the_old_one_as_they_were(shop: Shop) -> None:
    row = _set(shop)
    assert (row.version, row.kind) == (2, "piston")
    assert tables(last_entry("shop")) == ["partspec", "zone"]
    book(shop.clock, "L1", "pin locks", None)
    assert Part.objects.get(number="K1").spec.version == 1


def _zone(**changed: Any) -> dict[str, Any]:
    return {"zones": [ZONE, replace(ZONE, key="other", **changed)]}


@pytest.mark.parametrize(
    ("changed", "code", "field"),
    [
        ({"number": "a/b"}, Code.BAD_VALUE, "number"),
        ({"kind": "turbine"}, Code.BAD_VALUE, "kind"),
        ({"name": ""}, Code.MISSING, "name"),
        ({"metal": "wood"}, Code.BAD_VALUE, "metal"),
        ({"density_g_cm3": Decimal(0)}, Code.OUT_OF_RANGE, "density_g_cm3"),
        ({"density_g_cm3": Decimal("NaN")}, Code.OUT_OF_RANGE, "density_g_cm3"),
        ({"zones": [ZONE, ZONE]}, Code.BAD_VALUE, "zones/1/key"),
        ({"zones": [replace(ZONE, key="The Skirt")]}, Code.BAD_VALUE, "zones/0/key"),
        (_zone(rule="perhaps"), Code.BAD_VALUE, "zones/1/rule"),
        (_zone(spread="here"), Code.BAD_VALUE, "zones/1/spread"),
        (_zone(limit_g=Decimal(-1)), Code.OUT_OF_RANGE, "zones/1/limit_g"),
        (_zone(step_g=Decimal(0)), Code.OUT_OF_RANGE, "zones/1/step_g"),
        (_zone(x_mm=Decimal("NaN")), Code.OUT_OF_RANGE, "zones/1/x_mm"),
        (_zone(why=""), Code.MISSING, "zones/why"),
    ],
)
def test_what_does_not_fit_is_refused(
    changed: dict[str, Any], code: Code, field: str, people: Shop
) -> None:
    with refused(BadValue, code, field):
        _set(people, **changed)


def test_the_number_of_another_kinds_spec_is_refused(equipped: Shop) -> None:
    with refused(Conflict, Code.CONFLICT, "kind"):
        _set(equipped, number="rod")
