"""Judge a check weight put on a scale: does it still weigh as its certificate says?

The limit is that of a normalised error of 1 (NIST SOP 9, ISO 13528): the scale's and the weight's
expanded uncertainties by root of squares. Masses in g.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from records.domain.measure.check_weights import BuiltUp
from records.domain.measure.decision import SLACK
from records.domain.measure.scale import Scale
from records.domain.measure.weighing import weigh


@dataclass(frozen=True, slots=True)
class ScaleCheck:
    """What the scale is off by after its correction, the limit, and whether it holds."""

    error_g: float
    limit_g: float
    U_scale_g: float
    U_weight_g: float
    passed: bool


def check_scale(scale: Scale, reading_g: float, weight: BuiltUp) -> ScaleCheck:
    """Return whether |R - E(R) - m| <= √(U_scale² + U_weight²), U_scale of one corrected reading.

    Exactly on the limit passes. Raise BadValue for a reading outside the certificate.
    """
    weighing = weigh(scale, reading_g)
    error_g = weighing.mass_g - float(weight.mass_g)
    limit_g = math.hypot(weighing.U_g, weight.U_g)
    passed = abs(error_g) <= limit_g + SLACK * reading_g
    return ScaleCheck(error_g, limit_g, weighing.U_g, weight.U_g, passed)
