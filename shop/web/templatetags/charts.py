"""The spread of a kind: a strip of points, the promise as a band, U as a whisker.

The lightest place is the zero line. Each mark has the shape of its verdict; the table is beside.
"""

from __future__ import annotations

from dataclasses import dataclass

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from records.queries.build_page import BuildPage
from shop.web.drawing import line, mark_at, words
from shop.web.templatetags.marks import OF_A_VERDICT

register = template.Library()
WIDTH, HEIGHT = 736.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 150.0, 12.0, 16.0, 56.0
LINE = 20.0  # two labels nearer than this are pushed apart


@dataclass(frozen=True)
class Strip:
    """Where a gram and a place lie on the strip."""

    least_g: float
    most_g: float
    places: int

    def x(self, index: int) -> float:
        """Return the middle of a place."""
        return LEFT + (index + 0.5) * (WIDTH - LEFT - RIGHT) / self.places

    def y(self, grams: float) -> float:
        """Return the height of a difference."""
        share = (grams - self.least_g) / (self.most_g - self.least_g)
        return HEIGHT - BOTTOM - share * (HEIGHT - TOP - BOTTOM)


@register.simple_tag
def spread(page: BuildPage, index: int) -> SafeString:
    """Draw the spread of one judged kind."""
    kind = page.judgements[index]
    strip = _strip(page, index)
    inside = [_band(strip, float(kind.tolerance_g), _accepted(page, index)), _axis(strip)]
    for at, place in enumerate(kind.places):
        inside += [_whisker(strip, at, place.difference_g, place.U_g)]
        state = "light" if place.is_lightest else OF_A_VERDICT.get(str(place.verdict), "doubt")
        inside.append(mark_at(strip.x(at), strip.y(float(place.difference_g)), state))
        inside.append(words(strip.x(at), HEIGHT - 32, str(place.place), "middle"))
    return format_html(
        '<div class="scroll"><svg class="chart" viewBox="0 0 {} {}" role="img">'
        "<title>{}</title>{}</svg></div>",
        f"{WIDTH:g}",
        f"{HEIGHT:g}",
        f"{kind.kind.capitalize()}: difference to the lightest by place, promised spread "
        f"{float(kind.tolerance_g):g} g",
        format_html_join("", "{}", ((one,) for one in inside)),
    )


def _strip(page: BuildPage, index: int) -> Strip:
    kind = page.judgements[index]
    lows = [float(place.difference_g) - place.U_g for place in kind.places]
    highs = [float(place.difference_g) + place.U_g for place in kind.places]
    least, most = min(0.0, *lows), max(float(kind.tolerance_g), *highs)
    room = (most - least) * 0.05
    return Strip(least - room, most + room, len(kind.places))


def _accepted(page: BuildPage, index: int) -> float | None:
    """Return the limit that the guard band leaves, where there is one."""
    kind = page.judgements[index]
    accepted = float(kind.tolerance_g) - float(kind.guard_r) * max(p.U_g for p in kind.places)
    return accepted if 0 < accepted < float(kind.tolerance_g) else None


def _band(strip: Strip, tolerance_g: float, accepted_g: float | None) -> SafeString:
    top, bottom = strip.y(tolerance_g), strip.y(0)
    labels = [(bottom, "0 g, lightest"), (top, f"+{tolerance_g:g} g promised")]
    dashed = mark_safe("")
    if accepted_g is not None:
        labels.append((strip.y(accepted_g), f"+{accepted_g:.2f} g accepted"))
        dashed = line(LEFT, strip.y(accepted_g), WIDTH - RIGHT, strip.y(accepted_g), "dashed")
    return format_html(
        '<rect class="tone-band" x="{}" y="{}" width="{}" height="{}" fill="currentColor" '
        'opacity="0.13"/>{}{}{}{}',
        f"{LEFT:g}",
        f"{top:.1f}",
        f"{WIDTH - LEFT - RIGHT:g}",
        f"{bottom - top:.1f}",
        line(LEFT, top, WIDTH - RIGHT, top),
        line(LEFT, bottom, WIDTH - RIGHT, bottom),
        dashed,
        _labels(labels),
    )


def _labels(labels: list[tuple[float, str]]) -> SafeString:
    written, last = [], HEIGHT
    for y, text in sorted(labels, reverse=True):
        last = min(y + 5, last - LINE)
        written.append((words(LEFT - 8, last, text, "end"),))
    return format_html_join("", "{}", written)


def _axis(strip: Strip) -> SafeString:
    middle = (LEFT + WIDTH - RIGHT) / 2
    return words(middle, HEIGHT - 8, "place, in engine order; whiskers are U", "middle")


def _whisker(strip: Strip, at: int, difference_g: object, U_g: float) -> SafeString:
    if not U_g:
        return mark_safe("")
    grams, x = float(str(difference_g)), strip.x(at)
    low, high = strip.y(grams - U_g), strip.y(grams + U_g)
    ends = [line(x - 5, y, x + 5, y) for y in (low, high)]
    return format_html("{}{}{}", line(x, low, x, high), *ends)
