"""The spread of a kind: a strip of points, the promise as a band, U as whiskers, its table below.

The zero line is the lightest place, to which every difference is taken. Floats place the marks;
the numbers that are printed come from the exact decimals.
"""

from __future__ import annotations

from dataclasses import dataclass

from records.documents import wording
from records.documents.figures.drawing import Anchor, Area, Drawing, Item, Line, Tone, Words
from records.documents.figures.marks import VERDICTS, verdict_mark
from records.domain.practice.certificate import Judgement, PlaceJudged, Promise

LABELS_WIDTH = 66.0  # the column of words at the left
ROW = 9.5
SIZE = 7.0
MARK = 2.3
NARROW = 30.0  # a column of this width takes smaller figures, and two lines for two words


@dataclass(frozen=True)
class _Ground:
    """Where a gram and a place lie on the drawing."""

    left: float
    right: float
    bottom: float
    top: float
    least_g: float
    most_g: float
    places: int

    def y(self, grams: float) -> float:
        share = (grams - self.least_g) / (self.most_g - self.least_g)
        return self.bottom + share * (self.top - self.bottom)

    def x(self, index: int) -> float:
        return self.left + (index + 0.5) * (self.right - self.left) / self.places


def spread_chart(
    judgement: Judgement, promise: Promise, *, width: float, height: float = 118.0
) -> Drawing:
    """Return the chart of one kind, `width` by `height`, the table of its numbers included."""
    ground = _ground(judgement, promise, width, height)
    items: list[Item] = [*_band(ground, judgement, promise)]
    for index, place in enumerate(judgement["places"]):
        items += _point(ground, index, place)
    items += _table(ground, judgement)
    return Drawing(width, height, _title(judgement), _in_words(judgement, promise), tuple(items))


def acceptance_g(judgement: Judgement, promise: Promise) -> float:
    """Return the limit that the guard band leaves: tolerance less r times the greatest U."""
    greatest = max((float(place["U_g"] or 0) for place in judgement["places"]), default=0.0)
    return float(promise["tolerance_g"]) - float(promise["guard_r"]) * greatest


def _ground(judgement: Judgement, promise: Promise, width: float, height: float) -> _Ground:
    tolerance = float(promise["tolerance_g"])
    lows = [float(p["difference_g"]) - float(p["U_g"] or 0) for p in judgement["places"]]
    highs = [float(p["difference_g"]) + float(p["U_g"] or 0) for p in judgement["places"]]
    least, most = min(0.0, *lows), max(tolerance, *highs)
    room = (most - least) * 0.06
    return _Ground(
        left=LABELS_WIDTH,
        right=width,
        bottom=5 * ROW + 2,
        top=height - 4,
        least_g=least - room,
        most_g=most + room,
        places=len(judgement["places"]),
    )


def _band(ground: _Ground, judgement: Judgement, promise: Promise) -> list[Item]:
    tolerance, accept = float(promise["tolerance_g"]), acceptance_g(judgement, promise)
    low, high = ground.y(0), ground.y(tolerance)
    length = ground.right - ground.left
    limits = [(high, f"+{wording.plain(promise['tolerance_g'])} g promised"), (low, "0 lightest")]
    items: list[Item] = [
        Area(ground.left, low, length, high - low, Tone.BAND),
        Line(ground.left, low, ground.right, low, Tone.INK, 0.8),
        Line(ground.left, high, ground.right, high, Tone.INK, 0.8),
    ]
    if 0 < accept < tolerance:
        y = ground.y(accept)
        items.append(Line(ground.left, y, ground.right, y, Tone.QUIET, 0.7, dashed=True))
        limits.append((y, f"+{accept:.2f} g accepted"))
    return items + _apart(limits, ground.left - 4)


def _apart(labels: list[tuple[float, str]], x: float) -> list[Item]:
    """Hang labels beside their lines, pushed apart where two would touch."""
    words: list[Item] = []
    floor = -SIZE
    for y, text in sorted(labels):
        baseline = max(y - SIZE * 0.33, floor + SIZE)
        words.append(Words(x, baseline, text, SIZE, Tone.QUIET, Anchor.END))
        floor = baseline
    return words


def _point(ground: _Ground, index: int, place: PlaceJudged) -> list[Item]:
    x, grams = ground.x(index), float(place["difference_g"])
    items: list[Item] = []
    if place["U_g"] is not None:
        low, high = ground.y(grams - float(place["U_g"])), ground.y(grams + float(place["U_g"]))
        items.append(Line(x, low, x, high, Tone.INK, 0.8))
        items += [Line(x - 2, y, x + 2, y, Tone.INK, 0.8) for y in (low, high)]
    return items + list(verdict_mark(place["verdict"], x, ground.y(grams), MARK))


def _table(ground: _Ground, judgement: Judgement) -> list[Item]:
    rows = ("place", "difference, g", "± U, g", "conformance, %")
    items: list[Item] = [
        Words(ground.left - 4, ground.bottom - (i + 1) * ROW, row, SIZE, Tone.QUIET, Anchor.END)
        for i, row in enumerate((*rows, "verdict"))
    ]
    for index, place in enumerate(judgement["places"]):
        items += _column(ground, index, place, place["place"] == judgement["lightest_place"])
    return items


def _column(ground: _Ground, index: int, place: PlaceJudged, lightest: bool) -> list[Item]:
    cells = (
        str(place["place"]),
        wording.difference(place["difference_g"], place["U_g"], reference=lightest),
        wording.uncertainty(place["U_g"]),
        wording.chance(place["conformance_probability"]),
    )
    x, top = ground.x(index), ground.bottom
    narrow = (ground.right - ground.left) / ground.places < NARROW
    size = SIZE - 0.7 if narrow else SIZE
    items: list[Item] = [
        Words(x, top - (row + 1) * ROW, cell, size, anchor=Anchor.MIDDLE, bold=row == 0)
        for row, cell in enumerate(cells)
    ]
    lines, tone = VERDICTS[place["verdict"]]
    text = " ".join(lines)
    if len(lines) > 1 and narrow:
        return items + [
            Words(x, top - 5 * ROW + 1.5 - i * 6, line, 6, tone, Anchor.MIDDLE)
            for i, line in enumerate(lines)
        ]
    return [*items, Words(x, top - 5 * ROW, text, size, tone, Anchor.MIDDLE)]


def _title(judgement: Judgement) -> str:
    return wording.capital(f"{judgement['kind']}: difference to the lightest, by place")


def _in_words(judgement: Judgement, promise: Promise) -> str:
    points = (
        f"place {p['place']} {wording.difference(p['difference_g'], p['U_g'])} g"
        f" ± {wording.uncertainty(p['U_g'])} g, {p['verdict']}"
        for p in judgement["places"]
        if p["place"] != judgement["lightest_place"]
    )
    return (
        f"Promised spread {wording.plain(promise['tolerance_g'])} g; lightest is place"
        f" {judgement['lightest_place']}; {'; '.join(points)}."
    )
