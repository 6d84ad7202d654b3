"""Builds: opened under the newest rules with what was promised, details learnt later."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from records.actions.builds import Promise, note_detail
from records.actions.shop import set_tolerance_class
from records.domain.balance.layout import Cylinder
from records.domain.errors import BadValue, Code, Conflict
from records.models import BuildDetail
from records.queries.build_facts import facts_of
from tests.records.actions.bench import BUILD, MARTA, STREAM, Shop, last_entry, open_two, tables
from tests.records.actions.refusal import refused


class TestOpening:
    def test_its_entry_names_all_that_was_said(self, people: Shop) -> None:
        open_two(people.clock)
        entry = last_entry(STREAM)
        assert (entry.envelope.seq, entry.envelope.kind) == (1, "build opened")
        cylinders, details = ["buildcylinder"] * 2, ["builddetail"] * 2
        assert tables(entry) == ["build", *cylinders, *details, "buildfixture"]

    def test_a_known_layout_brings_its_cylinders(self, people: Shop) -> None:
        row = open_two(people.clock, layout="v8-90", cylinders=None)
        assert row.cylinders.count() == 8

    def test_it_follows_the_tolerance_class_of_its_use(self, people: Shop) -> None:
        # competition: 0.5 g each, r = 1 (common practice, no source)
        row = open_two(people.clock, use="competition")
        assert (row.set_g, row.guard_r) == (Decimal("0.5"), Decimal(1))

    def test_a_promise_of_plus_or_minus_is_a_spread_of_twice_as_much(self, people: Shop) -> None:
        promise = Promise(set_g=Decimal("0.5"), promised_as="plus or minus")
        row = open_two(people.clock, promise=promise)
        assert (row.set_g, row.big_end_g) == (Decimal("1.0"), Decimal(1))

    def test_it_keeps_the_rules_that_held_when_it_was_opened(self, people: Shop) -> None:
        row = open_two(people.clock)
        set_tolerance_class(
            by=MARTA,
            name="street",
            set_g=Decimal(2),
            big_end_g=Decimal(2),
            whole_rod_g=Decimal(2),
            guard_r=Decimal(0),
            readings=3,
            hangings=3,
            clock=people.clock,
        )
        assert facts_of(BUILD).promise.readings == 2
        assert open_two(people.clock, "26-002").tolerance_class.version == 2
        assert row.tolerance_class.version == 1

    @pytest.mark.parametrize(
        ("changed", "code", "field"),
        [
            ({"number": ""}, Code.MISSING, "number"),
            ({"number": "26/001"}, Code.BAD_VALUE, "number"),
            ({"number": " 26-001"}, Code.BAD_VALUE, "number"),
            ({"engine": ""}, Code.MISSING, "engine"),
            ({"layout": "w16", "cylinders": None}, Code.BAD_VALUE, "layout"),
            ({"use": "display"}, Code.BAD_VALUE, "use"),
            ({"balance": "none"}, Code.BAD_VALUE, "balance"),
            ({"customer": "K-99"}, Code.UNKNOWN_NUMBER, "customer"),
            ({"rod_length_mm": Decimal(0)}, Code.OUT_OF_RANGE, "rod_length_mm"),
            ({"stroke_mm": Decimal("NaN")}, Code.OUT_OF_RANGE, "stroke_mm"),
            ({"promise": Promise(set_g=Decimal(0))}, Code.OUT_OF_RANGE, "set_g"),
            ({"promise": Promise(big_end_g=Decimal("NaN"))}, Code.OUT_OF_RANGE, "big_end_g"),
            ({"promise": Promise(guard_r=Decimal(-1))}, Code.OUT_OF_RANGE, "guard_r"),
            ({"promise": Promise(promised_as="about")}, Code.BAD_VALUE, "promised_as"),
            ({"cylinders": [Cylinder(1, 0, 0, 0, 1)] * 2}, Code.BAD_VALUE, "cylinders/1/place"),
            (
                {"cylinders": [Cylinder(1, float("nan"), 0, 0, 1)]},
                Code.OUT_OF_RANGE,
                "cylinders/0/throw_deg",
            ),
            ({"cylinders": [Cylinder(0, 0, 0, 0, 1)]}, Code.OUT_OF_RANGE, "cylinders/0/place"),
            (
                {"cylinders": [Cylinder(n, 0, 0, 0, 1) for n in range(1, 50)]},
                Code.BAD_VALUE,
                "cylinders",
            ),
        ],
    )
    def test_what_does_not_fit_is_refused(
        self, changed: dict[str, Any], code: Code, field: str, people: Shop
    ) -> None:
        with refused(BadValue, code, field):
            open_two(people.clock, **changed)

    def test_a_number_on_record_is_refused(self, people: Shop) -> None:
        open_two(people.clock)
        with refused(Conflict, Code.ALREADY_THERE, "number"):
            open_two(people.clock)


class TestADetail:
    def _note(self, shop: Shop, key: str, value: str, **more: Any) -> BuildDetail:
        told: dict[str, Any] = {"by": MARTA, "build": BUILD} | more
        return note_detail(key=key, value=value, clock=shop.clock, **told)

    def test_the_newest_of_a_key_holds(self, shop: Shop) -> None:
        self._note(shop, "rod_length_mm", "150.5")
        assert facts_of(BUILD).rod_length_mm == Decimal("150.5")
        assert tables(last_entry(STREAM)) == ["builddetail"]

    @pytest.mark.parametrize(
        ("key", "value", "code", "field"),
        [
            ("colour", "red", Code.BAD_VALUE, "key"),
            ("rod_length_mm", "long", Code.BAD_VALUE, "rod_length_mm"),
            ("rod_length_mm", "NaN", Code.OUT_OF_RANGE, "rod_length_mm"),
            ("stroke_mm", "2001", Code.OUT_OF_RANGE, "stroke_mm"),
            ("event_day", "2026-02-30", Code.BAD_VALUE, "event_day"),
            ("crank_in_job", "maybe", Code.BAD_VALUE, "value"),
            ("crank_in_job", "no", Code.MISSING, "reason"),
        ],
    )
    def test_a_value_that_does_not_fit_its_key_is_refused(
        self, key: str, value: str, code: Code, field: str, shop: Shop
    ) -> None:
        with refused(BadValue, code, field):
            self._note(shop, key, value)

    def test_an_unknown_build_is_refused(self, shop: Shop) -> None:
        with refused(BadValue, Code.UNKNOWN_NUMBER, "build"):
            self._note(shop, "stroke_mm", "80", build="26-999")
