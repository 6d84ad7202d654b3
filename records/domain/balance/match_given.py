"""Take the parts of a matching as they come, refuse what can't be, count in whole steps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from records.domain.balance.match_problem import Block, Problem
from records.domain.balance.possible import at_least_zero, out_of_range
from records.domain.errors import BadValue, Code

_HEAVIEST_G = Decimal(1_000_000)
_FINEST_DECIMALS = 20
_MOST_KINDS, _MOST_PLACES, _MOST_PARTS = 12, 64, 256

Part = tuple[int, int]


@dataclass(frozen=True)
class Kind:
    """One kind of part: its masses in g, whether any may be cut, and how much each may still lose.

    `allowance_g`: one number for all, one for each, or None where no limit is known or set.
    """

    name: str
    masses_g: tuple[Decimal, ...]
    may_cut: bool = True
    allowance_g: Decimal | tuple[Decimal, ...] | None = None


@dataclass(frozen=True)
class Grouping:
    """Parts (kind name to index) that stand at one place, counted from 0."""

    place: int
    parts: Mapping[str, int]


def as_problem(
    kinds: Sequence[Kind],
    *,
    places: int,
    tolerance_g: Decimal,
    tied: Sequence[Mapping[str, int]],
    fixed: Sequence[Grouping],
    for_spread: bool,
) -> tuple[Problem, int]:
    """Check all that came and count it in whole steps; gives the steps per gram beside it."""
    _check_sizes(kinds, places)
    allowances = [_allowances(i, kind) for i, kind in enumerate(kinds)]
    at_least_zero("tolerance_g", tolerance_g)
    steps_per_g = _steps_per_g(kinds, allowances, tolerance_g)

    def steps(mass_g: Decimal) -> int:
        return int(mass_g * steps_per_g)

    problem = Problem(
        places=places,
        masses=tuple(tuple(steps(m) for m in kind.masses_g) for kind in kinds),
        allowances=tuple(
            tuple(None if a is None else steps(a) for a in of_kind) for of_kind in allowances
        ),
        tolerance=steps(tolerance_g),
        blocks=_blocks(kinds, places, tied, fixed),
        for_spread=for_spread,
    )
    return problem, steps_per_g


def _check_sizes(kinds: Sequence[Kind], places: int) -> None:
    if not 1 <= places <= _MOST_PLACES:
        raise out_of_range("places", f"1 to {_MOST_PLACES} places", places)
    if not 1 <= len(kinds) <= _MOST_KINDS:
        raise out_of_range("kinds", f"1 to {_MOST_KINDS} kinds", len(kinds))
    names = [kind.name for kind in kinds]
    for i, kind in enumerate(kinds):
        if not kind.name or names.index(kind.name) != i:
            raise BadValue(
                Code.BAD_VALUE,
                f"expected a name of its own for each kind, got {kind.name!r}",
                field=f"kinds/{i}/name",
                expected="a name no other kind has",
                got=repr(kind.name),
            )
        field = f"kinds/{i}/masses_g"
        if not places <= len(kind.masses_g) <= _MOST_PARTS:
            raise out_of_range(
                field,
                f"at least one part a place ({places}) and at most {_MOST_PARTS}",
                len(kind.masses_g),
            )
        for j, mass_g in enumerate(kind.masses_g):
            if at_least_zero(f"{field}/{j}", mass_g) > _HEAVIEST_G:
                raise out_of_range(f"{field}/{j}", f"at most {_HEAVIEST_G} g", mass_g)


def _allowances(i: int, kind: Kind) -> list[Decimal | None]:
    """Give what may still come off each part: nothing where the kind may not be cut."""
    count = len(kind.masses_g)
    field = f"kinds/{i}/allowance_g"
    if isinstance(kind.allowance_g, tuple):
        if len(kind.allowance_g) != count:
            raise out_of_range(field, f"one allowance a part ({count})", len(kind.allowance_g))
        each: list[Decimal | None] = [
            at_least_zero(f"{field}/{j}", a) for j, a in enumerate(kind.allowance_g)
        ]
    elif kind.allowance_g is None:
        each = [None] * count
    else:
        each = [at_least_zero(field, kind.allowance_g)] * count
    return each if kind.may_cut else [Decimal(0)] * count


def _steps_per_g(
    kinds: Sequence[Kind], allowances: Sequence[Sequence[Decimal | None]], tolerance_g: Decimal
) -> int:
    """Give the power of ten that makes every number here whole."""
    numbers = [tolerance_g, *(m for kind in kinds for m in kind.masses_g)]
    numbers += [a for of_kind in allowances for a in of_kind if a is not None]
    exponents = [number.as_tuple().exponent for number in numbers]
    decimals = max([-e for e in exponents if isinstance(e, int)] + [0])
    if decimals > _FINEST_DECIMALS:
        raise out_of_range("kinds", f"at most {_FINEST_DECIMALS} decimals", decimals)
    return int(10**decimals)


def _blocks(
    kinds: Sequence[Kind],
    places: int,
    tied: Sequence[Mapping[str, int]],
    fixed: Sequence[Grouping],
) -> tuple[Block, ...]:
    """Merge ties and fixed places that share a part into blocks."""
    groups: list[tuple[set[Part], set[int], str]] = []
    for i, names in enumerate(tied):
        groups.append((_parts(kinds, names, f"tied/{i}"), set(), f"tied/{i}"))
    for i, grouping in enumerate(fixed):
        if not 0 <= grouping.place < places:
            raise out_of_range(f"fixed/{i}/place", f"0 to {places - 1}", grouping.place)
        parts = _parts(kinds, grouping.parts, f"fixed/{i}")
        groups.append((parts, {grouping.place}, f"fixed/{i}"))
    merged: list[tuple[set[Part], set[int]]] = []
    for own_parts, own_held, field in groups:
        parts, held, apart = own_parts, own_held, []
        for other, other_held in merged:
            if other & parts or other_held & held:
                parts, held = parts | other, held | other_held
            else:
                apart.append((other, other_held))
        if len({kind for kind, _ in parts}) < len(parts) or len(held) > 1:
            raise BadValue(
                Code.CONFLICT,
                "these parts would put two of one kind in one set, or one part in two places; "
                "untie one of them",
                field=field,
                expected="at most one part of each kind in a set",
                got=", ".join(f"{kinds[k].name} {i}" for k, i in sorted(parts)),
            )
        merged = [*apart, (parts, held)]
    return tuple(
        Block(tuple(sorted(parts)), min(held, default=None))
        for parts, held in merged
        if len(parts) > 1 or held
    )


def _parts(kinds: Sequence[Kind], names: Mapping[str, int], field: str) -> set[Part]:
    by_name = {kind.name: k for k, kind in enumerate(kinds)}
    parts = set()
    for name, index in names.items():
        if name not in by_name:
            raise BadValue(
                Code.UNKNOWN_KEY,
                f"expected the name of a kind ({', '.join(by_name)}), got {name!r}",
                field=f"{field}/{name}",
                expected=", ".join(by_name),
                got=name,
            )
        k = by_name[name]
        if not 0 <= index < len(kinds[k].masses_g):
            raise out_of_range(f"{field}/{name}", f"0 to {len(kinds[k].masses_g) - 1}", index)
        parts.add((k, index))
    return parts
