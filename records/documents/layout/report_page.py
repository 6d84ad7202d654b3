"""The page of a report: the certificate's own strip and measures, over the full width."""

from __future__ import annotations

from io import BytesIO
from typing import Any

from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate

from records.documents.figures.lettering import printable
from records.documents.layout import ink
from records.documents.layout.page import Heading, demo_bar, page_number, put

UNSIGNED_DEMO = "DEMO: invented shop, people and numbers. It proves nothing."


class Report(BaseDocTemplate):  # type: ignore[misc]  # ReportLab carries no types
    """A report in the making: a strip on each page, a bookmark for each heading, page x of y."""

    def __init__(
        self,
        out: BytesIO,
        *,
        size: tuple[float, float],
        title: str,
        name: str,
        shop: tuple[str, str],
        demo: bool,
    ) -> None:
        super().__init__(out, pagesize=size, title=title, author=shop[0], creator="Tarebook")
        self.name, self.shop, self.demo = name, shop, demo
        self.full_width = size[0] - ink.LEFT - ink.RIGHT
        tall = size[1] - ink.TOP - ink.BOTTOM
        frame = Frame(ink.LEFT, ink.BOTTOM, self.full_width, tall, 0, 0, 0, 0, id="all")
        self.addPageTemplates([PageTemplate(id="all", frames=[frame], onPage=self._strip)])

    def beforeDocument(self) -> None:  # noqa: N802
        self.canv.showOutline()

    def afterFlowable(self, flowable: Any) -> None:  # noqa: N802
        if isinstance(flowable, Heading):
            key = f"section {flowable.bookmark}"
            self.canv.bookmarkPage(key)
            self.canv.addOutlineEntry(printable(flowable.bookmark), key, level=0)

    def afterPage(self) -> None:  # noqa: N802
        self.last_page = self.page

    def _strip(self, canvas: Any, _paper: Any) -> None:
        top, right = self.pagesize[1], ink.LEFT + self.full_width
        if self.demo:
            demo_bar(canvas, ink.LEFT, top - 20, self.full_width, UNSIGNED_DEMO)
        named = [ink.para(self.shop[0], ink.STRIP), ink.para(self.shop[1], ink.STRIP_SMALL)]
        put(canvas, named, (ink.LEFT, top - 55, self.full_width * 0.56, 29))
        wide = self.full_width * 0.4
        put(canvas, [ink.para(self.name, ink.STRIP_RIGHT)], (right - wide, top - 42, wide, 16))
        page_number(canvas, right, top - 51, self.page)
        canvas.setStrokeColor(ink.INK)
        canvas.setLineWidth(1.2)
        canvas.line(ink.LEFT, top - 58, right, top - 58)
