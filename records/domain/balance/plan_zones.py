"""Which zones of a part a plan may use, and what a gram taken there does to what is matched."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from records.domain.balance.possible import above_zero, at_least_zero, finite
from records.domain.errors import BadValue, Code

ALLOWED, LIMITED, FORBIDDEN = "allowed", "limited", "forbidden"


class Matched(StrEnum):
    """What is brought to the target in this step."""

    WHOLE = "whole"
    BIG_END = "big end"


@dataclass(frozen=True)
class ZoneAllowance:
    """A zone as the plan sees it: its rule and what it may still lose in this part's life, in g.

    `remaining_g` None: no limit is set, so nothing is taken. `step_g` None: no largest step.
    `spread` as the zone map asks (all round, both sides, one spot). `x_mm` on a rod: its place
    from the small-end centre toward the big end.
    """

    key: str
    rule: str
    remaining_g: Decimal | None
    step_g: Decimal | None
    spread: str
    x_mm: Decimal | None = None


@dataclass(frozen=True)
class UsableZone:
    """A zone that has something to give; `felt` is what the matched mass loses per gram taken."""

    key: str
    spread: str
    with_care: bool
    remaining_g: Decimal
    step_g: Decimal | None
    x_mm: Decimal | None
    felt: Decimal


def usable_zones(
    zones: Sequence[ZoneAllowance], matched: Matched, rod_length_mm: float | None
) -> tuple[list[UsableZone], list[str]]:
    """Give the zones the plan may use, and a sentence for each that lacks a number.

    Of a rod, the big end is matched in the half near it and the whole, once the big ends match, in
    the half near the small end: what still differs is there (common practice).
    """
    if rod_length_mm is None and matched is Matched.BIG_END:
        raise BadValue(
            Code.MISSING,
            "expected the rod's centre distance; without it no cut's share at the big end is known",
            field="rod_length_mm",
            expected="a centre distance in mm",
            got="nothing",
        )
    usable, missing = [], []
    for zone in zones:
        _check_rule(zone)
        felt = _felt(zone, matched, rod_length_mm)
        if zone.rule == FORBIDDEN or felt == 0:
            continue
        if felt is None:
            missing.append(f"zone {zone.key}: its place along the rod is missing, nothing taken.")
        elif zone.remaining_g is None:
            missing.append(f"zone {zone.key}: a limit is missing, nothing taken.")
        elif zone.remaining_g > 0:
            usable.append(_usable(zone, zone.remaining_g, felt))
    return usable, missing


def _check_rule(zone: ZoneAllowance) -> None:
    rules = f"{ALLOWED}, {LIMITED} or {FORBIDDEN}"
    if zone.rule not in (ALLOWED, LIMITED, FORBIDDEN):
        raise BadValue(
            Code.BAD_VALUE,
            f"expected {rules}, got {zone.rule!r}",
            field=f"zones/{zone.key}/rule",
            expected=rules,
            got=zone.rule,
        )


def _felt(zone: ZoneAllowance, matched: Matched, rod_length_mm: float | None) -> Decimal | None:
    """Give what a gram in this zone takes off the matched mass.

    0 in the wrong half of a rod, None where the place along the rod isn't known.
    """
    if rod_length_mm is None:
        return Decimal(1)
    length = Decimal(str(above_zero("rod_length_mm", rod_length_mm)))
    if zone.x_mm is None:
        return None
    at_big = finite(f"zones/{zone.key}/x_mm", zone.x_mm) / length
    near_big = at_big >= Decimal("0.5")
    if near_big is not (matched is Matched.BIG_END):
        return Decimal(0)
    return at_big if near_big else Decimal(1)


def _usable(zone: ZoneAllowance, remaining_g: Decimal, felt: Decimal) -> UsableZone:
    if zone.step_g is not None:
        at_least_zero(f"zones/{zone.key}/step_g", zone.step_g)
    return UsableZone(
        key=zone.key,
        spread=zone.spread,
        with_care=zone.rule == LIMITED,
        remaining_g=finite(f"zones/{zone.key}/remaining_g", remaining_g),
        step_g=zone.step_g,
        x_mm=zone.x_mm,
        felt=felt,
    )
