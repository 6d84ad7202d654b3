"""The shop at work, through its own actions: Marta manages, Ines weighs, Ruth releases.

The scale S-02 and its check weights are those of the issue; all people and parts are invented.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from records import ledger
from records.actions.builds import open_build
from records.actions.clock import SetClock
from records.actions.parts import Condition, book_part, note_intake
from records.actions.people import book_customer, book_person
from records.actions.reading import ReadingGiven
from records.actions.removals import Cut, close_removal, open_removal
from records.actions.scale_checks import Load, record_scale_check
from records.actions.scales import (
    PointGiven,
    Repeatability,
    Step,
    book_check_weight,
    book_scale,
    record_calibration,
)
from records.actions.shop import open_shop
from records.actions.specs import set_part_spec
from records.actions.weighings import WeighingGiven, record_weighing
from records.domain.balance.layout import Cylinder
from records.domain.practice.default_zones import default_zones
from records.domain.practice.kinds import DENSITIES, KINDS
from records.ledger import EntryFacts
from records.models import Build, Removal, RemovalClose, ScaleCheck, Weighing

MARTA, INES, TOMAS, RUTH = "P-01", "P-02", "P-03", "P-04"
VERA = "P-05"  # a viewer
ORLA = "K-01"
SCALE, OTHER_SCALE = "S-02", "S-03"
BUILD = "26-001"
STREAM = f"build/{BUILD}"
MONDAY = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
WEIGHTS = {"W-500": "500", "W-1000": "1000", "W-2000": "2000"}
ROD_LENGTH_MM = Decimal("152.4")
# two cylinders on opposite throws, in one plane: equal pins cancel, so no bob weight is needed
TWO = (Cylinder(1, 0.0, 0.0, 0.0, 1), Cylinder(2, 180.0, 0.0, 0.0, 2))


@dataclass
class Shop:
    """The shop, and the clock it works by."""

    clock: SetClock

    def weigh(self, part: str | None, *values: str, by: str = INES, **given: Any) -> Weighing:
        """Weigh a part (or a place's set) on S-02, a minute later than what was before."""
        self.clock.forward(minutes=1)
        told = {"what": "whole", "scale": SCALE, **given}
        unit = told.pop("unit", "g")
        readings = [ReadingGiven(value, unit) for value in values]
        return record_weighing(
            by=by,
            build=BUILD,
            given=WeighingGiven(part=part, readings=readings, **told),
            clock=self.clock,
        )

    def open_cut(self, part: str, zone: str, method: str, spread: str, by: str = INES) -> Removal:
        """Open a removal from the newest weighing, a minute later."""
        self.clock.forward(minutes=1)
        cut = Cut(part, [zone], method, spread)
        return open_removal(by=by, build=BUILD, cut=cut, clock=self.clock)

    def close(self, removal: Removal, heat: str, by: str = INES) -> RemovalClose:
        """Close a removal with the newest weighing."""
        return close_removal(by=by, build=BUILD, removal=removal.pk, heat=heat, clock=self.clock)

    def check(self, *shown: str, scale: str = SCALE, by: str = INES) -> ScaleCheck:
        """Put the three check weights on, one after the other."""
        self.clock.forward(minutes=1)
        loads = [
            Load([number], ReadingGiven(value))
            for number, value in zip(WEIGHTS, shown or WEIGHTS.values(), strict=True)
        ]
        return record_scale_check(by=by, scale=scale, loads=loads, clock=self.clock)


def last_entry(stream: str) -> EntryFacts:
    """Return the last entry of a stream."""
    return list(ledger.entries(stream))[-1]


def tables(entry: EntryFacts) -> list[str]:
    """Return the tables of the rows that an entry names, in its order."""
    return [row["table"].removeprefix("records.") for row in entry.envelope.data["rows"]]


def open_ferrow_lane(clock: SetClock, *, demo: bool = True, self_release: bool = False) -> None:
    """Open the shop with its people."""
    open_shop(
        name="Ferrow Lane Balancing",
        timezone="Europe/London",
        demo=demo,
        self_release_street=self_release,
        first_person=MARTA,
        first_name="Marta",
        clock=clock,
    )
    for number, name, role in (
        (INES, "Ines", "technician"),
        (TOMAS, "Tomas", "technician"),
        (RUTH, "Ruth", "inspector"),
        (VERA, "Vera", "viewer"),
    ):
        book_person(by=MARTA, number=number, name=name, roles=[role], clock=clock)
    book_customer(by=MARTA, number=ORLA, name="Orla", clock=clock)


def equip(clock: SetClock) -> None:
    """Book the scales, their calibrations and the check weights."""
    for number in (SCALE, OTHER_SCALE):
        steps = [Step("g", Decimal("0.1")), Step("oz", Decimal("0.001"))]
        book_scale(by=MARTA, number=number, capacity_g=Decimal(2000), steps=steps, clock=clock)
        calibrate(clock, number, f"CAL-{number}")
    for number, nominal in WEIGHTS.items():
        book_check_weight(
            by=MARTA, number=number, nominal_g=Decimal(nominal), accuracy_class="M1", clock=clock
        )


def calibrate(clock: SetClock, scale: str, certificate: str, **changed: Any) -> None:
    """Record the calibration of 2026-01-15, due 2027-01-15."""
    given: dict[str, Any] = {
        "calibrated_on": date(2026, 1, 15),
        "due_on": date(2027, 1, 15),
        "as_left": [
            PointGiven(Decimal(load), Decimal(error), Decimal("0.05"))
            for load, error in (("0", "0"), ("500", "0"), ("1000", "-0.1"), ("2000", "-0.1"))
        ],
        "repeatability": [Repeatability(Decimal(1000), Decimal("0.03"))],
        "repeatability_nu": 9,
    }
    record_calibration(
        by=MARTA, scale=scale, certificate_number=certificate, clock=clock, **(given | changed)
    )


def set_specs(clock: SetClock) -> None:
    """Give every kind the spec that a shop starts with, numbered by its kind."""
    for kind in KINDS:
        set_part_spec(
            by=MARTA,
            number=spec_of(kind.key),
            kind=kind.key,
            name=f"{kind.key}, as the shop starts with it",
            metal=kind.metal,
            density_g_cm3=DENSITIES[kind.metal],
            zones=default_zones(kind.key, ROD_LENGTH_MM),
            clock=clock,
        )


def spec_of(kind: str) -> str:
    """Return the number of a kind's spec."""
    return kind.replace(" ", "-")


def open_two(clock: SetClock, number: str = BUILD, **changed: Any) -> Build:
    """Open a street build of two cylinders."""
    given: dict[str, Any] = {
        "engine": "hill-climb twin",
        "layout": "twin-180",
        "cylinders": TWO,
        "use": "street",
        "customer": ORLA,
        "rod_length_mm": ROD_LENGTH_MM,
        "stroke_mm": Decimal(80),
    }
    return open_build(by=MARTA, number=number, clock=clock, **(given | changed))


# kind, letter of its numbers, mass in g
PARTS = (
    ("piston", "K", "450.0"),
    ("pin", "N", "120.0"),
    ("ring set", "G", "40.0"),
    ("rod", "R", "620.0"),
)


def book(clock: SetClock, number: str, kind: str, place: int | None, **more: Any) -> None:
    """Book a part in."""
    book_part(
        by=MARTA,
        number=number,
        spec=spec_of(kind),
        build=more.pop("build", BUILD),
        place=place,
        clock=clock,
        **more,
    )


def book_all(clock: SetClock) -> None:
    """Book pistons, pins, rings and rods K1, K2, N1… in, and ask how they came."""
    for kind, letter, _ in PARTS:
        for place in (1, 2):
            book(clock, f"{letter}{place}", kind, place)
        note_intake(by=MARTA, build=BUILD, kind=kind, condition=Condition(), clock=clock)


def weigh_all(shop: Shop, **masses: str) -> None:
    """Check the scale, weigh every part twice (as told, else alike), and hang both rods."""
    shop.check()
    for _, letter, mass in PARTS:
        for place in (1, 2):
            told = masses.get(f"{letter}{place}", mass)
            shop.weigh(f"{letter}{place}", told, told)
    for place in (1, 2):
        shop.weigh(f"R{place}", "440.0", "440.0", what="big end")
