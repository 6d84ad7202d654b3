"""Numbers, days and moments as a certificate's facts hold them."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import ROUND_HALF_EVEN, Decimal

from records.domain.practice.facts import BuildFacts
from records.domain.practice.shop_day import shop_day

# far below any reading, so that the paper can round once; above the noise of a float
FINEST = Decimal("0.000000001")


def number_text(value: Decimal | float) -> str:
    """Return an exact decimal text without exponent or trailing zeros, to nine places at most."""
    exact = value if isinstance(value, Decimal) else Decimal(repr(float(value)))
    rounded = exact.quantize(FINEST, ROUND_HALF_EVEN).normalize()
    return "0" if not rounded else format(rounded, "f")


def number_or_none(value: Decimal | float | None) -> str | None:
    """Return a decimal text, or None for nothing."""
    return None if value is None else number_text(value)


def day_of(moment: datetime, facts: BuildFacts) -> str:
    """Return the day of a moment on the shop's calendar, as 2026-03-06."""
    return shop_day(moment, facts.shop.timezone).isoformat()


def moment_text(moment: datetime) -> str:
    """Return a moment in UTC, as 2026-03-06T14:05:00Z."""
    return f"{moment.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"
