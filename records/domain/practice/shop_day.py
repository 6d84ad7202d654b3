"""The shop's own days: a check counts for the day on the shop's calendar, not for a UTC day."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from records.domain.errors import BadValue, Code


def shop_time(moment: datetime, timezone: str) -> datetime:
    """Give a moment on the shop's clock. Raise BadValue for an unknown zone or a naive time."""
    if moment.tzinfo is None:
        raise _bad("measured_at", "a time with its zone", str(moment))
    try:
        return moment.astimezone(ZoneInfo(timezone))
    except (ZoneInfoNotFoundError, ValueError, OSError) as missing:
        raise _bad("timezone", "a name such as Europe/London", timezone) from missing


def shop_day(moment: datetime, timezone: str) -> date:
    """Give the day of a moment on the shop's calendar."""
    return shop_time(moment, timezone).date()


def _bad(field: str, expected: str, got: str) -> BadValue:
    return BadValue(
        Code.BAD_VALUE,
        f"expected {expected}, got {got}",
        field=field,
        expected=expected,
        got=got,
    )
