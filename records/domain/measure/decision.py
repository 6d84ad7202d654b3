"""Judge a measured value against limits, with a guard band and four verdicts.

JCGM 106:2012, clauses 7 and 8; ILAC-G8:09/2019, 4.2.3. The guard band is w = r U; r = 0 is simple
acceptance. A value exactly on a limit is inside it. U goes in unrounded.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from records.domain.errors import BadValue, Code

# Limits and values are decimals on paper; as floats 0.3 - 0.1 is less than 0.2.
SLACK = 1e-12


class Verdict(StrEnum):
    """The four verdicts of ILAC-G8:09/2019, 4.2.3."""

    PASSED = "pass"
    CONDITIONALLY_PASSED = "conditional pass"
    CONDITIONALLY_FAILED = "conditional fail"
    FAILED = "fail"


@dataclass(frozen=True, slots=True)
class Judgement:
    """A verdict, the probability that the true value conforms, and the acceptance limits."""

    verdict: Verdict
    conformance_probability: float
    guard_band: float
    acceptance_low: float | None
    acceptance_high: float | None


def judge(
    value: float,
    u: float,
    *,
    low: float | None = None,
    high: float | None = None,
    r: float = 0.0,
    U: float | None = None,
    never_below: float | None = None,
) -> Judgement:
    """Return the verdict on a value with standard uncertainty u; U is 2 u unless given.

    never_below is a bound that the quantity itself has (a spread is never below 0). Raise BadValue
    for no limit, u not above 0, r below 0, and with the code no_acceptance_zone when the guard
    band leaves nothing that could pass.
    """
    expanded = 2 * u if U is None else U
    _check(value, u, low, high, r)
    _require_above("U", expanded)
    band = r * expanded
    floor = _guarded(low, band)
    ceiling = _guarded(high, -band)
    slack = SLACK * max(abs(number) for number in (value, band, low or 0.0, high or 0.0))
    _require_zone(floor if floor is not None else never_below, ceiling, band, slack, guarded=r > 0)
    zones = (
        (Verdict.PASSED, floor, ceiling),
        (Verdict.CONDITIONALLY_PASSED, low, high),
        (Verdict.CONDITIONALLY_FAILED, _guarded(low, -band), _guarded(high, band)),
    )
    verdict = next(
        (name for name, lowest, highest in zones if _inside(value, lowest, highest, slack)),
        Verdict.FAILED,
    )
    return Judgement(verdict, conformance_probability(value, u, low, high), band, floor, ceiling)


def conformance_probability(
    value: float, u: float, low: float | None = None, high: float | None = None
) -> float:
    """Return the probability that the true value lies within the limits (JCGM 106, 7.3, 7.4)."""
    from_low = -math.inf if low is None else (low - value) / u
    to_high = math.inf if high is None else (high - value) / u
    # Both limits on one side: take the tails on that side, where the digits are.
    if from_low > 0:
        from_low, to_high = -to_high, -from_low
    return 0.5 * (math.erfc(-to_high / math.sqrt(2)) - math.erfc(-from_low / math.sqrt(2)))


def _guarded(limit: float | None, band: float) -> float | None:
    return None if limit is None else limit + band


def _inside(value: float, low: float | None, high: float | None, slack: float) -> bool:
    return (low is None or value >= low - slack) and (high is None or value <= high + slack)


def _require_zone(
    floor: float | None, ceiling: float | None, band: float, slack: float, *, guarded: bool
) -> None:
    if not guarded or floor is None or ceiling is None or floor <= ceiling + slack:
        return
    raise BadValue(
        Code.NO_ACCEPTANCE_ZONE,
        f"no acceptance zone: the guard band of {band:.3g} on each limit leaves nothing between "
        f"{floor:.6g} and {ceiling:.6g}; take more readings, a better scale, or a wider tolerance",
        field="r",
        expected="a guard band that leaves an acceptance zone",
        got=f"a guard band of {band:.3g}",
    )


def _check(value: float, u: float, low: float | None, high: float | None, r: float) -> None:
    if low is None and high is None:
        raise _bad(Code.MISSING, "high", "low, high or both", "neither")
    _require_above("u", u)
    if not (math.isfinite(r) and r >= 0):
        raise _bad(Code.OUT_OF_RANGE, "r", "a number of at least 0", f"{r:g}")
    if not math.isfinite(value):
        raise _bad(Code.NOT_A_NUMBER, "value", "a finite number", f"{value:g}")
    if low is not None and high is not None and low >= high:
        raise _bad(Code.OUT_OF_RANGE, "high", f"a number above low, {low:g}", f"{high:g}")


def _require_above(field: str, number: float) -> None:
    if not (math.isfinite(number) and number > 0):
        raise _bad(Code.OUT_OF_RANGE, field, "a number above 0", f"{number:g}")


def _bad(code: Code, field: str, expected: str, got: str) -> BadValue:
    return BadValue(
        code, f"expected {expected}, got {got}", field=field, expected=expected, got=got
    )
