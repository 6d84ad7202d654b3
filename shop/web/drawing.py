"""Strokes and words that our charts are made of, in the ink of the page."""

from __future__ import annotations

from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString, mark_safe

from shop.web.templatetags.marks import SHAPES, TINTS

MARK = 16.0
DASHED = mark_safe(' stroke-dasharray="6 5"')


def line(x1: float, y1: float, x2: float, y2: float, kind: str = "") -> SafeString:
    """Draw a line; any kind but "" is dashed."""
    return format_html(
        '<line x1="{}" y1="{}" x2="{}" y2="{}" stroke="currentColor" stroke-width="1.2"{}/>',
        f"{x1:.1f}",
        f"{y1:.1f}",
        f"{x2:.1f}",
        f"{y2:.1f}",
        DASHED if kind else "",
    )


def mark_at(x: float, y: float, state: str) -> SafeString:
    """Draw a state's shape round a point."""
    return format_html(
        '<g class="tint-{}" transform="translate({} {})">{}</g>',
        TINTS[state],
        f"{x - MARK / 2:.1f}",
        f"{y - MARK / 2:.1f}",
        mark_safe(SHAPES[state]),  # noqa: S308 (our own shapes)
    )


def words(x: float, y: float, text: str, anchor: str) -> SafeString:
    """Write words that start, end, or have their middle at a point."""
    return format_html(
        '<text x="{}" y="{}" text-anchor="{}" fill="currentColor">{}</text>',
        f"{x:.1f}",
        f"{y:.1f}",
        anchor,
        conditional_escape(text),
    )
