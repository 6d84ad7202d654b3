"""A QR code as one path, which prints in half the time of one rectangle a module."""

from __future__ import annotations

from typing import Any

import segno
from reportlab.platypus import Flowable

QUIET_ZONE = 4  # modules of white around (ISO/IEC 18004, from memory)


class QrCode(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """A QR code of error level M that links where it points.

    Its dark square fills `size`; the white around it is the page's, four modules wide, so the
    layout must leave that much (`quiet`) free.
    """

    def __init__(self, text: str, size: float) -> None:
        super().__init__()
        self.text, self.size = text, size
        self.rows = [bytes(row) for row in segno.make(text, error="m", micro=False).matrix]
        self.module = size / len(self.rows)
        self.quiet = QUIET_ZONE * self.module

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.size, self.size + self.quiet

    def draw(self) -> None:
        path = self.canv.beginPath()
        for row, modules in enumerate(self.rows):
            y = self.quiet + self.size - (row + 1) * self.module
            for start, length in dark_runs(modules):
                path.rect(start * self.module, y, length * self.module, self.module)
        self.canv.setFillGray(0)
        self.canv.drawPath(path, stroke=0, fill=1)
        link(self.canv, self.text, (0, self.quiet, self.size, self.size + self.quiet))


def dark_runs(modules: bytes) -> list[tuple[int, int]]:
    """Return (start, length) of each run of dark modules in a row."""
    runs: list[tuple[int, int]] = []
    start = -1
    for index, dark in enumerate((*modules, 0)):
        if dark and start < 0:
            start = index
        elif not dark and start >= 0:
            runs.append((start, index - start))
            start = -1
    return runs


def link(canvas: Any, address: str, box: tuple[float, float, float, float]) -> None:
    """Make a box of the page lead to an address, without a frame."""
    canvas.linkURL(address, box, relative=1, thickness=0)
