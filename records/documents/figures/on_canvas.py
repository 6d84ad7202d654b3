"""Drawings on paper: the ReportLab back end."""

from __future__ import annotations

from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from records.documents.figures.drawing import (
    Anchor,
    Area,
    Disc,
    Drawing,
    Item,
    Line,
    Shape,
    Tone,
    Words,
)
from records.documents.figures.lettering import BOLD, REGULAR

TINTS: dict[Tone, str] = {
    Tone.INK: "#1b2024",
    Tone.QUIET: "#4b5157",
    Tone.HAIR: "#b4b8bb",
    Tone.BAND: "#e9edea",
    Tone.FINE: "#1f5130",
    Tone.CARE: "#6b4200",
    Tone.BLOCKED: "#8c1d18",
    Tone.GROUND: "#ffffff",
}
_COLOURS = {tone: HexColor(tint) for tone, tint in TINTS.items()}


class Figure(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """A drawing in the flow of a page."""

    def __init__(self, drawing: Drawing) -> None:
        super().__init__()
        self.drawing = drawing
        self.width, self.height = drawing.width, drawing.height

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.drawing.width, self.drawing.height

    def draw(self) -> None:
        draw_on(self.canv, self.drawing)


def draw_on(canvas: Any, drawing: Drawing, x: float = 0, y: float = 0) -> None:
    """Draw with the lower left corner at a point of the page."""
    canvas.saveState()
    canvas.translate(x, y)
    for item in drawing.items:
        _draw(canvas, item)
    canvas.restoreState()


def _draw(canvas: Any, item: Item) -> None:
    if isinstance(item, Words):
        _words(canvas, item)
        return
    colour = _COLOURS[item.tone]
    canvas.setStrokeColor(colour)
    canvas.setFillColor(colour)
    if isinstance(item, Line):
        _line(canvas, item)
    elif isinstance(item, Area):
        canvas.rect(item.x, item.y, item.width, item.height, stroke=0, fill=1)
    else:
        _mark(canvas, item)


def _line(canvas: Any, line: Line) -> None:
    canvas.setLineWidth(line.weight)
    canvas.setDash([2.2, 1.8] if line.dashed else [])
    canvas.line(line.x1, line.y1, line.x2, line.y2)


def _mark(canvas: Any, mark: Disc | Shape) -> None:
    canvas.setLineWidth(0.9)
    canvas.setDash([])
    if not mark.filled:
        canvas.setFillColor(_COLOURS[Tone.GROUND])
    if isinstance(mark, Disc):
        canvas.circle(mark.x, mark.y, mark.radius, stroke=1, fill=1)
        return
    path = canvas.beginPath()
    path.moveTo(*mark.corners[0])
    for corner in mark.corners[1:]:
        path.lineTo(*corner)
    path.close()
    canvas.drawPath(path, stroke=1, fill=1)


def _words(canvas: Any, words: Words) -> None:
    canvas.setFillColor(_COLOURS[words.tone])
    canvas.setFont(BOLD if words.bold else REGULAR, words.size)
    draw = {
        Anchor.START: canvas.drawString,
        Anchor.MIDDLE: canvas.drawCentredString,
        Anchor.END: canvas.drawRightString,
    }[words.anchor]
    draw(words.x, words.y, words.text)
