"""The smallest net mass that a scale weighs well enough: advice for removals, on the scale's page.

A removal is a small net mass between two large readings, so its share of uncertainty goes by the
removal, not by the part. It is advice: every removal carries a U of its own. Masses in g.
"""

from __future__ import annotations

import math

from records.domain.errors import BadValue, Code

# √2/√12 rounded up as printed: below it the rounding of two readings hides s (USP <41>).
LEAST_SHARE_OF_STEP = 0.41
USUAL_SHARE = 0.001


def minimum_net_mass(s_g: float, d_g: float, share: float = USUAL_SHARE) -> float:
    """Return the smallest net mass whose 2 s is no more than a share of it (USP <41>).

    s is replaced by 0.41 d where it is smaller.
    """
    _check("s_g", s_g, at_least=True)
    _check("d_g", d_g)
    _check("share", share)
    return 2 * max(s_g, LEAST_SHARE_OF_STEP * d_g) / share


def minimum_load(
    alpha_g: float, beta: float, share: float = USUAL_SHARE, safety_factor: float = 1.0
) -> float:
    """Return the smallest load with U within a share of it, for U = alpha + beta·R.

    EURAMET cg-18 (4.0), appendix G: R = α·SF/(share − β·SF). Raise BadValue when β alone uses up
    the share: no load is then large enough.
    """
    _check("alpha_g", alpha_g)
    _check("beta", beta, at_least=True)
    _check("share", share)
    _check("safety_factor", safety_factor)
    left = share - beta * safety_factor
    if left <= 0:
        expected = f"below {share / safety_factor:.3g}"
        raise BadValue(
            Code.OUT_OF_RANGE,
            f"expected beta {expected}, got {beta:.3g}: no load is large enough for this share",
            field="beta",
            expected=expected,
            got=f"{beta:.3g}",
        )
    return alpha_g * safety_factor / left


def _check(field: str, value: float, *, at_least: bool = False) -> None:
    if not math.isfinite(value) or value < 0 or (value == 0 and not at_least):
        expected = "0 or more" if at_least else "more than 0"
        raise BadValue(
            Code.OUT_OF_RANGE,
            f"expected {expected}, got {value:g}",
            field=field,
            expected=expected,
            got=f"{value:g}",
        )
