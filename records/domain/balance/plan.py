"""Plan the metal to take off one part: how much, where, and when to stop.

What lies over the target, less what the tolerance leaves, is split over the zones by what they may
still lose: allowed zones first, limited ones only for the rest. Each step aims short, since metal
can't be put back: about half of what lies over the target, never more than the zone's step, and
never so much that the target would be undershot with more than the bound (5 %).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal
from statistics import NormalDist

from records.domain.balance.plan_zones import Matched, UsableZone, ZoneAllowance, usable_zones
from records.domain.balance.possible import above_zero, at_least_zero
from records.domain.balance.rod_levers import Removal, end_changes
from records.domain.balance.targets import Target, target_of
from records.domain.errors import BadValue, Code

__all__ = ["Matched", "PartPlan", "SetPlan", "ZoneAllowance", "ZoneCut", "plan_part", "plan_set"]

STOP_CHANCE = 0.05
_FINEST_CUT_G = Decimal("0.01")  # common practice, no source: less can't be taken on purpose

_NEAR = Decimal("1E-9")  # a third and two thirds of 1 g are 1 g again before rounding down


@dataclass(frozen=True)
class ZoneCut:
    """The next step in one zone, in g of metal, and `share_g`, all that the plan wants there.

    On a rod also what both ends then show more or less.
    """

    zone: str
    spread: str
    with_care: bool
    mass_g: Decimal
    share_g: Decimal
    volume_mm3: float | None
    big_end_change_g: float | None
    small_end_change_g: float | None


@dataclass(frozen=True)
class PartPlan:
    """What is next for one part.

    `over_g` over the target, `excess_g` of it beyond what the tolerance leaves, `short_g` of that
    beyond what the zones can give. `undershoot_chance` is that of lying below the target after
    the next cuts (or as it is, when there are none).
    """

    part: str
    target_g: Decimal
    over_g: Decimal
    excess_g: Decimal
    short_g: Decimal
    next_cuts: tuple[ZoneCut, ...]
    undershoot_chance: float
    stop: bool
    note: str


@dataclass(frozen=True)
class SetPlan:
    """The target of a set, and the plan of every part in its order."""

    target: Target
    parts: tuple[PartPlan, ...]


def plan_set(
    masses_g: Mapping[str, Decimal],
    *,
    zones: Mapping[str, Sequence[ZoneAllowance]],
    u_difference_g: Mapping[str, float],
    tolerance_g: Decimal,
    matched: Matched = Matched.WHOLE,
    density_g_cm3: float | None = None,
    rod_length_mm: float | None = None,
) -> SetPlan:
    """Plan a whole set toward its lightest, which is not cut.

    `masses_g` by part: of the set, the big end or the whole, whatever is matched now; `zones` of
    the piece that may be cut at that place; `u_difference_g` of (this − lightest).
    """
    target = target_of(masses_g, tolerance_g=tolerance_g)
    plans = [
        plan_part(
            part,
            mass_g=mass_g,
            target_g=target.mass_g,
            lightest=target.part,
            tolerance_g=tolerance_g,
            u_difference_g=_u_of(part, target.part, u_difference_g),
            zones=zones.get(part, ()),
            matched=matched,
            density_g_cm3=density_g_cm3,
            rod_length_mm=rod_length_mm,
        )
        for part, mass_g in masses_g.items()
    ]
    return SetPlan(target, tuple(plans))


def _u_of(part: str, lightest: str, u_difference_g: Mapping[str, float]) -> float:
    """Find the u of a part's difference; without it no plan would know when to stop."""
    if part == lightest:
        return 0.0
    if part in u_difference_g:
        return u_difference_g[part]
    raise BadValue(
        Code.MISSING,
        f"expected the standard uncertainty of {part} minus {lightest}, got none",
        field=f"u_difference_g/{part}",
        expected="a standard uncertainty in g",
        got="nothing",
    )


def plan_part(
    part: str,
    *,
    mass_g: Decimal,
    target_g: Decimal,
    tolerance_g: Decimal,
    u_difference_g: float,
    zones: Sequence[ZoneAllowance],
    lightest: str = "the lightest",
    matched: Matched = Matched.WHOLE,
    density_g_cm3: float | None = None,
    rod_length_mm: float | None = None,
    stop_chance: float = STOP_CHANCE,
) -> PartPlan:
    """Plan the next step of one part toward the target, the tolerance without its guard band.

    On a rod a gram in a zone at x takes x/L off the big end. Raises BadValue naming the key.
    """
    at_least_zero("u_difference_g", u_difference_g)
    usable, missing = usable_zones(zones, matched, rod_length_mm)
    over_g = at_least_zero("mass_g", mass_g) - at_least_zero("target_g", target_g)
    excess_g = max(Decimal(0), over_g - at_least_zero("tolerance_g", tolerance_g))
    shares = _shared_out(excess_g, usable)
    step_g = _next_step(over_g, u_difference_g, stop_chance)
    cuts = _cuts(step_g, shares, density_g_cm3, rod_length_mm)
    felt = sum((cut.mass_g * zone.felt for cut, zone in cuts), Decimal(0))
    given = sum((share * zone.felt for zone, share in shares), Decimal(0))
    words = _Words(part, lightest, over_g, excess_g, given, stop_chance)
    said = words.said(bool(cuts), step_g > 0) + (missing if excess_g else [])
    return PartPlan(
        part=part,
        target_g=target_g,
        over_g=over_g,
        excess_g=excess_g,
        short_g=words.short_g,
        next_cuts=tuple(cut for cut, _ in cuts),
        undershoot_chance=_undershoot(over_g - felt, u_difference_g),
        stop=not cuts,
        note=" ".join(said),
    )


def _shared_out(excess_g: Decimal, zones: Sequence[UsableZone]) -> list[tuple[UsableZone, Decimal]]:
    """Split the excess by what the zones may still lose; gives g of metal for each zone."""
    shares: list[tuple[UsableZone, Decimal]] = []
    left = excess_g
    for with_care in (False, True):
        tier = [zone for zone in zones if zone.with_care is with_care]
        room = sum((zone.remaining_g * zone.felt for zone in tier), Decimal(0))
        if left <= 0 or room <= 0:
            continue
        taken = min(left, room)
        shares += [(zone, zone.remaining_g * taken / room) for zone in tier]
        left -= taken
    return shares


def _next_step(over_g: Decimal, u_g: float, stop_chance: float) -> Decimal:
    """Give what the next step takes at most: half, and no more than the chance allows."""
    safe = over_g - Decimal(NormalDist().inv_cdf(1 - stop_chance) * u_g)
    return max(Decimal(0), min(over_g / 2, safe))


def _cuts(
    step_g: Decimal,
    shares: Sequence[tuple[UsableZone, Decimal]],
    density_g_cm3: float | None,
    rod_length_mm: float | None,
) -> list[tuple[ZoneCut, UsableZone]]:
    whole = sum((share * zone.felt for zone, share in shares), Decimal(0))
    cuts = []
    for zone, share in shares:
        wanted = (step_g * share / whole).quantize(_NEAR)
        most = zone.remaining_g if zone.step_g is None else min(zone.remaining_g, zone.step_g)
        mass_g = min(wanted, most).quantize(_FINEST_CUT_G, ROUND_DOWN)
        if mass_g > 0:
            cuts.append((_cut(zone, mass_g, share, density_g_cm3, rod_length_mm), zone))
    return cuts


def _cut(
    zone: UsableZone,
    mass_g: Decimal,
    share_g: Decimal,
    density_g_cm3: float | None,
    rod_length_mm: float | None,
) -> ZoneCut:
    ends = None
    if rod_length_mm is not None and zone.x_mm is not None:
        removal = Removal(float(zone.x_mm), float(mass_g))
        ends = end_changes([removal], length_mm=rod_length_mm)
    return ZoneCut(
        zone=zone.key,
        spread=zone.spread,
        with_care=zone.with_care,
        mass_g=mass_g,
        share_g=share_g.quantize(_FINEST_CUT_G),
        volume_mm3=_volume_mm3(mass_g, density_g_cm3),
        big_end_change_g=ends.big_g if ends else None,
        small_end_change_g=ends.small_g if ends else None,
    )


def _volume_mm3(mass_g: Decimal, density_g_cm3: float | None) -> float | None:
    if density_g_cm3 is None:
        return None
    return float(mass_g) * 1000 / above_zero("density_g_cm3", density_g_cm3)


def _undershoot(over_g: Decimal, u_g: float) -> float:
    """Give the chance that a part measured this much over the target truly lies below it."""
    if u_g <= 0:
        return 0.0 if over_g >= 0 else 1.0
    return 0.5 * math.erfc(float(over_g) / (u_g * math.sqrt(2)))


@dataclass(frozen=True)
class _Words:
    """What the plan says beside its numbers."""

    part: str
    lightest: str
    over_g: Decimal
    excess_g: Decimal
    given_g: Decimal
    stop_chance: float

    @property
    def short_g(self) -> Decimal:
        """Give what the zones can't give of the excess."""
        return (self.excess_g - self.given_g).quantize(_FINEST_CUT_G)

    def said(self, cutting: bool, may_step: bool) -> list[str]:
        """Say why to stop, and what would help where the target is out of reach."""
        if self.part == self.lightest:
            return ["the lightest is the target: not cut in this step."]
        if self.excess_g == 0:
            return ["within the tolerance of the lightest: nothing to take."]
        said = []
        if self.short_g > 0:
            said.append(
                f"can't reach the target: its zones give {self.given_g:.2f} of "
                f"{self.excess_g:.2f} g; cheaper: put a heavier part in place of {self.lightest}, "
                "or give this one a lighter partner, such as another pin."
            )
        if not cutting and self.given_g > 0:
            said.append(
                "stop: what is wanted is less than the finest cut."
                if may_step
                else "stop: any further cut would undershoot the target with a chance above "
                f"{self.stop_chance:.0%}; weigh again with more readings before taking more."
            )
        return said
