"""Ink, measures and paragraph styles of our paper: one family, one bold, lines and no boxes."""

from __future__ import annotations

from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Paragraph

from records.documents.figures.drawing import Tone
from records.documents.figures.lettering import BOLD, REGULAR, marked
from records.documents.figures.on_canvas import TINTS

INK, QUIET, HAIR = (HexColor(TINTS[tone]) for tone in (Tone.INK, Tone.QUIET, Tone.HAIR))
GROUND = HexColor(TINTS[Tone.GROUND])

LEFT = RIGHT = 16 * mm
TOP, BOTTOM = 27 * mm, 15 * mm
NOTES_WIDTH, NOTES_GAP = 40 * mm, 10 * mm


def _style(name: str, size: float, leading: float, **more: Any) -> ParagraphStyle:
    given: dict[str, Any] = {"fontName": REGULAR, "textColor": INK, "splitLongWords": 1} | more
    return ParagraphStyle(name, fontSize=size, leading=leading, **given)


TITLE = _style("title", 20, 23.5, fontName=BOLD, spaceAfter=5)
HEADING = _style("heading", 12, 15, fontName=BOLD, spaceBefore=13, spaceAfter=3)
SMALL_HEADING = _style("small heading", 9, 11.5, fontName=BOLD, spaceBefore=6, spaceAfter=1)
BODY = _style("body", 9, 12, spaceAfter=3)
STATEMENT = _style("statement", 9, 12)
NOTE = _style("note", 7.8, 10.2, spaceAfter=2)
NOTE_HEADING = _style("note heading", 7.8, 10.2, fontName=BOLD, spaceBefore=7)
CELL = _style("cell", 8, 10)
CELL_BOLD = _style("cell bold", 8, 10, fontName=BOLD)
CELL_NUMBER = _style("cell number", 8, 10, alignment=TA_RIGHT)
HEAD = _style("head", 7.2, 9, textColor=QUIET)
HEAD_NUMBER = _style("head number", 7.2, 9, textColor=QUIET, alignment=TA_RIGHT)
STRIP = _style("strip", 11, 13, fontName=BOLD)
STRIP_SMALL = _style("strip small", 8, 10, textColor=QUIET)
STRIP_RIGHT = _style("strip right", 11, 13, fontName=BOLD, alignment=TA_RIGHT)
CODE = _style("code", 13, 16, fontName=BOLD)


def para(text: str, style: ParagraphStyle = BODY) -> Any:
    """Return a paragraph of plain text, every letter in a face that has it."""
    return Paragraph(marked(text, style.fontName), style)


def led(lead: str, text: str, style: ParagraphStyle = BODY) -> Any:
    """Return a paragraph that opens with a few words in bold."""
    return Paragraph(f'<font name="{BOLD}">{marked(lead, BOLD)}</font> {marked(text)}', style)
