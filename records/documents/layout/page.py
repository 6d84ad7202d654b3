"""The page: an identity strip at the top of each, notes in the right margin of the first."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from typing import Any

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    ActionFlowable,
    BaseDocTemplate,
    CondPageBreak,
    Frame,
    KeepInFrame,
    PageTemplate,
    Paragraph,
)

from records.documents.figures.lettering import BOLD, REGULAR, marked, printable
from records.documents.layout import ink
from records.documents.wording import moment
from records.domain.practice.certificate import CertificateFacts

CERTIFICATE = "Balance certificate"
SIGNED_DEMO = "DEMO: invented shop, people and numbers, signed with a demo key. It proves nothing."


class Heading(Paragraph):  # type: ignore[misc]  # ReportLab carries no types
    """A heading that is also a bookmark."""

    def __init__(self, text: str) -> None:
        super().__init__(marked(text, BOLD), ink.HEADING)
        self.bookmark = text


def section(text: str) -> list[Any]:
    """Open a section; its heading never stands alone at the foot of a page."""
    return [CondPageBreak(90), Heading(text)]


class LeaveFirstPage(ActionFlowable):  # type: ignore[misc]  # ReportLab carries no types
    """Turn the page, unless the first page's own matter has already run over."""

    def apply(self, paper: Any) -> None:
        if paper.page == 1:
            paper.handle_pageBreak()


class Paper(BaseDocTemplate):  # type: ignore[misc]  # ReportLab carries no types
    """A certificate in the making: two page templates, bookmarks, page x of y."""

    def __init__(
        self,
        out: BytesIO,
        facts: CertificateFacts,
        *,
        size: tuple[float, float],
        notes: list[Any],
        attach: Callable[[Any], None],
    ) -> None:
        super().__init__(out, pagesize=size, **_metadata(facts))
        self.facts, self.notes, self.attach = facts, notes, attach
        width, height = size
        self.full_width = width - ink.LEFT - ink.RIGHT
        self.main_width = self.full_width - ink.NOTES_WIDTH - ink.NOTES_GAP
        tall = height - ink.TOP - ink.BOTTOM
        self.addPageTemplates(
            [
                _template("first", self.main_width, tall, self._first),
                _template("later", self.full_width, tall, self._strip),
            ]
        )

    def beforeDocument(self) -> None:  # noqa: N802
        canvas = self.canv
        canvas._doc._timeStamp = _Stamp(self.facts["certificate"]["released_at"])
        canvas.showOutline()
        self.attach(canvas)

    def afterFlowable(self, flowable: Any) -> None:  # noqa: N802
        text = getattr(flowable, "bookmark", None)
        if text:
            key = f"section {text}"
            self.canv.bookmarkPage(key)
            self.canv.addOutlineEntry(printable(text), key, level=0)

    def afterPage(self) -> None:  # noqa: N802
        self.last_page = self.page

    def _first(self, canvas: Any, _paper: Any) -> None:
        self._strip(canvas, _paper)
        x = ink.LEFT + self.main_width + ink.NOTES_GAP
        tall = self.pagesize[1] - ink.TOP - ink.BOTTOM
        canvas.setStrokeColor(ink.HAIR)
        canvas.setLineWidth(0.5)
        canvas.line(x - ink.NOTES_GAP / 2, ink.BOTTOM, x - ink.NOTES_GAP / 2, ink.BOTTOM + tall)
        put(canvas, self.notes, (x, ink.BOTTOM, ink.NOTES_WIDTH, tall))

    def _strip(self, canvas: Any, _paper: Any) -> None:
        top = self.pagesize[1]
        right = ink.LEFT + self.full_width
        half = self.full_width * 0.56
        shop, number = self.facts["shop"], self.facts["certificate"]
        if self.facts["demo"]:
            demo_bar(canvas, ink.LEFT, top - 20, self.full_width)
        put(
            canvas,
            [ink.para(shop["name"], ink.STRIP), ink.para(shop["place"], ink.STRIP_SMALL)],
            (ink.LEFT, top - 55, half, 29),
        )
        name = f"{number['number']}, revision {number['revision']}"
        put(
            canvas,
            [ink.para(name, ink.STRIP_RIGHT)],
            (right - self.full_width * 0.4, top - 42, self.full_width * 0.4, 16),
        )
        page_number(canvas, right, top - 51, self.page)
        canvas.setStrokeColor(ink.INK)
        canvas.setLineWidth(1.2)
        canvas.line(ink.LEFT, top - 58, right, top - 58)


def write_page_numbers(canvas: Any, pages: int, kind: str = CERTIFICATE) -> None:
    """Fill in page x of y on every page, once the last is known."""
    for page in range(1, pages + 1):
        canvas.beginForm(_number_form(page), -200, -3, 0, 12)
        canvas.setFont(REGULAR, 8)
        canvas.setFillColor(ink.QUIET)
        canvas.drawRightString(0, 0, f"{kind}, page {page} of {pages}")
        canvas.endForm()


def counted_canvas(paper: Any, language: str, kind: str = CERTIFICATE) -> Callable[..., Canvas]:
    """Return a maker of deterministic canvases that know their page count when they are saved."""

    class Counted(Canvas):  # type: ignore[misc]  # ReportLab carries no types
        def save(self) -> None:
            write_page_numbers(self, paper.last_page, kind)
            super().save()

    fixed = {"invariant": 1, "lang": language, "initialFontName": REGULAR}

    def make(*given: Any, **named: Any) -> Canvas:
        return Counted(*given, **(named | fixed))

    return make


def _number_form(page: int) -> str:
    return f"page{page}"


def page_number(canvas: Any, right: float, y: float, page: int) -> None:
    """Leave room for page x of y, which `write_page_numbers` fills in at the end."""
    canvas.saveState()
    canvas.translate(right, y)
    canvas.doForm(_number_form(page))
    canvas.restoreState()


def demo_bar(canvas: Any, x: float, y: float, width: float, words: str = SIGNED_DEMO) -> None:
    """Say in a dark bar that nothing here is real."""
    canvas.setFillColor(ink.INK)
    canvas.rect(x, y - 4, width, 14, stroke=0, fill=1)
    canvas.setFillColor(ink.GROUND)
    canvas.setFont(BOLD, 9)
    canvas.drawString(x + 5, y, words)


def put(canvas: Any, flowables: list[Any], box: tuple[float, float, float, float]) -> None:
    """Set flowables in a box of the page, made smaller where they would not fit."""
    x, y, width, height = box
    frame = Frame(x, y, width, height, 0, 0, 0, 0)
    frame.addFromList([KeepInFrame(width, height, flowables, mode="shrink")], canvas)


def _template(name: str, width: float, height: float, drawn: Callable[..., None]) -> Any:
    frame = Frame(ink.LEFT, ink.BOTTOM, width, height, 0, 0, 0, 0, id=name)
    return PageTemplate(id=name, frames=[frame], onPage=drawn)


def _metadata(facts: CertificateFacts) -> dict[str, str]:
    certificate, build = facts["certificate"], facts["build"]
    demo = "DEMO " if facts["demo"] else ""
    return {
        "title": f"{demo}Balance certificate {certificate['number']},"
        f" revision {certificate['revision']}",
        "author": facts["shop"]["name"],
        "subject": f"Build {build['number']}: what was measured and done",
        "creator": "Tarebook",
    }


class _Stamp:
    """The moment of release as ReportLab dates a document: no clock is read."""

    def __init__(self, released_at: str) -> None:
        at = moment(released_at)
        self.t = at.timestamp()
        self.lt = at.timetuple()
        self.YMDhms = tuple(self.lt)[:6]
        self.dhh = self.dmm = 0
        self.tzname = "UTC"
