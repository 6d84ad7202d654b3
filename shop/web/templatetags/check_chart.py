"""A scale's daily checks at one load: each error, the usual ± 2 s and ± 3 s, the slow average.

The limit of the check itself is the heavy line: it alone fails a check. Before ten results there is
nothing else to draw.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django import template
from django.utils import timezone
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from records.queries.scales import ScalePage
from shop.web.drawing import DASHED, words
from shop.web.templatetags.figures import MINUS
from shop.web.templatetags.marks import SHAPES, TINTS

register = template.Library()
WIDTH, HEIGHT = 736.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 116.0, 12.0, 16.0, 48.0
MARK = 11.0
LINE = 19.0  # two labels nearer than this are pushed apart
MOST_POINTS = 120  # older ones are in the table


@dataclass(frozen=True)
class _Field:
    """Where an error and a result lie on the chart."""

    least_g: float
    most_g: float
    results: int

    def x(self, index: int) -> float:
        return LEFT + (index + 0.5) * (WIDTH - LEFT - RIGHT) / self.results

    def y(self, error_g: float) -> float:
        inside = min(max(error_g, self.least_g), self.most_g)
        share = (inside - self.least_g) / (self.most_g - self.least_g)
        return HEIGHT - BOTTOM - share * (HEIGHT - TOP - BOTTOM)


@register.simple_tag
def check_chart(page: ScalePage, index: int) -> SafeString:
    """Draw the history of one load, its newest results last."""
    history = page.histories[index]
    first = max(0, len(history.results) - MOST_POINTS)
    field = _field(history, first)
    parts = [*_lines(history, field), *_average(history, field, first)]
    parts += _points(history, field, first)
    parts += _axis(history, field, first)
    return format_html(
        '<div class="scroll"><svg class="chart" viewBox="0 0 {} {}" role="img">'
        "<title>{}</title>{}</svg></div>",
        f"{WIDTH:g}",
        f"{HEIGHT:g}",
        f"Errors of the checks at {history.load_g.normalize():f} g in order; {history.text}",
        format_html_join("", "{}", ((one,) for one in parts)),
    )


def _levels(history: Any) -> list[tuple[float, str, str]]:
    """Return each line's height in g, its label, and how it is drawn."""
    limit_g = float(history.results[-1].limit_g)
    levels = [(limit_g, "limit", "heavy"), (-limit_g, "limit", "heavy")]
    if history.chart is None:
        return [*levels, (0.0, "no error", "plain")]
    chart = history.chart.individuals
    return [
        *levels,
        (chart.centre, "usual", "plain"),
        (chart.high, "+3 s", "plain"),
        (chart.low, f"{MINUS}3 s", "plain"),
        (chart.warning_high, "+2 s", "dashed"),
        (chart.warning_low, f"{MINUS}2 s", "dashed"),
    ]


def _field(history: Any, first: int) -> _Field:
    """Show the limits and a little beyond; what lies further stands at the edge with its figure."""
    heights = [height for height, _, _ in _levels(history)]
    least, most = min(heights), max(heights)
    room = (most - least) * 0.12
    return _Field(least - room, most + room, len(history.results) - first)


def _lines(history: Any, field: _Field) -> Iterable[SafeString]:
    last = HEIGHT
    for height, label, kind in sorted(_levels(history)):
        y = field.y(height)
        yield format_html(
            '<line x1="{}" y1="{}" x2="{}" y2="{}" stroke="currentColor" stroke-width="{}"{}{}/>',
            f"{LEFT:g}",
            f"{y:.1f}",
            f"{WIDTH - RIGHT:g}",
            f"{y:.1f}",
            "2.4" if kind == "heavy" else "0.8",
            DASHED if kind == "dashed" else "",
            mark_safe(' class="tone-blocked"') if kind == "heavy" else "",
        )
        last = min(y + 5, last - LINE)
        yield words(LEFT - 8, last, f"{label} {_signed(height)}", "end")


def _average(history: Any, field: _Field, first: int) -> Iterable[SafeString]:
    if history.chart is None:
        return
    path = " ".join(
        f"{field.x(index):.1f},{field.y(average):.1f}"
        for index, average in enumerate(history.chart.ewma.points[first:])
    )
    yield format_html(
        '<polyline class="tint-quiet" points="{}" fill="none" stroke="currentColor" '
        'stroke-width="2"/>',
        path,
    )


def _points(history: Any, field: _Field, first: int) -> Iterable[SafeString]:
    spoken = {signal.at for signal in history.signals}
    for index, one in enumerate(history.results[first:]):
        state = "within" if one.passed else "blocked"
        state = "nearly" if one.passed and one.at in spoken else state
        yield format_html(
            '<g class="tint-{}" transform="translate({} {}) scale({})">{}</g>',
            TINTS[state],
            f"{field.x(index) - MARK / 2:.1f}",
            f"{field.y(float(one.error_g)) - MARK / 2:.1f}",
            f"{MARK / 16:.3f}",
            mark_safe(SHAPES[state]),  # noqa: S308 (our own shapes)
        )
        if not field.least_g <= one.error_g <= field.most_g:
            x, y = field.x(index) - MARK, field.y(float(one.error_g)) + 5
            yield words(x, y, _signed(float(one.error_g)), "end")


def _axis(history: Any, field: _Field, first: int) -> Iterable[SafeString]:
    shown = history.results[first:]
    y = HEIGHT - 26
    yield words(field.x(0), y, _day(shown[0].at), "start" if len(shown) > 1 else "middle")
    if len(shown) > 1:
        yield words(field.x(len(shown) - 1), y, _day(shown[-1].at), "end")
    middle = (LEFT + WIDTH - RIGHT) / 2
    legend = "checks in order, error in g"
    if history.chart is not None:
        legend += "; the line is their weighted average"
    yield words(middle, HEIGHT - 6, legend, "middle")


def _day(at: object) -> str:
    here = timezone.localtime(at)  # type: ignore[arg-type]
    return f"{here.day} {here:%b %Y}"


def _signed(error_g: float) -> str:
    rounded = f"{abs(error_g):.2g}"
    if float(rounded) == 0 or abs(error_g) < 5e-4:
        return "0"
    return f"{MINUS if error_g < 0 else '+'}{rounded}"
