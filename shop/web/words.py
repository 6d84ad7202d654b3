"""Counts and lists in words, as a title says them."""

from __future__ import annotations

from collections.abc import Sequence

COUNTS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)


def count(n: int) -> str:
    """Write a small count as a word, a larger one in figures."""
    return COUNTS[n] if n < len(COUNTS) else str(n)


def things(n: int, one: str, many: str = "") -> str:
    """Write a count with what is counted: one build, two builds."""
    return f"{count(n)} {one if n == 1 else many or one + 's'}"


def listed(words: Sequence[str]) -> str:
    """Write a list as a sentence does: a, b and c."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
