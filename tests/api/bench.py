"""A bench in the test: scale S-02, parts with true masses, and Ines's hands, all through HTTP.

The scale shows the true mass rounded to 0.1 g. A cut takes from the true mass what the plan asked
for; what the shop learns of it, it learns by weighing.
"""

from __future__ import annotations

import csv
import io
from collections import defaultdict
from datetime import UTC, datetime, timedelta
from decimal import ROUND_HALF_EVEN, Decimal
from pathlib import Path
from typing import Any

from tests.api.caller import Caller

SHEET = (Path(__file__).parents[1] / "data" / "sheet_v8.csv").read_text(encoding="utf-8")
OUNCE = Decimal("28.349523125")
LENGTH_MM = Decimal("152.4")
TENTH = Decimal("0.1")
# within the tolerance by so much more than the plan asks at least, so that one cut does
SPARE_G = Decimal("0.3")
LAST_PLACE = 8


def fit_the_scale(marta: Caller, ines: Caller) -> None:
    """Book S-02 and its check weights, calibrate it, and check it on 2 to 6 March 2026."""
    steps = [{"unit": "g", "step": "0.1"}, {"unit": "oz", "step": "0.001"}]
    marta.done("scales", {"number": "S-02", "capacity_g": "2000", "steps": steps})
    points = [("0", "0.02"), ("500", "0.03"), ("1000", "0.04"), ("2000", "0.06")]
    marta.done(
        "scales/S-02/calibrations",
        {
            "certificate_number": "K-26-0115",
            "calibrated_on": "2026-01-15",
            "due_on": "2027-01-15",
            "as_left": [{"load_g": load, "error_g": "0", "U_g": U} for load, U in points],
            "repeatability": [{"load_g": load, "s_g": "0.03"} for load in ("500", "1000")],
        },
    )
    for nominal in ("500", "1000", "2000"):
        weight = {"number": f"W-{nominal}", "nominal_g": nominal, "accuracy_class": "M1"}
        marta.done("check-weights", weight)
    for day in range(2, 7):
        loads = [
            {"weights": [f"W-{nominal}"], "reading": {"value": f"{nominal}.0"}}
            for nominal in ("500", "1000", "2000")
        ]
        moment = f"2026-03-0{day}T07:00:00Z"
        assert ines.done("scales/S-02/checks", {"measured_at": moment, "loads": loads})["passed"]


class Bench:
    """Ines at the bench of one build: she weighs and cuts, and a clock of March 2026 goes on."""

    def __init__(self, ines: Caller, build: str) -> None:
        self.ines = ines
        self.at = f"builds/{build}"
        self.now = datetime(2026, 3, 3, 8, 0, tzinfo=UTC)
        self.masses: dict[tuple[str, str], Decimal] = true_masses()

    def later(self, **span: float) -> str:
        self.now += timedelta(**(span or {"minutes": 3}))
        return self.now.isoformat()

    def plan_of(self, kind: str) -> dict[str, Any]:
        steps = self.ines.seen(f"{self.at}/plan")["steps"]
        return next(step for step in steps if step["kind"] == kind)

    def bring_to_target(self, kind: str) -> None:
        """Cut what the plan says until it says that the kind matches, in three rounds at most."""
        for _ in range(3):
            step = self.plan_of(kind)
            if step["matches"]:
                return
            for place in step["places"]:
                self._cut_all(place)
        assert self.plan_of(kind)["matches"], self.plan_of(kind)

    def weigh(self, part: str, what: str) -> dict[str, Any]:
        """Weigh a part twice, an end hung anew each time, and close what is open elsewhere."""
        return self._weighed({"part": part, "what": what}, self.masses[part, what])

    def weigh_sets_together(self, sets: dict[int, list[str]]) -> None:
        for place, parts in sets.items():
            whole = sum((self.masses[part, "whole"] for part in parts), Decimal(0))
            self._weighed({"place": place, "what": "set"}, whole)

    def _cut_all(self, place: dict[str, Any]) -> None:
        part = place["part"]
        spare = SPARE_G
        for cut in place["plan"]["next_cuts"]:
            self._cut(part, cut, Decimal(cut["share_g"]) + spare)
            spare = Decimal(0)
        if place["plan"]["next_cuts"] and (part, "big end") in self.masses:
            self.weigh(part, "big end")

    def _cut(self, part: str, cut: dict[str, Any], mass_g: Decimal) -> None:
        body = {
            "part": part,
            "zones": [cut["zone"]],
            "method": "die grinder" if part.startswith("PA") else "belt linisher",
            "spread": "all round" if cut["spread"] == "any" else cut["spread"],
            "cut_at": self.later(),
        }
        removal = self.ines.done(f"{self.at}/removals", body)["id"]
        self._take(part, mass_g / 2, cut)
        shown = str(shown_g(self.masses[part, "whole"]))
        self.ines.done(f"{self.at}/removals/{removal}/passes", {"reading": {"value": shown}})
        self._take(part, mass_g / 2, cut)
        self.weigh(part, "whole")
        heat = "not too hot" if part.startswith("PA") else "none"
        closed = self.ines.done(f"{self.at}/removals/{removal}/close", {"heat": heat})
        assert abs(Decimal(closed["mass_g"]) - mass_g) <= Decimal("0.15")

    def _take(self, part: str, mass_g: Decimal, cut: dict[str, Any]) -> None:
        self.masses[part, "whole"] -= mass_g
        if (part, "big end") in self.masses:
            # the sides stand at the big end's centre, the eye at the small end's
            share = Decimal(1) if cut["zone"] == "rod-sides" else Decimal(0)
            self.masses[part, "big end"] -= mass_g * share

    def _weighed(self, of: dict[str, Any], true_g: Decimal) -> dict[str, Any]:
        shown = str(shown_g(true_g))
        answer: dict[str, Any] = self.ines.done(
            f"{self.at}/weighings",
            {
                **of,
                "scale": "S-02",
                "readings": [{"value": shown}, {"value": shown}],
                "measured_at": self.later(),
            },
        )
        assert answer["late"] and not answer["ahead"]
        assert not [told for told in answer["warnings"] if told.startswith("does not count")]
        return answer


def shown_g(true_g: Decimal) -> Decimal:
    """Return what the scale shows."""
    return true_g.quantize(TENTH, ROUND_HALF_EVEN)


def true_masses() -> dict[tuple[str, str], Decimal]:
    """Take each part's true mass as the mean of its readings on the sheet, by part and what."""
    readings: dict[tuple[str, str], list[Decimal]] = defaultdict(list)
    for row in csv.DictReader(io.StringIO(SHEET)):
        if row["serial"]:
            unit = OUNCE if row["unit"] == "oz" else Decimal(1)
            readings[row["serial"], row["what"]].append(Decimal(row["reading"]) * unit)
    return {of: sum(given, Decimal(0)) / len(given) for of, given in readings.items()}
