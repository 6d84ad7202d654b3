"""The kinds of part that a shop balances, and the names that bench sheets give them."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from records.domain.errors import BadValue, Code

METALS = ("steel", "aluminium", "titanium", "iron", "other")

# g/cm³, nominal (checks: 4340 steel 7.85, castings 2.70, grey iron 7.15; titanium from memory).
# "other" has none: the shop says it.
DENSITIES: dict[str, Decimal] = {
    "steel": Decimal("7.85"),
    "aluminium": Decimal("2.70"),
    "titanium": Decimal("4.43"),
    "iron": Decimal("7.15"),
}


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of part.

    `key` is how the record writes it. `per_place`: each cylinder has one; else the engine has one
    or none. `in_set`: weighed with its place's set, as reciprocating mass. `in_bob_weight`: counts
    on the card. `shareable`: one piece may stand for every place. `metal` is the default.
    """

    key: str
    metal: str
    per_place: bool
    in_set: bool
    in_bob_weight: bool
    shareable: bool
    aliases: tuple[str, ...]


def _of_a_place(
    key: str, metal: str, *aliases: str, in_set: bool = True, shareable: bool = False
) -> Kind:
    return Kind(key, metal, True, in_set, True, shareable, aliases)


def _of_the_engine(key: str, metal: str, *aliases: str) -> Kind:
    return Kind(key, metal, False, False, False, False, aliases)


KINDS: tuple[Kind, ...] = (
    _of_a_place("piston", "aluminium", "pistons"),
    _of_a_place("pin", "steel", "pins", "piston pin", "wrist pin", "gudgeon pin", "gudgeon"),
    _of_a_place(
        "pin locks", "steel", "pin lock", "lock", "locks", "clips", "circlips", shareable=True
    ),
    _of_a_place("ring set", "iron", "rings", "ring sets", "piston rings", shareable=True),
    _of_a_place(
        "rod", "steel", "rods", "con rod", "conrod", "connecting rod", "conn rod", in_set=False
    ),
    _of_a_place(
        "bearing shells",
        "steel",
        "bearing shell",
        "shells",
        "shell",
        "rod bearings",
        "rod bearing",
        "big end shells",
        "bearings",
        in_set=False,
        shareable=True,
    ),
    _of_the_engine("crankshaft", "steel", "crank"),
    _of_the_engine(
        "damper", "steel", "vibration damper", "torsional damper", "harmonic damper", "balancer"
    ),
    _of_the_engine("pulley", "steel", "crank pulley", "front pulley", "solid pulley", "solid hub"),
    _of_the_engine("flywheel", "steel", "fly wheel"),
    _of_the_engine("flexplate", "steel", "flex plate"),
    _of_the_engine("clutch cover", "steel", "pressure plate", "clutch pressure plate"),
)

_BY_NAME: dict[str, Kind] = {name: kind for kind in KINDS for name in (kind.key, *kind.aliases)}
SET_KINDS: tuple[str, ...] = tuple(kind.key for kind in KINDS if kind.in_set)
BOB_WEIGHT_KINDS: tuple[str, ...] = tuple(kind.key for kind in KINDS if kind.in_bob_weight)


def kind_named(name: str, field: str = "kind") -> Kind:
    """Return the kind that a bench sheet calls so: case, hyphens and blanks don't matter.

    Errors: BadValue naming the field, with the kinds there are.
    """
    kind = _BY_NAME.get(" ".join(name.lower().replace("-", " ").replace("_", " ").split()))
    if kind is None:
        known = ", ".join(kind.key for kind in KINDS)
        raise BadValue(
            Code.BAD_VALUE,
            f"expected one of {known}; got {name!r}",
            field=field,
            expected=known,
            got=name,
        )
    return kind


def check_place(kind: Kind, place: int | None, places: tuple[int, ...]) -> None:
    """Refuse a place that this kind can't have in an engine with these places.

    Errors: BadValue at `place`: none where the kind needs its own, one where it has none, one that
    the engine hasn't.
    """
    if not kind.per_place:
        if place is not None:
            raise _no_such_place(f"no place for a {kind.key}: the engine has one", place)
        return
    if place is None:
        if not kind.shareable:
            raise _no_such_place(f"a place for a {kind.key}: each place has its own", place)
        return
    if place not in places:
        raise _no_such_place(f"a place from {places[0]} to {places[-1]}", place)


def _no_such_place(expected: str, got: int | None) -> BadValue:
    shown = "none" if got is None else str(got)
    return BadValue(
        Code.MISSING if got is None else Code.BAD_VALUE,
        f"expected {expected}; got {shown}",
        field="place",
        expected=expected,
        got=shown,
    )
