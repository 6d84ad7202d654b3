"""The order in which a gauge study is read: at random, and the same again for the same seed.

AIAG MSA (4th edition), chapter III: nobody shall know which part comes next. In each trial the
people take their turn, each with all parts at once, as one at a bench can; the people's order and
that of the parts is drawn anew. The draw sorts by SHA-256, so that anyone can repeat it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import NoReturn

from records.domain.errors import BadValue, Code

MOST_PARTS, MOST_PEOPLE, MOST_TRIALS = 30, 10, 10
MOST_TURNS = 500
SEEDS = 2**31


@dataclass(frozen=True, slots=True)
class Turn:
    """One reading to come: the how-manieth, of which part, by whom, in which trial."""

    order: int
    part: str
    person: str
    trial: int


def planned_order(
    parts: Sequence[str], people: Sequence[str], trials: int, seed: int
) -> tuple[Turn, ...]:
    """Return the turns of a study in the order in which they are to be read, counted from 1.

    Errors: BadValue at `parts`, `people`, `trials` or `seed` for a study too small or too large,
    a name given twice, or a seed out of range.
    """
    _check_names(parts, "parts", MOST_PARTS)
    _check_names(people, "people", MOST_PEOPLE)
    _check_range(trials, "trials", 2, MOST_TRIALS)
    _check_range(seed, "seed", 0, SEEDS - 1)
    many = len(parts) * len(people) * trials
    if many > MOST_TURNS:
        _refuse("parts", f"at most {MOST_TURNS} readings in all; take fewer parts", str(many))
    drawn = [
        (part, person, trial)
        for trial in range(1, trials + 1)
        for person in _shuffled(people, seed, "people", trial)
        for part in _shuffled(parts, seed, "parts", trial, person)
    ]
    return tuple(Turn(order, *turn) for order, turn in enumerate(drawn, start=1))


def _shuffled(names: Sequence[str], *draw: object) -> list[str]:
    """Sort names by a digest of the draw and the name: each order is as likely as any other."""
    told = "/".join(map(str, draw))
    return sorted(names, key=lambda name: sha256(f"{told}/{name}".encode()).digest())


def _check_names(names: Sequence[str], field: str, most: int) -> None:
    if not 2 <= len(names) <= most:
        _refuse(field, f"2 to {most} {field}", str(len(names)))
    seen: set[str] = set()
    for index, name in enumerate(names):
        if name in seen:
            _refuse(f"{field}/{index}", "each name once", f"{name} again")
        seen.add(name)


def _check_range(value: int, field: str, least: int, most: int) -> None:
    if not least <= value <= most:
        _refuse(field, f"{least} to {most}", str(value))


def _refuse(field: str, expected: str, got: str) -> NoReturn:
    raise BadValue(
        Code.OUT_OF_RANGE,
        f"expected {expected}, got {got}",
        field=field,
        expected=expected,
        got=got,
    )
