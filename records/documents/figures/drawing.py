"""A drawing that knows neither paper nor screen: marks at points, y upward, tones by name.

Lengths are points (1/72 inch) on paper and user units in SVG. A tone is a meaning; each back end
gives it its own tint, and no meaning rests on the tint alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Tone(StrEnum):
    """What a stroke or a fill means."""

    INK = "ink"
    QUIET = "quiet"
    HAIR = "hair"  # ruling
    BAND = "band"  # the promise, as an area
    FINE = "fine"
    CARE = "care"
    BLOCKED = "blocked"
    GROUND = "ground"  # the paper itself, inside an empty mark


class Anchor(StrEnum):
    """Where a text hangs from its point."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True)
class Line:
    """A straight stroke."""

    x1: float
    y1: float
    x2: float
    y2: float
    tone: Tone = Tone.INK
    weight: float = 0.7
    dashed: bool = False


@dataclass(frozen=True)
class Area:
    """A filled rectangle."""

    x: float
    y: float
    width: float
    height: float
    tone: Tone


@dataclass(frozen=True)
class Disc:
    """A circle, filled or empty."""

    x: float
    y: float
    radius: float
    tone: Tone
    filled: bool = True


@dataclass(frozen=True)
class Shape:
    """A closed polygon, filled or empty."""

    corners: tuple[tuple[float, float], ...]
    tone: Tone
    filled: bool = True


@dataclass(frozen=True)
class Words:
    """A line of text on its baseline."""

    x: float
    y: float
    text: str
    size: float
    tone: Tone = Tone.INK
    anchor: Anchor = Anchor.START
    bold: bool = False


Item = Line | Area | Disc | Shape | Words


@dataclass(frozen=True)
class Drawing:
    """A picture of fixed size, with what it shows said in words."""

    width: float
    height: float
    title: str
    description: str
    items: tuple[Item, ...]
