"""The demo's engines: true masses of their parts, invented and plausible."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from records.management.demo.bench import TruePart
from records.management.demo.numbers import BLACK_REACH, ORLA

LENGTH_MM = 152.4


@dataclass(frozen=True, slots=True)
class Engine:
    """An engine as the demo knows it; masses in g, spreads as half widths."""

    build: str
    name: str
    layout: str
    use: str
    customer: str
    mark: str  # begins the shop numbers of its parts
    places: int
    piston_g: float
    pin_g: float
    ring_set_g: float
    big_end_g: float
    small_end_g: float
    stroke_mm: Decimal
    rod_length_mm: Decimal
    seed: int


V8 = Engine(
    "26-014",
    "sprint boat, 90 degree V8, cross-plane crank",
    "v8-90",
    "competition",
    BLACK_REACH,
    "F",
    8,
    462.0,
    121.0,
    38.5,
    441.0,
    178.5,
    Decimal("88.4"),
    Decimal("152.4"),
    814,
)
I4 = Engine(
    "26-017",
    "hill-climb car, in-line four",
    "i4",
    "street",
    ORLA,
    "H",
    4,
    318.0,
    92.0,
    27.0,
    371.0,
    152.0,
    Decimal("79.5"),
    Decimal("138.0"),
    417,
)

SHARED = (("pin locks", "L"), ("bearing shells", "B"))
PER_PLACE = (("piston", "P"), ("pin", "N"), ("ring set", "G"), ("rod", "R"))


def parts_of(engine: Engine) -> dict[str, TruePart]:
    """Draw the true masses of an engine's parts, the same each time."""
    chance = random.Random(engine.seed)  # noqa: S311 (not a secret)
    found: dict[str, TruePart] = {}
    for place in range(1, engine.places + 1):
        for kind, letter in PER_PLACE:
            number = numbered(engine, letter, place)
            found[number] = _drawn(engine, kind, number, chance)
    found[numbered(engine, "L", 1)] = TruePart(numbered(engine, "L", 1), 2.36)
    found[numbered(engine, "B", 1)] = TruePart(numbered(engine, "B", 1), 45.1)
    return found


def numbered(engine: Engine, letter: str, place: int) -> str:
    """Return a shop number such as PF03: kind, engine, place."""
    return f"{letter}{engine.mark}{place:02d}"


def at_each_place(engine: Engine, letter: str) -> Sequence[str]:
    """Return the shop numbers of a kind in the order in which they came."""
    return [numbered(engine, letter, place) for place in range(1, engine.places + 1)]


def _drawn(engine: Engine, kind: str, number: str, chance: random.Random) -> TruePart:
    if kind == "rod":
        big_g = engine.big_end_g + chance.uniform(-1.1, 1.1)
        return TruePart(number, big_g + engine.small_end_g + chance.uniform(-0.6, 0.6), big_g)
    mass_g = {"piston": engine.piston_g, "pin": engine.pin_g, "ring set": engine.ring_set_g}[kind]
    half_g = {"piston": 2.2, "pin": 0.4, "ring set": 0.15}[kind]
    return TruePart(number, mass_g + chance.uniform(-half_g, half_g))
