"""The shop: opened once with its rules, changed in versions."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from records.actions.shop import (
    change_settings,
    open_shop,
    set_balance_rule,
    set_fixture,
    set_tolerance_class,
)
from records.domain.errors import BadValue, Code, Conflict
from records.models import (
    BalanceRule,
    ChecklistQuestion,
    RodFixture,
    ShopSettings,
    ToleranceClass,
)
from tests.records.actions.bench import MARTA, Shop, last_entry, open_two, tables
from tests.records.actions.refusal import refused

OPENING: dict[str, Any] = {"name": "Ferrow Lane", "first_person": MARTA, "first_name": "Marta"}


def test_it_opens_with_its_first_manager_and_the_default_rules() -> None:
    open_shop(**OPENING)
    assert tables(last_entry(f"person/{MARTA}")) == ["person", "rolegrant"]
    named = tables(last_entry("shop"))
    assert named[:5] == ["shopsettings", *["toleranceclass"] * 2, "balancerule", "rodfixture"]
    assert ChecklistQuestion.objects.count() == 7


@pytest.mark.parametrize(
    ("changed", "code", "field"),
    [
        ({"timezone": "Mars/Olympus"}, Code.BAD_VALUE, "timezone"),
        ({"timezone": ""}, Code.BAD_VALUE, "timezone"),
        ({"timezone": "../../etc/passwd"}, Code.BAD_VALUE, "timezone"),
        ({"name": ""}, Code.MISSING, "name"),
        ({"first_person": "P 1 "}, Code.BAD_VALUE, "first_person"),
        ({"first_name": ""}, Code.MISSING, "first_name"),
        ({"place": "x" * 201}, Code.BAD_VALUE, "place"),
    ],
)
def test_what_does_not_fit_is_refused(changed: dict[str, Any], code: Code, field: str) -> None:
    with refused(BadValue, code, field):
        open_shop(**(OPENING | changed))


def test_it_opens_once(people: Shop) -> None:
    with refused(Conflict, Code.ALREADY_THERE):
        open_shop(**(OPENING | {"first_person": "P-77"}))


def test_settings_change_as_a_new_version_and_a_demo_stays_one(people: Shop) -> None:
    row = change_settings(
        by=MARTA,
        name="Ferrow Lane Two",
        place="Ferrow Lane",
        timezone="UTC",
        self_release_street=True,
        clock=people.clock,
    )
    assert (row.version, row.demo) == (2, True)
    assert ShopSettings.objects.count() == 2
    assert last_entry("shop").envelope.kind == "settings changed"


class TestTolerances:
    def _set(self, shop: Shop, **more: Any) -> ToleranceClass:
        told: dict[str, Any] = {
            "name": "street",
            "set_g": Decimal("1.5"),
            "big_end_g": Decimal(1),
            "whole_rod_g": Decimal(1),
            "guard_r": Decimal("0.5"),
            "readings": 2,
            "hangings": 2,
        }
        return set_tolerance_class(by=MARTA, clock=shop.clock, **(told | more))

    def test_they_are_set_as_a_new_version(self, people: Shop) -> None:
        assert self._set(people).version == 2
        assert self._set(people, name="hill climb").version == 1

    @pytest.mark.parametrize(
        ("changed", "field"),
        [
            ({"set_g": Decimal(0)}, "set_g"),
            ({"big_end_g": Decimal("NaN")}, "big_end_g"),
            ({"whole_rod_g": Decimal(1001)}, "whole_rod_g"),
            ({"guard_r": Decimal("-0.1")}, "guard_r"),
            ({"guard_r": Decimal("0.0001")}, "guard_r"),
            ({"readings": 0}, "readings"),
            ({"hangings": -1}, "hangings"),
        ],
    )
    def test_what_is_impossible_is_refused(
        self, changed: dict[str, Any], field: str, people: Shop
    ) -> None:
        with refused(BadValue, Code.OUT_OF_RANGE, field):
            self._set(people, **changed)


def test_a_fixture_in_versions_and_the_newest_is_used(people: Shop) -> None:
    told: dict[str, Any] = {"by": MARTA, "clock": people.clock, "big_mm": Decimal("0.02")}
    row = set_fixture(number="F-1", small_mm=Decimal("0.02"), **told)
    assert row.version == 2
    other = set_fixture(number="F-2", small_mm=Decimal("0.01"), **told)
    build = open_two(people.clock)
    assert build.fixtures.get().fixture == other
    with refused(BadValue, Code.OUT_OF_RANGE, "small_mm"):
        set_fixture(number="F-1", small_mm=Decimal(0), **told)
    assert RodFixture.objects.count() == 3


def test_oil_and_fraction_in_versions(people: Shop) -> None:
    told: dict[str, Any] = {"by": MARTA, "clock": people.clock, "range_g": Decimal("0.5")}
    row = set_balance_rule(oil_g=Decimal(4), fraction=Decimal("0.52"), **told)
    assert (row.version, open_two(people.clock).balance_rule) == (2, row)
    with refused(BadValue, Code.OUT_OF_RANGE, "fraction"):
        set_balance_rule(oil_g=Decimal(4), fraction=Decimal("1.1"), **told)
    with refused(BadValue, Code.OUT_OF_RANGE, "oil_g"):
        set_balance_rule(oil_g=Decimal(-4), fraction=Decimal("0.5"), **told)
    assert BalanceRule.objects.count() == 2
