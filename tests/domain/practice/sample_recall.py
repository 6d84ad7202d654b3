"""A scale that was checked with 1 kg only, and found 0.3 g low at 500 g. Numbers invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from records.domain.practice.card import reckon_card
from records.domain.practice.facts import (
    BuildFacts,
    CardFacts,
    FitmentFacts,
    PinFacts,
    WeighingFacts,
)
from records.domain.practice.facts_of_parts import PartFacts
from records.domain.practice.facts_of_scales import Point, ScaleFacts
from records.domain.practice.recall_window import FoundOut, end_of_day, found_out
from tests.domain.practice.sample import (
    SHOP_ZONE,
    at,
    build,
    calibration,
    check,
    fitment,
    part,
    scale,
    weighing,
)

BAD, GOOD = "S-04", "S-02"
FOUND_ON = date(2026, 3, 20)
AS_FOUND = tuple(
    Point(Decimal(load), Decimal(error), Decimal("0.04"), Decimal(2))
    for load, error in ((0, "0"), (500, "-0.3"), (1000, "0"), (2000, "0"))
)
SET_KINDS = (("P", "piston", "447.0"), ("N", "pin", "116.0"), ("G", "ring set", "37.5"))


def bad_scale(**changes: Any) -> ScaleFacts:
    """S-04: right as left in January, checked each day with 1 kg, recalibrated on 20 March."""
    found = calibration(2, FOUND_ON, as_found=AS_FOUND, certificate_number="C-2")
    given: dict[str, Any] = {
        "calibrations": (calibration(1), found),
        "checks": tuple(check(day, at(day, 8), loads=(1000,)) for day in range(2, 12)),
    }
    return scale(BAD, **given | changes)


def the_window(of: ScaleFacts | None = None, **changes: Any) -> FoundOut:
    """What the calibration of 20 March found out."""
    given: dict[str, Any] = {
        "points": AS_FOUND,
        "until": end_of_day(FOUND_ON, SHOP_ZONE),
        "timezone": SHOP_ZONE,
        "calibration": 2,
    }
    return found_out(of or bad_scale(), **given | changes)


def two_sets(
    first_piston_on: str = BAD,
    *,
    heavier: str = "447.8",
    second_at: datetime | None = None,
    **changes: Any,
) -> BuildFacts:
    """Two sets weighed apart on S-04; the first place's piston, the lighter, where one says."""
    parts: list[PartFacts] = []
    fitments: list[FitmentFacts] = []
    weighings: list[WeighingFacts] = []
    for letter, kind, mass in SET_KINDS:
        for place in (1, 2):
            number, id = f"{letter}-{place}", len(weighings) + 1
            parts.append(part(number, kind))
            fitments.append(fitment(id, number, place))
            shown = heavier if (letter, place) == ("P", 2) else mass
            on = first_piston_on if (letter, place) == ("P", 1) else BAD
            moment = second_at if second_at and place == 2 else at(3)
            weighings.append(weighing(id, number, shown, shown, scale=on, measured_at=moment))
    given: dict[str, Any] = {
        "parts": parts,
        "fitments": tuple(fitments),
        "weighings": tuple(weighings),
        "scales": {BAD: bad_scale(), GOOD: scale(GOOD)},
    }
    return build("v2-90", **given | changes)


def with_rods_and_card(facts: BuildFacts) -> BuildFacts:
    """Two rods on one pin, weighed on S-04, and the card issued on 5 March."""
    parts, fitments, weighings = dict(facts.parts), [*facts.fitments], [*facts.weighings]
    for place in (1, 2):
        rod, shells = f"R-{place}", f"B-{place}"
        parts |= {rod: part(rod, "rod"), shells: part(shells, "bearing shells")}
        fitments += [fitment(40 + place, rod, place), fitment(50 + place, shells, place)]
        weighings += _rod(place, rod, shells)
    facts = replace(facts, parts=parts, fitments=tuple(fitments), weighings=tuple(weighings))
    card = reckon_card(facts)
    return replace(
        facts,
        card=CardFacts(
            id=1,
            revision=1,
            rule_version=1,
            oil_g=facts.oil_g,
            fraction=facts.fraction,
            issued_at=at(5, 12),
            operator="tomas",
            pins=tuple(
                PinFacts(
                    p.pin, p.rods, p.rotating_g, p.reciprocating_g, p.total_g, Decimal(str(p.U_g))
                )
                for p in card.pins
            ),
            sources=card.sources,
        ),
    )


def _rod(place: int, rod: str, shells: str) -> list[WeighingFacts]:
    whole, big, worn = (60 + place, 70 + place, 80 + place)
    given: dict[str, Any] = {"scale": BAD, "measured_at": at(3)}
    return [
        weighing(whole, rod, "520.0", "520.0", **given),
        weighing(big, rod, "370.0", "370.0", what="big end", **given),
        weighing(worn, shells, "45.0", "45.0", **given),
    ]
