"""Drawings on pages: an SVG string that takes its colours from the page, light or dark.

Every mark paints in `currentColor` and carries the class `tone-NAME`, so that the page's own style
sheet sets `color` per tone; without one the picture is complete in the text colour.
"""

from __future__ import annotations

from xml.sax.saxutils import escape, quoteattr

from records.documents.figures.drawing import Area, Disc, Drawing, Item, Line, Shape, Tone, Words


def svg(drawing: Drawing, *, identity: str) -> str:
    """Return the drawing as an inline SVG element.

    `identity` makes the ids of title and description unique on the page. The element has a viewBox
    and no size of its own; the page's style sheet gives it one.
    """
    inside = "".join(_item(item, drawing.height) for item in drawing.items)
    title, words = f"{identity}-title", f"{identity}-words"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" class="figure"'
        f' viewBox="0 0 {_n(drawing.width)} {_n(drawing.height)}"'
        f" aria-labelledby={quoteattr(f'{title} {words}')}>"
        f"<title id={quoteattr(title)}>{escape(drawing.title)}</title>"
        f"<desc id={quoteattr(words)}>{escape(drawing.description)}</desc>{inside}</svg>"
    )


def _item(item: Item, height: float) -> str:
    if isinstance(item, Line):
        return _line(item, height)
    if isinstance(item, Area):
        return (
            f'<rect class="tone-{item.tone}" x="{_n(item.x)}"'
            f' y="{_n(height - item.y - item.height)}" width="{_n(item.width)}"'
            f' height="{_n(item.height)}" fill="currentColor"{_faint(item.tone)}/>'
        )
    if isinstance(item, Words):
        return _words(item, height)
    return _mark(item, height)


def _line(line: Line, height: float) -> str:
    dash = ' stroke-dasharray="2.2 1.8"' if line.dashed else ""
    return (
        f'<line class="tone-{line.tone}" x1="{_n(line.x1)}" y1="{_n(height - line.y1)}"'
        f' x2="{_n(line.x2)}" y2="{_n(height - line.y2)}" stroke="currentColor"'
        f' stroke-width="{_n(line.weight)}"{dash}{_faint(line.tone)}/>'
    )


def _mark(mark: Disc | Shape, height: float) -> str:
    # an empty mark lets the page's ground through: `mark-empty` may give it that ground as a fill
    hollow = "" if mark.filled else " mark-empty"
    paint = (
        f'class="tone-{mark.tone}{hollow}" stroke="currentColor" stroke-width="0.9"'
        f' fill="{"currentColor" if mark.filled else "none"}"'
    )
    if isinstance(mark, Disc):
        x, y = _n(mark.x), _n(height - mark.y)
        return f'<circle {paint} cx="{x}" cy="{y}" r="{_n(mark.radius)}"/>'
    corners = " ".join(f"{_n(x)},{_n(height - y)}" for x, y in mark.corners)
    return f'<polygon {paint} points="{corners}"/>'


def _words(words: Words, height: float) -> str:
    bold = ' font-weight="700"' if words.bold else ""
    return (
        f'<text class="tone-{words.tone}" x="{_n(words.x)}" y="{_n(height - words.y)}"'
        f' font-size="{_n(words.size)}" text-anchor="{words.anchor}" fill="currentColor"{bold}>'
        f"{escape(words.text)}</text>"
    )


def _faint(tone: Tone) -> str:
    strength = {Tone.BAND: "0.1", Tone.HAIR: "0.35"}.get(tone)
    return f' opacity="{strength}"' if strength else ""


def _n(number: float) -> str:
    return f"{number:.2f}".rstrip("0").rstrip(".")
