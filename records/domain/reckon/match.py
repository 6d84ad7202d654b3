"""Topic `match`: which part of each kind goes to which place."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from records.domain.balance.matching import Aim, Grouping, Kind, Match, match
from records.domain.reckon.shape import Shape


def reckon(data: Mapping[str, object]) -> dict[str, object]:
    """Return the sets in the order of their places, spread, metal, bounds, and if proven best."""
    read = Shape(data)
    kinds = [_kind(kind) for kind in read.objects("kinds")]
    places = read.whole("places", minimum=1)
    aim = Aim(read.text("aim", one_of=tuple(Aim)))
    read.number("tolerance_g", minimum=0)
    tied = (
        [_indices(group) for group in read.objects("tied", at_least=0)] if read.has("tied") else []
    )
    fixed = [_fixed(at) for at in read.objects("fixed", at_least=0)] if read.has("fixed") else []
    read.done()
    return _answer(
        match(
            kinds,
            places=places,
            aim=aim,
            tolerance_g=read.decimal("tolerance_g"),
            tied=tied,
            fixed=fixed,
        )
    )


def _kind(read: Shape) -> Kind:
    allowance = read.optional_number_or_numbers("allowance_g", minimum=0)
    return Kind(
        name=read.text("name"),
        masses_g=tuple(_exact(mass) for mass in read.numbers("masses_g", minimum=0)),
        may_cut=read.flag("may_cut"),
        allowance_g=(
            tuple(_exact(each) for each in allowance)
            if isinstance(allowance, list)
            else None
            if allowance is None
            else _exact(allowance)
        ),
    )


def _fixed(read: Shape) -> Grouping:
    return Grouping(read.whole("place"), _indices(read, besides="place"))


def _indices(read: Shape, *, besides: str = "") -> dict[str, int]:
    return {name: read.whole(name) for name in read.keys() if name != besides}  # noqa: SIM118


def _exact(number: float) -> Decimal:
    """Give the shortest decimal that means this float: 120.1 is 120.1 again."""
    return Decimal(str(number))


def _answer(found: Match) -> dict[str, object]:
    return {
        "sets": [
            {
                "place": one.place,
                "parts": dict(one.parts),
                "total_g": float(one.total_g),
                "remove_g": float(one.remove_g),
                "short_g": float(one.short_g),
            }
            for one in found.sets
        ],
        "spread_g": float(found.spread_g),
        "removed_g": float(found.removed_g),
        "short_g": float(found.short_g),
        "bound_spread_g": float(found.bound_spread_g),
        "bound_removed_g": float(found.bound_removed_g),
        "proven": found.proven,
    }
