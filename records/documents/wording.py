"""How numbers, days and lists are written on paper and in figures: rounded here, once, and named.

Rounding is half to even (ISO 80000-1:2009, B.3 rule A; from memory). U keeps two significant
digits and its value goes to the same place (GUM, JCGM 100:2008, 7.2.6).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime
from decimal import ROUND_HALF_EVEN, Decimal, InvalidOperation
from zoneinfo import ZoneInfo

from records.domain.errors import BadValue, Code

MINUS = "\N{MINUS SIGN}"
DASH = "\N{EN DASH}"  # nothing to say here
NUMBERS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
)
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def number(text: str) -> Decimal:
    """Return a decimal text as an exact number; BadValue when it is none."""
    try:
        value = Decimal(text)
    except InvalidOperation as error:
        raise BadValue(Code.NOT_A_NUMBER, f"expected a decimal, got {text!r}") from error
    if not value.is_finite():
        raise BadValue(Code.NOT_A_NUMBER, f"expected a finite decimal, got {text!r}")
    return value


def two_digits(U: Decimal) -> Decimal:
    """Return U with two significant digits."""
    if U == 0:
        return U
    place = Decimal(1).scaleb(U.adjusted() - 1)
    rounded = U.quantize(place, ROUND_HALF_EVEN)
    if rounded.adjusted() > U.adjusted():  # 0.0996 became 0.100, which has three
        rounded = rounded.quantize(place.scaleb(1), ROUND_HALF_EVEN)
    return rounded


def uncertainty(U: str | None) -> str:
    """Write U with two significant digits."""
    return DASH if U is None else f"{two_digits(number(U)):f}"


def mass(value: str | None, U: str | None) -> str:
    """Write a mass to the place of its U; as it was given when it has none."""
    return DASH if value is None else f"{_to_place_of(value, U):f}"


def difference(value: str | None, U: str | None, *, reference: bool = False) -> str:
    """Write a difference with its sign; the reference itself is a plain nought."""
    if value is None:
        return DASH
    if reference and number(value) == 0:
        return "0"
    rounded = _to_place_of(value, U)
    sign = MINUS if rounded.is_signed() and rounded != 0 else "+"
    return ("" if reference else sign) + f"{abs(rounded):f}"


def chance(probability: str | None) -> str:
    """Write a probability in per cent, never rounded up to certainty or down to nothing."""
    if probability is None:
        return DASH
    per_cent = number(probability) * 100
    if per_cent > Decimal("99.9"):
        return ">99.9"
    if per_cent < Decimal("0.1"):
        return "<0.1"
    return f"{per_cent.quantize(Decimal('0.1'), ROUND_HALF_EVEN):f}"


def plain(value: str) -> str:
    """Write a decimal without trailing noughts: a tolerance, a stroke, a fraction."""
    return f"{number(value).normalize():f}"


def day(text: str) -> str:
    """Write 2026-03-06 as 6 March 2026."""
    try:
        on = date.fromisoformat(text)
    except ValueError as error:
        raise BadValue(Code.BAD_VALUE, f"expected a day as 2026-03-06, got {text!r}") from error
    return f"{on.day} {MONTHS[on.month - 1]} {on.year}"


def moment(text: str) -> datetime:
    """Return a moment such as 2026-03-06T14:05:00Z, in UTC."""
    try:
        at = datetime.fromisoformat(text)
    except ValueError as error:
        raise BadValue(Code.BAD_VALUE, f"expected a moment in UTC, got {text!r}") from error
    if at.tzinfo is None:
        raise BadValue(Code.BAD_VALUE, f"expected a moment with its zone, got {text!r}")
    return at.astimezone(UTC)


def in_shop_time(text: str, timezone: str) -> str:
    """Write a moment as the shop's clock showed it, with the zone's name."""
    at = moment(text).astimezone(ZoneInfo(timezone))
    return f"{day(at.date().isoformat())}, {at:%H:%M} ({timezone})"


def count(n: int) -> str:
    """Write a small count as a word."""
    return NUMBERS[n] if 0 <= n < len(NUMBERS) else str(n)


def plural(kind: str, n: int) -> str:
    """Write a kind for so many of it: eight sets, one big end."""
    return kind if n == 1 else f"{kind}s"


def listed(things: Sequence[str]) -> str:
    """Write a list as a sentence does: a, b and c."""
    if len(things) < 2:
        return "".join(things)
    return f"{', '.join(things[:-1])} and {things[-1]}"


def capital(sentence: str) -> str:
    """Write a sentence with its first letter great."""
    return sentence[:1].upper() + sentence[1:]


def _to_place_of(value: str, U: str | None) -> Decimal:
    exact = number(value)
    if U is None:
        return exact
    rounded = two_digits(number(U))
    if rounded == 0:
        return exact
    return exact.quantize(Decimal(1).scaleb(int(rounded.as_tuple().exponent)), ROUND_HALF_EVEN)
