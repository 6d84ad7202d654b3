"""The V8 of the bench sheet as facts, and builds that go on from another."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import groupby
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from records.domain.practice.facts import BuildFacts, FitmentFacts, WeighingFacts
from records.domain.practice.facts_of_parts import PartFacts
from tests.domain.practice.sample import (
    SHOP_ZONE,
    at,
    build,
    fitment,
    part,
    reading,
    removal,
    weighing,
)

SHEET = Path(__file__).parents[2] / "data" / "sheet_v8.csv"


def sheet_build(**changes: Any) -> BuildFacts:
    """The V8 of tests/data/sheet_v8.csv: every row in, nothing cut yet."""
    rows = [row for row in csv.DictReader(SHEET.open(encoding="utf-8-sig")) if row["serial"]]
    parts: dict[str, PartFacts] = {}
    fitments: list[FitmentFacts] = []
    weighings: list[WeighingFacts] = []
    for (serial, what), group in groupby(rows, lambda row: (row["serial"], row["what"])):
        lines = list(group)
        if serial not in parts:
            parts[serial] = part(serial, lines[0]["part"])
            place = int(lines[0]["place"]) if lines[0]["place"] else None
            fitments.append(fitment(len(fitments) + 1, serial, place, fitted_at=at(2, 7)))
        taken = [
            reading(line["reading"], line["unit"], i if what == "big end" else None)
            for i, line in enumerate(lines, start=1)
        ]
        local = datetime.fromisoformat(lines[0]["measured at"]).replace(tzinfo=ZoneInfo(SHOP_ZONE))
        moment = local.astimezone(UTC)
        weighings.append(
            weighing(len(weighings) + 1, serial, *taken, what=what, measured_at=moment)
        )
    given: dict[str, Any] = {
        "parts": parts,
        "fitments": tuple(fitments),
        "weighings": tuple(weighings),
    }
    return build("v8-90", **given | changes)


def cut_to(
    facts: BuildFacts, number: str, mass: str, moment: datetime, *, zones: Sequence[int] = (11,)
) -> BuildFacts:
    """Cut a part and weigh it again an hour later at this mass; the ends are not weighed again."""
    before = next(w for w in reversed(facts.weighings) if w.part == number and w.what == "whole")
    id = max(w.id for w in facts.weighings) + 1
    after = weighing(id, number, mass, mass, measured_at=moment + timedelta(hours=1))
    taken = before.mean_g - after.mean_g
    cut = removal(
        len(facts.removals) + 1, number, zones, moment, before=before.id, after=id, mass_g=taken
    )
    return replace(facts, weighings=(*facts.weighings, after), removals=(*facts.removals, cut))


def with_weighings(facts: BuildFacts, *more: WeighingFacts) -> BuildFacts:
    """The same build with more weighings, in the order they were made."""
    every = sorted((*facts.weighings, *more), key=lambda w: w.measured_at)
    return replace(facts, weighings=tuple(every))
