"""Every arrangement there is, by itertools: the independent route for small matchings."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal

from records.domain.balance.matching import Aim, Grouping, Kind

UNLIMITED = Decimal(10**9)
Sets = list[dict[str, int]]


def best(
    kinds: Sequence[Kind],
    *,
    places: int,
    aim: Aim,
    tolerance_g: Decimal = Decimal(0),
    tied: Sequence[Mapping[str, int]] = (),
    fixed: Sequence[Grouping] = (),
) -> tuple[bool, Decimal] | None:
    """Return (short of allowance?, the aim's value) of the best arrangement, if there is one."""
    answers = (
        judged(kinds, sets, aim, tolerance_g)
        for sets in arrangements(kinds, places, named=bool(fixed))
        if all(together(sets, group) for group in tied)
        and all(f.parts.items() <= sets[f.place].items() for f in fixed)
    )
    return min(answers, default=None)


def arrangements(kinds: Sequence[Kind], places: int, *, named: bool) -> Iterator[Sets]:
    """Yield every arrangement, place by place; without named places one order of them is enough."""
    first = itertools.permutations if named else itertools.combinations
    orders = [first(range(len(kinds[0].masses_g)), places)]
    orders += [itertools.permutations(range(len(k.masses_g)), places) for k in kinds[1:]]
    for chosen in itertools.product(*orders):
        yield [
            {kind.name: order[place] for kind, order in zip(kinds, chosen, strict=True)}
            for place in range(places)
        ]


def together(sets: Sets, group: Mapping[str, int]) -> bool:
    """Tell whether these parts stand in one set, or all on the bench."""
    return (
        len({next((p for p, s in enumerate(sets) if s[n] == i), -1) for n, i in group.items()}) == 1
    )


def judged(
    kinds: Sequence[Kind], sets: Sets, aim: Aim, tolerance_g: Decimal
) -> tuple[bool, Decimal]:
    totals = [sum(kind.masses_g[s[kind.name]] for kind in kinds) for s in sets]
    removals = [max(Decimal(0), t - min(totals) - tolerance_g) for t in totals]
    short = any(
        off > sum(allowance(kind, s[kind.name]) for kind in kinds)
        for off, s in zip(removals, sets, strict=True)
    )
    value = max(totals) - min(totals) if aim is Aim.SPREAD else sum(removals)
    return short, Decimal(value)


def allowance(kind: Kind, index: int) -> Decimal:
    if not kind.may_cut:
        return Decimal(0)
    if isinstance(kind.allowance_g, tuple):
        return kind.allowance_g[index]
    return UNLIMITED if kind.allowance_g is None else kind.allowance_g
