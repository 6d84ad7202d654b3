"""Whom all others are brought to, and what the lightest costs them.

The lightest of a set is the target and is not cut in that step. When it is far below the next, it
costs every other part metal, and another part in its place is the cheaper way out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from records.domain.balance.possible import at_least_zero, out_of_range


@dataclass(frozen=True)
class Target:
    """The lightest of a set and what it costs.

    `cost_g` is what the others must lose to lie within the tolerance of the lightest; `saved_g`
    what of it they would keep, were the lightest replaced by a part at `next_g` or above.
    """

    part: str
    mass_g: Decimal
    next_g: Decimal
    cost_g: Decimal
    saved_g: Decimal

    @property
    def costs_all_others(self) -> bool:
        """Tell whether this one part is the reason for at least half of the metal."""
        return self.cost_g > 0 and 2 * self.saved_g >= self.cost_g

    @property
    def note(self) -> str:
        """Say it in a sentence, empty when no single part costs the others metal."""
        if not self.costs_all_others:
            return ""
        return (
            f"{self.part} at {_g(self.mass_g)} g is the light one that costs all others metal: "
            f"another at {_g(self.next_g)} g or more would save {_tenth(self.saved_g)} of "
            f"{_tenth(self.cost_g)} g"
        )


def target_of(masses_g: Mapping[str, Decimal], *, tolerance_g: Decimal = Decimal(0)) -> Target:
    """Find the lightest of a set (part to g) and what it costs the others.

    Of equally light parts the first named is the target, and none costs the others more than the
    next. Raises BadValue for fewer than two parts or a mass that can't be.
    """
    if len(masses_g) < 2:
        raise out_of_range("masses_g", "two parts or more", len(masses_g))
    at_least_zero("tolerance_g", tolerance_g)
    for part, mass_g in masses_g.items():
        at_least_zero(part, mass_g)
    light = min(masses_g, key=lambda part: masses_g[part])
    others = [mass_g for part, mass_g in masses_g.items() if part != light]
    cost_g = _to_take(others, masses_g[light], tolerance_g)
    without_g = _to_take(others, min(others), tolerance_g)
    return Target(light, masses_g[light], min(others), cost_g, cost_g - without_g)


def _to_take(masses_g: list[Decimal], target_g: Decimal, tolerance_g: Decimal) -> Decimal:
    edge = target_g + tolerance_g
    return sum((max(Decimal(0), mass_g - edge) for mass_g in masses_g), Decimal(0))


def _g(mass_g: Decimal) -> str:
    """Show a mass to 0.01 g, the last zero left out."""
    text = f"{mass_g:.2f}"
    return text.removesuffix("0")


def _tenth(mass_g: Decimal) -> str:
    """Show a sum of masses to 0.1 g, half to even."""
    return f"{mass_g:.1f}"
