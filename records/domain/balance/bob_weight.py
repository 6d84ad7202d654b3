"""The bob weight of one crankpin: all that turns there and a share of all that goes up and down.

B = N·(big end + shells) + oil + f·N·(small end + piston + pin + locks + rings), N rods on the pin,
f normally 0.5. Oil is an allowance, not in U. What two weighings have in common (the scale's own
error) adds linearly, what each has of its own by root-sum-square (GUM JCGM 100:2008, 5.2).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from records.domain.balance.possible import at_least_zero, out_of_range
from records.domain.errors import BadValue, Code

ROTATING = ("big_end", "shells")
RECIPROCATING = ("small_end", "piston", "pin", "locks", "rings")
ITEMS = ROTATING + RECIPROCATING
_MOST_RODS = 8


@dataclass(frozen=True)
class BobWeight:
    """Grams on one pin: what turns (with oil), the counted share of what reciprocates, both."""

    rotating_g: Decimal
    reciprocating_g: Decimal
    u_g: float | None = None

    @property
    def total_g(self) -> Decimal:
        """Give the bob weight."""
        return self.rotating_g + self.reciprocating_g


@dataclass(frozen=True)
class PinItems:
    """What one rod of a pin carries, in g, each item being alike for every rod on the pin."""

    big_end: Decimal
    shells: Decimal
    small_end: Decimal
    piston: Decimal
    pin: Decimal
    locks: Decimal
    rings: Decimal


def alike_bob_weight(
    items: PinItems,
    *,
    rods_per_pin: int,
    oil_g: Decimal,
    fraction: Decimal,
    u_private_g: float | None = None,
    u_shared_g: float | None = None,
    weighed_once: Collection[str] = (),
) -> BobWeight:
    """Reckon the bob weight of a pin whose rods are alike (the what-if of a card).

    u per weighing: N rods are N weighings of each item, but those named in `weighed_once` were
    weighed once and count N times. With n weighings of share c: private u·√(Σ n·c²), shared
    u·Σ|n·c|. No u given, none reckoned. Raises BadValue naming the key.
    """
    n = rods_per_pin
    if not 1 <= n <= _MOST_RODS:
        raise out_of_range("rods_per_pin", f"1 to {_MOST_RODS}", n)
    _check(items, oil_g, fraction, weighed_once)
    rotating = n * sum((getattr(items, name) for name in ROTATING), Decimal(0)) + oil_g
    reciprocating = n * fraction * sum((getattr(items, name) for name in RECIPROCATING), Decimal(0))
    if u_private_g is None and u_shared_g is None:
        return BobWeight(rotating, reciprocating)
    shares = {name: 1.0 if name in ROTATING else float(fraction) for name in ITEMS}
    squares = math.fsum(
        (n * c) ** 2 if name in weighed_once else n * c**2 for name, c in shares.items()
    )
    private = at_least_zero("u_private_g", u_private_g or 0.0) * math.sqrt(squares)
    shared = at_least_zero("u_shared_g", u_shared_g or 0.0) * n * math.fsum(shares.values())
    return BobWeight(rotating, reciprocating, math.hypot(private, shared))


@dataclass(frozen=True)
class Share:
    """How one weighing enters a bob weight: the mass it gave counts c times.

    `weighing` names the weighing (the same name twice is one weighing used twice), `scale` the
    calibration whose error it shares with others. `rotating` is the part of c that turns.
    """

    item: str
    weighing: str
    scale: str
    mass_g: Decimal
    c: Decimal
    rotating: Decimal
    u_private_g: float
    u_shared_g: float


@dataclass(frozen=True)
class ItemWeighing:
    """A finished item's weighing with its uncertainty, private and shared part, in g."""

    weighing: str
    scale: str
    mass_g: Decimal
    u_private_g: float
    u_shared_g: float


def turning(item: str, of: ItemWeighing) -> Share:
    """Count an item that turns with the pin: in full."""
    return _share(item, of, Decimal(1), rotating=Decimal(1))


def going_up_and_down(item: str, of: ItemWeighing, *, fraction: Decimal) -> Share:
    """Count an item that reciprocates: by the fraction."""
    return _share(item, of, fraction, rotating=Decimal(0))


def rod_by_difference(
    big_end: ItemWeighing, whole: ItemWeighing, *, fraction: Decimal
) -> tuple[Share, Share]:
    """Count a rod whose small end is its whole minus its big end.

    big + f·(whole − big) = (1 − f)·big + f·whole: the error of the big end mostly cancels, so the
    ends must not be taken as two weighings. Raises BadValue when the whole is the lighter.
    """
    if whole.mass_g < big_end.mass_g:
        raise out_of_range("small_end", "a whole rod heavier than its big end", whole.mass_g)
    return (
        _share("big_end", big_end, 1 - fraction, rotating=Decimal(1)),
        _share("rod", whole, fraction, rotating=Decimal(0)),
    )


def pin_bob_weight(shares: Iterable[Share], *, oil_g: Decimal) -> BobWeight:
    """Add up one pin from the weighings behind it, with the uncertainty of the sum.

    Private parts by root-sum-square over weighings, each with all the c it has; shared parts
    linearly within one calibration, those of different scales by root-sum-square.
    """
    at_least_zero("oil_g", oil_g)
    counted: Sequence[Share] = tuple(shares)
    if not counted:
        raise BadValue(Code.MISSING, "expected the weighings of this pin, got none", field="shares")
    rotating, whole = oil_g, oil_g
    c_of: dict[str, float] = {}
    private_of: dict[str, float] = {}
    shared_of: dict[str, float] = {}
    for share in counted:
        rotating += share.rotating * share.mass_g
        whole += share.c * share.mass_g
        c_of[share.weighing] = c_of.get(share.weighing, 0.0) + float(share.c)
        private_of[share.weighing] = share.u_private_g
        shared = float(share.c) * share.u_shared_g
        shared_of[share.scale] = shared_of.get(share.scale, 0.0) + shared
    private = [c * private_of[weighing] for weighing, c in c_of.items()]
    return BobWeight(rotating, whole - rotating, math.hypot(*private, *shared_of.values()))


def _share(item: str, of: ItemWeighing, c: Decimal, *, rotating: Decimal) -> Share:
    at_least_zero(item, of.mass_g)
    at_least_zero("fraction", c)
    return Share(item, of.weighing, of.scale, of.mass_g, c, rotating, of.u_private_g, of.u_shared_g)


def _check(
    items: PinItems, oil_g: Decimal, fraction: Decimal, weighed_once: Collection[str]
) -> None:
    for name in ITEMS:
        at_least_zero(f"{name}_g", getattr(items, name))
    at_least_zero("oil_g", oil_g)
    if at_least_zero("fraction", fraction) > 1:
        raise out_of_range("fraction", "0 to 1", fraction)
    for name in weighed_once:
        if name not in ITEMS:
            raise BadValue(
                Code.BAD_VALUE,
                f"expected names out of {', '.join(ITEMS)}, got {name!r}",
                field="weighed_once",
                expected=", ".join(ITEMS),
                got=name,
            )
