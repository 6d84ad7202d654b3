"""The marks of a state: a shape for each, and the tone that goes with it.

Within is a filled dot, doubt a ring with a slash, heavy a triangle pointing down (take some off),
blocked a filled square. Each is told from the others in black and white.
"""

from __future__ import annotations

from math import sqrt

from records.documents.figures.drawing import Disc, Drawing, Item, Line, Shape, Tone

# verdict: (what it is called in a narrow column, tone)
VERDICTS: dict[str, tuple[tuple[str, ...], Tone]] = {
    "pass": (("pass",), Tone.FINE),
    "conditional pass": (("cond.", "pass"), Tone.CARE),
    "conditional fail": (("cond.", "fail"), Tone.CARE),
    "fail": (("fail",), Tone.BLOCKED),
}


def verdict_mark(verdict: str, x: float, y: float, radius: float) -> tuple[Item, ...]:
    """Return the shapes of a verdict, centred on a point."""
    tone = VERDICTS[verdict][1]
    if verdict == "pass":
        return (Disc(x, y, radius, tone),)
    if verdict == "conditional pass":
        return _ring_with_slash(x, y, radius, tone)
    return _triangle_down(x, y, radius, tone, filled=verdict == "fail")


def square_mark(x: float, y: float, radius: float) -> tuple[Item, ...]:
    """Return the filled square of something that must not be missed."""
    low, high, left, right = y - radius, y + radius, x - radius, x + radius
    corners = ((left, low), (right, low), (right, high), (left, high))
    return (Shape(corners, Tone.INK),)


def verdict_drawing(verdict: str, size: float) -> Drawing:
    """Return a verdict's mark alone, in a square of `size`."""
    half = size / 2
    return Drawing(size, size, verdict, "", verdict_mark(verdict, half, half, half * 0.8))


def _ring_with_slash(x: float, y: float, radius: float, tone: Tone) -> tuple[Item, ...]:
    reach = 1.5 * radius / sqrt(2)
    return (
        Disc(x, y, radius, tone, filled=False),
        Line(x - reach, y - reach, x + reach, y + reach, tone, weight=0.9),
    )


def _triangle_down(
    x: float, y: float, radius: float, tone: Tone, *, filled: bool
) -> tuple[Item, ...]:
    half = radius * 1.15
    corners = ((x - half, y + half * 0.8), (x + half, y + half * 0.8), (x, y - half))
    return (Shape(corners, tone, filled),)
