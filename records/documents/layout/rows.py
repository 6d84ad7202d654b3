"""Ruled tables: a head that comes back on every page, hairlines between rows, no boxes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, LongTable, Table, TableStyle

from records.documents.figures.drawing import Drawing
from records.documents.figures.lettering import REGULAR
from records.documents.figures.marks import verdict_mark
from records.documents.figures.on_canvas import draw_on
from records.documents.layout import ink

FIGURE_SPACE, POINT_SPACE = "\N{FIGURE SPACE}", "\N{PUNCTUATION SPACE}"
LONGEST = 800  # letters; so many in the narrowest column still fit a page
GAP = 7.0  # between columns


@dataclass(frozen=True)
class Column:
    """A column: its head, its share of the width, and whether it holds numbers."""

    head: str
    share: float
    number: bool = False
    bold: bool = False


class VerdictCell(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """A verdict in a table: its mark, then its word."""

    def __init__(self, verdict: str) -> None:
        super().__init__()
        self.verdict = verdict
        self.words = ink.para(verdict, ink.CELL_BOLD)

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        _, self.height = self.words.wrap(width - 11, height)
        return width, self.height

    def draw(self) -> None:
        mark = verdict_mark(self.verdict, 3, self.height - 5.7, 2.6)
        draw_on(self.canv, Drawing(6, 6, self.verdict, "", mark))
        self.words.drawOn(self.canv, 11, 0)


Cell = str | VerdictCell


def ruled(
    columns: Sequence[Column],
    rows: Sequence[Sequence[Cell]],
    *,
    width: float,
    groups: Iterable[int] = (),
) -> Any:
    """Return a table of full `width`; `groups` are the rows above which the ruling is heavier."""
    whole = sum(column.share for column in columns)
    widths = [width * column.share / whole for column in columns]
    heads = [ink.para(c.head, ink.HEAD_NUMBER if c.number else ink.HEAD) for c in columns]
    body = [list(row) for row in zip(*_set_columns(columns, rows), strict=True)]
    # a row breaks inside itself, with its head twice, only where it could be higher than a page
    higher = any(len(cell) > LONGEST for row in rows for cell in row if isinstance(cell, str))
    table = LongTable(
        [heads, *body], colWidths=widths, repeatRows=1, splitInRow=int(higher), hAlign="LEFT"
    )
    table.setStyle(TableStyle(_ruling(len(rows), groups)))
    table.spaceBefore, table.spaceAfter = 2, 4
    return table


def facts_grid(facts: Sequence[tuple[str, str]], *, width: float, across: int) -> Any:
    """Return named facts as a grid, `across` to a row: the name quiet, what it is below it."""
    cells = [[ink.para(name, ink.HEAD), ink.para(what, ink.CELL)] for name, what in facts]
    cells += [[] for _ in range(-len(cells) % across)]
    rows = [cells[i : i + across] for i in range(0, len(cells), across)]
    grid = Table(rows, colWidths=[width / across] * across, hAlign="LEFT")
    grid.setStyle(TableStyle([*_BARE, ("LINEABOVE", (0, 0), (-1, -1), 0.3, ink.HAIR)]))
    grid.spaceAfter = 4
    return grid


_BARE: list[tuple[Any, ...]] = [
    ("FONTNAME", (0, 0), (-1, -1), REGULAR),  # else ReportLab names a face that is not embedded
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), GAP),
    ("TOPPADDING", (0, 0), (-1, -1), 1.4),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 1.8),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
]


def _ruling(count: int, groups: Iterable[int]) -> list[tuple[Any, ...]]:
    hair = [("LINEABOVE", (0, 2), (-1, -1), 0.3, ink.HAIR)] if count > 1 else []
    heavier = [
        ("LINEABOVE", (0, row + 1), (-1, row + 1), 0.6, ink.QUIET) for row in groups if row > 0
    ]
    return [
        *_BARE,
        ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
        ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
        *hair,
        *heavier,
        ("LINEBELOW", (0, 0), (-1, 0), 0.8, ink.INK),
        ("LINEBELOW", (0, -1), (-1, -1), 0.8, ink.INK),
    ]


def _set_columns(columns: Sequence[Column], rows: Sequence[Sequence[Cell]]) -> list[list[Any]]:
    return [_set_column(column, [row[i] for row in rows]) for i, column in enumerate(columns)]


def _set_column(column: Column, cells: list[Cell]) -> list[Any]:
    style = _cell_style(column)
    texts = _points_in_line(cells) if column.number else cells
    return [ink.para(cell, style) if isinstance(cell, str) else cell for cell in texts]


def _cell_style(column: Column) -> ParagraphStyle:
    if column.number:
        return ink.CELL_NUMBER
    return ink.CELL_BOLD if column.bold else ink.CELL


def _points_in_line(cells: list[Cell]) -> list[Cell]:
    """Fill numbers up at the right with figure spaces, so that their points stand in line."""
    tails = {cell: cell.partition(".")[2] for cell in cells if isinstance(cell, str)}
    longest = max((len(tail) for tail in tails.values()), default=0)
    return [_filled(cell, tails, longest) for cell in cells]


def _filled(cell: Cell, tails: dict[str, str], longest: int) -> Cell:
    if not isinstance(cell, str) or not any(letter.isdigit() for letter in cell):
        return cell
    missing = longest - len(tails[cell])
    point = POINT_SPACE if longest and not tails[cell] else ""
    return cell + point + FIGURE_SPACE * missing
