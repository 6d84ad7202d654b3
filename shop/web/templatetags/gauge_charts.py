"""A gauge study drawn: by part, by person, and what each component makes of the whole.

Each reading is drawn as its difference to its part's mean over everyone, which is the zero line, so
that what scale and people add shows beside parts of any mass.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from records.queries.gauge_studies import GaugeResults, GaugeStudyPage
from shop.web.drawing import line, words

register = template.Library()
WIDTH, HEIGHT = 736.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 96.0, 12.0, 20.0, 56.0
ROW, NAMES = 58.0, 230.0
ROOM_FOR_A_NAME = 22.0
BANDS = (10, 30)
MINUS = "\N{MINUS SIGN}"


@dataclass(frozen=True, slots=True)
class Point:
    """A reading as drawn: of which part, by whom, and how far from its part's mean."""

    part: str
    person: str
    off_g: float


@dataclass(frozen=True, slots=True)
class Field:
    """Where a difference lies, and the middle of each of so many columns."""

    most_g: float
    columns: int

    def x(self, index: float) -> float:
        """Return the middle of a column."""
        return LEFT + (index + 0.5) * (WIDTH - LEFT - RIGHT) / self.columns

    def y(self, grams: float) -> float:
        """Return the height of a difference."""
        middle, half = (TOP + HEIGHT - BOTTOM) / 2, (HEIGHT - BOTTOM - TOP) / 2
        return middle - grams / self.most_g * half


@register.simple_tag
def by_part(page: GaugeStudyPage, names: Mapping[str, str]) -> SafeString:
    """Draw each part's readings, a column of the part for each person, marked by their number."""
    points = _points(page)
    parts = sorted({point.part for point in points}, key=_as_counted)
    people = list(page.row.people)
    field = Field(_most(points), len(parts) * (len(people) + 1))
    step = len(people) + 1
    inside = [_frame(field)]
    for at, part in enumerate(parts):
        for beside, person in enumerate(people):
            x = field.x(at * step + beside + 0.5)
            of_both = (p for p in points if (p.part, p.person) == (part, person))
            inside += [_dot(x, field.y(point.off_g), beside) for point in of_both]
        if at:
            inside.append(_parting(field.x(at * step - 0.5)))
        if field.x(step) - field.x(0) >= ROOM_FOR_A_NAME or len(parts) <= len(people):
            middle = field.x(at * step + (len(people) - 1) / 2 + 0.5)
            inside.append(words(middle, HEIGHT - 34, _short(part), "middle"))
    told = ", ".join(f"{_shape(n)} {names.get(one, one)}" for n, one in enumerate(people))
    inside.append(words((LEFT + WIDTH) / 2, HEIGHT - 8, f"part; {told}", "middle"))
    return _chart("Readings by part: difference to the part's mean", inside, HEIGHT)


@register.simple_tag
def by_person(page: GaugeStudyPage, names: Mapping[str, str]) -> SafeString:
    """Draw each person's readings, and their mean as a line."""
    points, people = _points(page), list(page.row.people)
    field = Field(_most(points), len(people))
    inside = [_frame(field)]
    for at, person in enumerate(people):
        theirs = [point.off_g for point in points if point.person == person]
        wide = (WIDTH - LEFT - RIGHT) / len(people)
        for n, off_g in enumerate(theirs):
            x = field.x(at) + (n / max(1, len(theirs) - 1) - 0.5) * wide * 0.6
            inside.append(_dot(x, field.y(off_g), at))
        mean_g = fmean(theirs)
        y = field.y(mean_g)
        inside.append(line(field.x(at) - wide * 0.38, y, field.x(at) + wide * 0.38, y))
        name = names.get(person, person)
        inside.append(words(field.x(at), HEIGHT - 34, f"{name}, mean {_signed(mean_g)}", "middle"))
    axis = "person, readings in their order; the line is the person's mean"
    inside.append(words((LEFT + WIDTH) / 2, HEIGHT - 8, axis, "middle"))
    return _chart("Readings by person: difference to the part's mean", inside, HEIGHT)


@register.simple_tag
def shares(results: GaugeResults) -> SafeString:
    """Draw each component in per cent of the total variation, by both methods."""
    by_range = {one.name: one.of_total_percent for one in results.average_range.components}
    rows = [one for one in results.anova.components if one.name != "total"]
    foot = TOP + ROW * len(rows)
    inside = [_band_line(percent, foot) for percent in BANDS]
    for at, one in enumerate(rows):
        y = TOP + ROW * at
        inside.append(words(NAMES - 10, y + 33, one.name, "end"))
        inside.append(_bar(y + 6, one.of_total_percent, "analysis of variance", filled=True))
        if one.name in by_range:
            inside.append(_bar(y + 29, by_range[one.name], "average and range", filled=False))
    inside.append(line(NAMES, TOP, NAMES, foot))
    axis = "per cent of the total variation, by standard deviations"
    inside.append(words((NAMES + WIDTH) / 2, foot + 44, axis, "middle"))
    return _chart("Components of what is read", inside, foot + 54)


def _points(page: GaugeStudyPage) -> list[Point]:
    read = [(t.part, t.person, float(t.grams)) for t in page.turns if t.grams is not None]
    means = {part: fmean(grams for of, _, grams in read if of == part) for part, _, _ in read}
    return [Point(part, person, grams - means[part]) for part, person, grams in read]


def _as_counted(name: str) -> list[tuple[int, str]]:
    """Sort K2 before K10."""
    found = re.findall(r"\d+|\D+", name)
    return [(int(one), "") if one.isdecimal() else (-1, one) for one in found]


def _most(points: Sequence[Point]) -> float:
    return 1.08 * max(abs(point.off_g) for point in points) or 1.0


def _frame(field: Field) -> SafeString:
    """Draw the zero line and the widest differences."""
    most_g = field.most_g / 1.08
    marks = [(0.0, "0 g"), (most_g, _signed(most_g)), (-most_g, _signed(-most_g))]
    drawn = (
        (line(LEFT, field.y(g), WIDTH - RIGHT, field.y(g), "" if g == 0 else "dashed"), text, g)
        for g, text in marks
    )
    return format_html_join(
        "",
        "{}{}",
        ((stroke, words(LEFT - 8, field.y(g) + 5, text, "end")) for stroke, text, g in drawn),
    )


def _parting(x: float) -> SafeString:
    return format_html('<g class="tone-hair">{}</g>', line(x, TOP, x, HEIGHT - BOTTOM))


# told apart in black and white; of more people than shapes some share one, and the table tells
_SHAPES = (
    ("\N{BLACK CIRCLE}", '<circle cx="{x}" cy="{y}" r="4" fill="currentColor"/>'),
    (
        "\N{WHITE CIRCLE}",
        '<circle cx="{x}" cy="{y}" r="4" fill="none" stroke="currentColor" stroke-width="1.6"/>',
    ),
    (
        "\N{MULTIPLICATION SIGN}",
        '<path d="M-4-4L4 4M-4 4L4-4" transform="translate({x} {y})" stroke="currentColor" '
        'stroke-width="1.8"/>',
    ),
    (
        "+",
        '<path d="M-5 0H5M0-5V5" transform="translate({x} {y})" stroke="currentColor" '
        'stroke-width="1.8"/>',
    ),
)


def _shape(index: int) -> str:
    return _SHAPES[index % len(_SHAPES)][0]


def _dot(x: float, y: float, index: int) -> SafeString:
    return format_html(_SHAPES[index % len(_SHAPES)][1], x=f"{x:.1f}", y=f"{y:.1f}")


def _bar(y: float, percent: float, method: str, *, filled: bool) -> SafeString:
    room = WIDTH - NAMES - 210
    wide = room * min(percent, 100) / 100
    ink = 'fill="currentColor" opacity="0.55"' if filled else 'fill="none"'
    return format_html(
        '<rect x="{}" y="{}" width="{}" height="18" stroke="currentColor" ' + ink + "/>{}",
        f"{NAMES:g}",
        f"{y:.1f}",
        f"{max(wide, 0.5):.1f}",
        words(NAMES + room + 10, y + 14, f"{percent:.1f} %, {method}", "start"),
    )


def _band_line(percent: int, foot: float) -> SafeString:
    x = NAMES + (WIDTH - NAMES - 210) * percent / 100
    return format_html(
        "{}{}", line(x, TOP - 6, x, foot, "dashed"), words(x, foot + 18, f"{percent} %", "middle")
    )


def _signed(grams: float) -> str:
    return f"{MINUS if grams < 0 else '+'}{abs(grams):.2g} g"


def _short(name: str) -> str:
    return name if len(name) <= 6 else f"{name[:5]}…"


def _chart(title: str, inside: Iterable[SafeString], height: float) -> SafeString:
    return format_html(
        '<div class="scroll"><svg class="chart" viewBox="0 0 {} {}" role="img">'
        "<title>{}</title>{}</svg></div>",
        f"{WIDTH:g}",
        f"{height:g}",
        title,
        format_html_join("", "{}", ((one,) for one in inside)),
    )
