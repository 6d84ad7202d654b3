"""Numbers on a page: tabular, with their sign, rounded once and by U's second digit."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django import template
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString

from records.domain.reckon.shown import shown

register = template.Library()
MINUS = "\N{MINUS SIGN}"
DASH = "\N{EN DASH}"
UNIT = '<span class="unit">\N{NO-BREAK SPACE}{}</span>'


@register.filter
def plain(value: Decimal | float | None) -> str:
    """Write a decimal without trailing noughts: a tolerance, a limit, a step."""
    if value is None:
        return DASH
    exact = Decimal(str(value)).normalize()
    return f"{exact:f}".replace("-", MINUS) if exact else "0"


@register.filter
def grams(value: Decimal | float | None) -> SafeString:
    """Write grams as they stand, the unit lighter than the number."""
    if value is None:
        return format_html("{}", DASH)
    return format_html('<span class="figure">{}' + UNIT + "</span>", plain(value), "g")


@register.simple_tag
def mass(value: Decimal | float | None, U: Decimal | float | None = None) -> SafeString:
    """Write a mass to the place of its U."""
    if value is None:
        return format_html("{}", DASH)
    if not U:
        return grams(round(Decimal(str(value)), 2))
    rounded, _ = shown(value, U)
    return format_html('<span class="figure">{}' + UNIT + "</span>", rounded, "g")


@register.simple_tag
def difference(value: Decimal | float, U: Decimal | float) -> SafeString:
    """Write a difference with its sign and its ± U, both to U's second digit."""
    if not U:
        return format_html('<span class="figure">0' + UNIT + "</span>", "g")
    rounded, expanded = shown(value, U)
    sign = MINUS if rounded.startswith("-") else "+"
    return format_html(
        '<span class="figure">{}{} <span class="u">± {}</span>' + UNIT + "</span>",
        sign,
        rounded.lstrip("-"),
        expanded,
        "g",
    )


@register.filter
def chance(probability: float | None) -> str:
    """Write a probability in per cent, never rounded to certainty or to nothing."""
    if probability is None:
        return DASH
    per_cent = 100 * probability
    if per_cent > 99.9:
        return "more than 99.9 %"
    return "less than 0.1 %" if per_cent < 0.1 else f"{per_cent:.1f} %"


@register.filter
def moment(at: datetime | None) -> SafeString:
    """Write a moment by the shop's clock: 6 March 2026, 14:05."""
    if at is None:
        return format_html("{}", DASH)
    here = timezone.localtime(at)
    words = f"{here.day} {here:%B %Y, %H:%M}"
    return format_html('<time datetime="{}">{}</time>', here.isoformat(), words)


@register.filter
def day(on: datetime | None) -> SafeString:
    """Write a day: 6 March 2026."""
    if on is None:
        return format_html("{}", DASH)
    here = timezone.localtime(on) if isinstance(on, datetime) else on
    return format_html(
        '<time datetime="{}">{}</time>', f"{here:%Y-%m-%d}", f"{here.day} {here:%B %Y}"
    )


@register.filter
def sentence(text: str) -> str:
    """Begin a sentence of ours with a capital and end it with a stop."""
    told = text.strip()
    if not told:
        return ""
    return told[0].upper() + told[1:] + ("" if told[-1] in ".?!:" else ".")


@register.filter
def expanded(U: Decimal | float | None) -> SafeString:
    """Write U with two significant digits."""
    if not U:
        return grams(None)
    return format_html('<span class="figure">{}' + UNIT + "</span>", shown(U, U)[1], "g")


@register.filter
def signed(value: Decimal | float | None) -> str:
    """Write a change in grams with its sign, to the hundredth."""
    if value is None:
        return DASH
    rounded = round(Decimal(str(value)), 2)
    if not rounded:
        return "0"
    return f"{MINUS if rounded < 0 else '+'}{abs(rounded)}"
