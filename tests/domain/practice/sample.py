"""Small builds for tests: Ines weighs on S-02 at Ferrow Lane, times in UTC, numbers invented."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from records.domain.balance import layout
from records.domain.measure.units import to_grams
from records.domain.practice.facts import (
    BuildFacts,
    FitmentFacts,
    PromiseFacts,
    ReadingFacts,
    RemovalFacts,
    ShopFacts,
    WeighingFacts,
)
from records.domain.practice.facts_of_parts import IntakeFacts, PartFacts, SpecFacts, ZoneFacts
from records.domain.practice.facts_of_scales import (
    CalibrationFacts,
    CheckFacts,
    CheckLoad,
    Point,
    ScaleEventFacts,
    ScaleFacts,
    StepFacts,
)

SHOP_ZONE = "Europe/London"
OPENED = datetime(2026, 3, 1, 9, tzinfo=UTC)
LENGTH_MM = Decimal("152.4")
CLEAN = IntakeFacts(heat="none", cracks=False, earlier_cuts=False, note="")


def at(day: int, hour: int = 9, minute: int = 0) -> datetime:
    """A moment of March 2026, UTC (which is the shop's own time in winter)."""
    return datetime(2026, 3, day, hour, minute, tzinfo=UTC)


def zone(
    id: int, key: str, limit: str | None = "4.0", step: str | None = "0.5", **changes: Any
) -> ZoneFacts:
    given: dict[str, Any] = {
        "name": key,
        "rule": "allowed",
        "methods": ("die grinder",),
        "spread": "any",
        "x_mm": None,
        "maker_leave": False,
        "why": "",
    }
    limit_g = None if limit is None else Decimal(limit)
    step_g = None if step is None else Decimal(step)
    return ZoneFacts(id=id, key=key, limit_g=limit_g, step_g=step_g, **given | changes)


PISTON_ZONES = (
    zone(11, "skirt inside edge", "4.0", "0.5", spread="all round"),
    zone(12, "pin boss", "1.0", "0.2", rule="limited"),
    zone(13, "crown", None, None, rule="forbidden", methods=(), why="burns or collapses"),
)
ROD_ZONES = (
    zone(21, "beside the bolts", "6.0", "2.0", spread="both sides", x_mm=Decimal(150)),
    zone(22, "cap pad", "6.0", "2.0", rule="limited", x_mm=Decimal(190)),
    zone(23, "small-end eye", "3.0", "0.5", spread="all round", x_mm=Decimal(-8)),
    zone(24, "small-end pad", "4.0", "1.0", rule="limited", x_mm=Decimal(-20)),
    zone(25, "beam", None, None, rule="forbidden", methods=(), why="the beam is stressed"),
)


def spec(kind: str) -> SpecFacts:
    """The shop's one spec of a kind."""
    metal, density, zones = {
        "piston": ("aluminium", "2.7", PISTON_ZONES),
        "rod": ("steel", "7.85", ROD_ZONES),
    }.get(kind, ("steel", "7.85", ()))
    return SpecFacts(f"SP-{kind}", 1, kind, kind, metal, Decimal(density), zones)


def part(number: str, kind: str, **changes: Any) -> PartFacts:
    given: dict[str, Any] = {
        "serial": number,
        "marking": "stamped",
        "spec": spec(kind),
        "intake": CLEAN,
        "rulings": {},
        "rating": None,
    }
    return PartFacts(number=number, **given | changes)


def calibration(id: int = 1, on: date = date(2026, 1, 15), **changes: Any) -> CalibrationFacts:
    """A calibration of a 2 kg scale that reads true, s 0.05 g at every load."""
    points = tuple(
        Point(Decimal(load), Decimal(0), Decimal("0.04"), Decimal(2))
        for load in (0, 100, 500, 1000, 2000)
    )
    given: dict[str, Any] = {
        "certificate_number": f"C-{id}",
        "calibrated_on": on,
        "due_on": date(on.year + 1, on.month, on.day),
        "as_found": points,
        "as_left": points,
        "repeatability": ((Decimal(0), Decimal("0.05")), (Decimal(2000), Decimal("0.05"))),
        "repeatability_nu": None,
        "eccentricity": None,
    }
    return CalibrationFacts(id=id, **given | changes)


def check(
    id: int, moment: datetime, *, passed: bool = True, loads: Sequence[int] = (500, 1000, 2000)
) -> CheckFacts:
    """A scale check; where it failed, it failed at its last load."""
    held = tuple(
        CheckLoad(
            Decimal(load),
            Decimal("0.02") if passed or load != loads[-1] else Decimal("0.9"),
            Decimal("0.15"),
            passed or load != loads[-1],
        )
        for load in loads
    )
    return CheckFacts(id, moment, passed, held)


def event(id: int, kind: str, moment: datetime, **changes: Any) -> ScaleEventFacts:
    """What happened to a scale, recorded as it happened."""
    given: dict[str, Any] = {"reason": "a bent pan", "recorded_at": moment}
    return ScaleEventFacts(id, kind, moment, **given | changes)


STEPS = (
    StepFacts("g", Decimal("0.1"), Decimal("0.1"), None),
    StepFacts("oz", Decimal("0.001"), Decimal("0.028349523125"), None),
)


def scale(number: str = "S-02", **changes: Any) -> ScaleFacts:
    """S-02: 2 kg by 0.1 g, in calibration, a passed check at 8:00 on 2 to 6 March 2026."""
    given: dict[str, Any] = {
        "capacity_g": Decimal(2000),
        "steps": STEPS,
        "calibrations": (calibration(),),
        "checks": tuple(check(day, at(day, 8)) for day in range(2, 7)),
    }
    return ScaleFacts(number=number, **given | changes)


def reading(text: str, unit: str = "g", hanging: int | None = None) -> ReadingFacts:
    return ReadingFacts(text, unit, to_grams(Decimal(text), unit), hanging)


def weighing(
    id: int, part: str | None, *readings: str | ReadingFacts, **changes: Any
) -> WeighingFacts:
    """A weighing by Ines on S-02 at 9:00 on 2 March unless told otherwise; ends hang anew."""
    what = changes.get("what", "whole")
    hung = what.endswith("end")
    taken = tuple(
        r if isinstance(r, ReadingFacts) else reading(r, hanging=i if hung else None)
        for i, r in enumerate(readings, start=1)
    )
    moment = changes.get("measured_at", at(2, 9))
    given: dict[str, Any] = {
        "place": None,
        "members": (),
        "what": "whole",
        "how": "hung" if hung else "on the pan",
        "scale": "S-02",
        "calibration": 1,
        "fixture": None,
        "operator": "ines",
        "source": "typed",
        "purpose": "evidence",
        "measured_at": moment,
        "recorded_at": moment,
        "late": False,
        "ahead": False,
        "mean_g": sum((r.grams for r in taken), Decimal(0)) / len(taken),
    }
    return WeighingFacts(id=id, part=part, readings=taken, **given | changes)


def set_weighing(
    id: int, place: int, members: Sequence[str], *readings: str, **changes: Any
) -> WeighingFacts:
    return weighing(id, None, *readings, what="set", place=place, members=tuple(members), **changes)


def removal(
    id: int, part: str, zones: Iterable[int], moment: datetime, **changes: Any
) -> RemovalFacts:
    """A closed cut of 0.5 g by Ines, unless told otherwise."""
    given: dict[str, Any] = {
        "build": "B-1",
        "method": "die grinder",
        "spread": "all round",
        "operator": "ines",
        "before": 0,
        "late": False,
        "after": 1,
        "mass_g": Decimal("0.5"),
        "U_g": Decimal("0.18"),
        "heat": "none",
    }
    return RemovalFacts(id=id, part=part, zones=tuple(zones), cut_at=moment, **given | changes)


def fitment(id: int, part: str, place: int | None, **changes: Any) -> FitmentFacts:
    given: dict[str, Any] = {"fitted_at": at(2, 8), "fitted_by": "ines", "ended_at": None}
    return FitmentFacts(id=id, part=part, place=place, **given | changes)


def promise(tolerance: str = "1.0", r: str = "0", **changes: Any) -> PromiseFacts:
    given: dict[str, Any] = {
        "set_g": Decimal(tolerance),
        "big_end_g": Decimal(tolerance),
        "whole_rod_g": Decimal(tolerance),
        "promised_as": "spread",
        "readings": 2,
        "hangings": 2,
        "tolerance_class": "street",
        "tolerance_version": 1,
    }
    return PromiseFacts(guard_r=Decimal(r), **given | changes)


def build(layout_name: str = "v2-90", **changes: Any) -> BuildFacts:
    """A street build with nothing in it yet; `parts` may be a sequence of PartFacts."""
    given: dict[str, Any] = {
        "number": "B-1",
        "engine": "demo engine",
        "customer": "orla",
        "layout": layout_name,
        "use": "street",
        "balance": "neutral",
        "opened_at": OPENED,
        "cylinders": layout.named(layout_name),
        "promise": promise(),
        "shop": ShopFacts(1, "Ferrow Lane Balancing", "Ferrow", SHOP_ZONE, True, False),
        "rule_version": 1,
        "oil_g": Decimal(5),
        "fraction": Decimal("0.50"),
        "bob_range_g": Decimal("0.5"),
        "checklist_version": 1,
        "questions": (),
        "rod_length_mm": LENGTH_MM,
        "stroke_mm": Decimal(86),
        "event_day": None,
        "crank_in_job": None,
        "no_crank_reason": "",
        "fixture": None,
        "scales": {"S-02": scale()},
        "parts": {},
        "fitments": (),
        "weighings": (),
        "removals": (),
        "matches": (),
        "answers": (),
        "findings": (),
        "card": None,
    }
    given |= changes
    if not isinstance(given["parts"], dict):
        given["parts"] = {p.number: p for p in given["parts"]}
    return BuildFacts(**given)
