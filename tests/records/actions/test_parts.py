"""Parts: booked in once, one in each place, with how they came."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from records import ledger
from records.actions.parts import (
    Condition,
    fit_part,
    note_intake,
    rate_damper,
    rule_allowance,
    take_out_part,
)
from records.domain.errors import BadValue, Code, Conflict
from records.models import Fitment, IntakeNote, Part, Zone
from tests.records.actions.bench import (
    BUILD,
    INES,
    MARTA,
    RUTH,
    STREAM,
    Shop,
    book,
    last_entry,
    open_two,
    tables,
)
from tests.records.actions.refusal import refused


class TestBooking:
    def test_it_is_entered_in_the_parts_and_the_builds_stream(self, shop: Shop) -> None:
        book(shop.clock, "L1", "pin locks", None, serial="A-17", marking="paint")
        assert tables(last_entry("part/L1")) == ["part"]
        assert tables(last_entry(STREAM)) == ["fitment"]
        fitment = Fitment.objects.get(part="L1")
        assert (fitment.place, fitment.at_booking) == (None, True)

    def test_the_newest_version_of_the_spec_holds(self, shop: Shop) -> None:
        part = Part.objects.get(number="K1")
        assert (part.spec.number, part.spec.version) == ("piston", 1)

    def test_one_of_the_past_may_be_booked_late(self, shop: Shop) -> None:
        before = shop.clock.now() - timedelta(days=3)
        book(shop.clock, "L1", "pin locks", None, booked_at=before)
        assert Fitment.objects.get(part="L1").fitted_at == before

    @pytest.mark.parametrize(
        ("number", "spec", "place", "code", "field"),
        [
            ("", "pin-locks", None, Code.MISSING, "number"),
            (" L1", "pin-locks", None, Code.BAD_VALUE, "number"),
            ("L/1", "pin-locks", None, Code.BAD_VALUE, "number"),
            ("..", "pin-locks", None, Code.BAD_VALUE, "number"),
            ("L\n1", "pin-locks", None, Code.BAD_VALUE, "number"),
            ("x" * 41, "pin-locks", None, Code.BAD_VALUE, "number"),
            ("L1", "unknown", None, Code.UNKNOWN_NUMBER, "spec"),
            ("K9", "piston", 3, Code.BAD_VALUE, "place"),
            ("K9", "piston", None, Code.MISSING, "place"),
            ("C1", "crankshaft", 1, Code.BAD_VALUE, "place"),
        ],
    )
    def test_what_does_not_fit_is_refused(
        self, number: str, spec: str, place: int | None, code: Code, field: str, shop: Shop
    ) -> None:
        with refused(BadValue, code, field):
            book(shop.clock, number, spec, place)

    def test_a_number_on_record_is_refused(self, shop: Shop) -> None:
        with refused(Conflict, Code.ALREADY_THERE, "number"):
            book(shop.clock, "K1", "piston", 1)

    def test_a_makers_serial_is_unique_with_its_spec_only(self, shop: Shop) -> None:
        book(shop.clock, "L1", "pin locks", None, serial="A-17")
        book(shop.clock, "B1", "bearing shells", None, serial="A-17")
        with refused(Conflict, Code.ALREADY_THERE, "serial"):
            book(shop.clock, "L2", "pin locks", 1, serial=" A-17 ")

    @pytest.mark.parametrize("place", [1, 2])
    def test_a_place_that_is_taken_is_refused(self, place: int, shop: Shop) -> None:
        with refused(Conflict, Code.CONFLICT, "place"):
            book(shop.clock, "K9", "piston", place)

    def test_a_second_piece_for_every_place_is_refused(self, shop: Shop) -> None:
        book(shop.clock, "C1", "crankshaft", None)
        with refused(Conflict, Code.CONFLICT, "place"):
            book(shop.clock, "C2", "crankshaft", None)

    def test_an_unknown_build_is_refused(self, shop: Shop) -> None:
        with refused(BadValue, Code.UNKNOWN_NUMBER, "build"):
            book(shop.clock, "K9", "piston", 1, build="26-999")


class TestPlaces:
    def _told(self, shop: Shop, part: str, build: str = BUILD) -> dict[str, Any]:
        return {"by": INES, "part": part, "build": build, "clock": shop.clock}

    def test_a_part_taken_out_may_go_in_another_build(self, shop: Shop) -> None:
        open_two(shop.clock, "26-002")
        end = take_out_part(reason="to the other engine", **self._told(shop, "K1"))
        assert last_entry(STREAM).envelope.kind == "part taken out"
        shop.clock.forward(minutes=1)
        fit_part(place=2, **self._told(shop, "K1", "26-002"))
        assert end.operator_id == INES
        assert tables(last_entry("build/26-002")) == ["fitment"]

    def test_one_that_stands_elsewhere_is_refused(self, shop: Shop) -> None:
        open_two(shop.clock, "26-002")
        with refused(Conflict, Code.CONFLICT, "part"):
            fit_part(place=1, **self._told(shop, "K1", "26-002"))

    def test_one_that_is_not_there_cannot_be_taken_out(self, shop: Shop) -> None:
        take_out_part(reason="worn", **self._told(shop, "K1"))
        with refused(Conflict, Code.CONFLICT, "part"):
            take_out_part(reason="worn", **self._told(shop, "K1"))

    def test_it_leaves_for_a_reason_and_not_before_it_came(self, shop: Shop) -> None:
        with refused(BadValue, Code.MISSING, "reason"):
            take_out_part(reason=" ", **self._told(shop, "K1"))
        before = shop.clock.now() - timedelta(days=1)
        with refused(Conflict, Code.CONFLICT, "ended_at"):
            take_out_part(reason="worn", ended_at=before, **self._told(shop, "K1"))
        ahead = shop.clock.now() + timedelta(minutes=6)
        with refused(BadValue, Code.IN_THE_FUTURE, "ended_at"):
            take_out_part(reason="worn", ended_at=ahead, **self._told(shop, "K1"))


class TestIntake:
    def _note(self, shop: Shop, kind: str, **more: Any) -> list[IntakeNote]:
        told: dict[str, Any] = {"by": MARTA, "build": BUILD, "condition": Condition()} | more
        return note_intake(kind=kind, clock=shop.clock, **told)

    def test_it_is_asked_once_per_kind_with_exceptions_by_part(self, shop: Shop) -> None:
        cut = Condition(earlier_cuts=True, note="skirts chamfered by someone")
        rows = self._note(shop, "piston", exceptions={"K2": cut})
        assert [(row.part_id, row.earlier_cuts) for row in rows] == [("K1", False), ("K2", True)]

    def test_a_kind_that_is_not_there_or_a_part_of_another_is_refused(self, shop: Shop) -> None:
        with refused(Conflict, Code.CONFLICT, "kind"):
            self._note(shop, "crankshaft")
        with refused(BadValue, Code.BAD_VALUE, "kind"):
            self._note(shop, "turbine")
        with refused(BadValue, Code.UNKNOWN_NUMBER, "exceptions"):
            self._note(shop, "piston", exceptions={"R1": Condition()})

    def test_a_colour_that_the_metal_cannot_show_is_refused(self, shop: Shop) -> None:
        with refused(BadValue, Code.BAD_VALUE, "heat"):
            self._note(shop, "piston", condition=Condition(heat="blue"))


class TestTheWordOfAnInspector:
    def _rule(self, shop: Shop, zone: Zone, grams: str = "1.5") -> None:
        rule_allowance(
            by=RUTH,
            part="K1",
            zone=zone.pk,
            remaining_g=Decimal(grams),
            reason="measured the skirt",
            clock=shop.clock,
        )

    def test_it_is_entered_in_the_parts_own_stream(self, shop: Shop) -> None:
        self._rule(shop, Zone.objects.get(spec__kind="piston", key="pin-boss"))
        assert last_entry("part/K1").envelope.kind == "allowance ruled"

    @pytest.mark.parametrize("grams", ["NaN", "-0.1", "Infinity", "1E+9"])
    def test_what_is_no_mass_is_refused(self, grams: str, shop: Shop) -> None:
        zone = Zone.objects.get(spec__kind="piston", key="pin-boss")
        with refused(BadValue, Code.OUT_OF_RANGE, "remaining_g"):
            self._rule(shop, zone, grams)

    def test_a_zone_of_another_spec_is_refused(self, shop: Shop) -> None:
        with refused(BadValue, Code.BAD_VALUE, "zone"):
            self._rule(shop, Zone.objects.filter(spec__kind="rod")[0])


def test_only_a_damper_has_a_rating(shop: Shop) -> None:
    told: dict[str, Any] = {
        "by": MARTA,
        "label": "L-1",
        "body": "a body",
        "spec": "a spec",
        "expires_on": shop.clock.now().date(),
        "clock": shop.clock,
    }
    with refused(BadValue, Code.BAD_VALUE, "part"):
        rate_damper(part="K1", **told)
    book(shop.clock, "D1", "damper", None)
    rate_damper(part="D1", **told)
    assert [entry.envelope.kind for entry in ledger.entries("part/D1")] == [
        "part booked",
        "damper rated",
    ]
