"""A bench with simulated scales: parts have a true mass, and a scale shows it in its own steps."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import ROUND_HALF_EVEN, Decimal

from records.actions.clock import SetClock
from records.actions.reading import ReadingGiven
from records.actions.removals import Cut, close_removal, open_removal
from records.actions.scale_checks import Load, record_scale_check
from records.actions.weighings import WeighingGiven, record_weighing
from records.management.demo.numbers import CHECK_WEIGHTS, COARSE, FINE, WORN
from records.management.demo.worn_scale import error_g
from records.models import Weighing

STEP_G = {FINE: Decimal("0.01"), COARSE: Decimal("0.1"), WORN: Decimal("0.01")}
SCATTER_G = {FINE: 0.005, COARSE: 0.03, WORN: 0.005}
CONTACT_G = 0.03  # of a hung end, from one hanging to the next


@dataclass
class TruePart:
    """What only the simulation knows: a part's mass and, of a rod, its big end's share of it."""

    number: str
    mass_g: float
    big_end_g: float = 0.0


@dataclass(frozen=True, slots=True)
class CutMade:
    """A cut in one zone; `big_end_share` is what of its mass the big end shows less."""

    part: str
    zone: str
    method: str
    spread: str
    mass_g: float
    heat: str
    big_end_share: float = 0.0


@dataclass
class Bench:
    """Someone at a bench with a scale, working on one build."""

    build: str
    scale: str
    who: str
    clock: SetClock
    parts: dict[str, TruePart]
    hangings: int
    worn_since: datetime | None = None
    chance: random.Random = field(default_factory=lambda: random.Random(26_014))  # noqa: S311

    def check_scale(self, weights: Mapping[str, str] = CHECK_WEIGHTS) -> None:
        """Put check weights on, one after the other."""
        loads = [Load([number], self._shown(float(nominal))) for number, nominal in weights.items()]
        record_scale_check(by=self.who, scale=self.scale, loads=loads, clock=self.clock)
        self.clock.forward(minutes=6)

    def weigh(self, number: str) -> Weighing:
        """Weigh a part whole, twice."""
        mass_g = self.parts[number].mass_g
        return self._record(
            WeighingGiven(
                what="whole",
                part=number,
                scale=self.scale,
                readings=[self._shown(mass_g), self._shown(mass_g)],
            )
        )

    def hang(self, number: str) -> Weighing:
        """Weigh a rod's big end, hung anew each time."""
        mass_g = self.parts[number].big_end_g
        return self._record(
            WeighingGiven(
                what="big end",
                part=number,
                scale=self.scale,
                readings=[
                    self._shown(mass_g, CONTACT_G, hanging)
                    for hanging in range(1, self.hangings + 1)
                ],
            )
        )

    def weigh_set(self, place: int, numbers: Sequence[str]) -> Weighing:
        """Weigh a place's set together, twice."""
        mass_g = sum(self.parts[number].mass_g for number in numbers)
        return self._record(
            WeighingGiven(
                what="set",
                place=place,
                scale=self.scale,
                readings=[self._shown(mass_g), self._shown(mass_g)],
            )
        )

    def cut(self, made: CutMade) -> None:
        """Take metal off in one zone, weigh again, and close the removal."""
        opened = open_removal(
            by=self.who,
            build=self.build,
            cut=Cut(made.part, [made.zone], made.method, made.spread),
            clock=self.clock,
        )
        part = self.parts[made.part]
        part.mass_g -= made.mass_g
        part.big_end_g -= made.mass_g * made.big_end_share
        self.clock.forward(minutes=7)
        self.weigh(made.part)
        close_removal(
            by=self.who,
            build=self.build,
            removal=opened.pk,
            heat=made.heat,
            clock=self.clock,
        )
        self.clock.forward(minutes=1)

    def _record(self, given: WeighingGiven) -> Weighing:
        row = record_weighing(by=self.who, build=self.build, given=given, clock=self.clock)
        self.clock.forward(minutes=2)
        return row

    def _shown(
        self, mass_g: float, contact_g: float = 0.0, hanging: int | None = None
    ) -> ReadingGiven:
        off_g = self.chance.gauss(0, SCATTER_G[self.scale]) + self.chance.gauss(0, contact_g)
        if self.scale == WORN and self.worn_since:
            off_g += error_g(mass_g, self.clock.now() - self.worn_since)
        step_g = STEP_G[self.scale]
        steps = (Decimal(mass_g + off_g) / step_g).to_integral(ROUND_HALF_EVEN)
        return ReadingGiven(format(steps * step_g, "f"), "g", hanging=hanging)
