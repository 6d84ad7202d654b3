"""What a build promises, kind by kind: greatest minus least, and how often each is read."""

from __future__ import annotations

from decimal import Decimal

from records.domain.practice.facts import BuildFacts

SETS, BIG_ENDS, WHOLE_RODS = "set", "big end", "whole rod"
KINDS = (SETS, BIG_ENDS, WHOLE_RODS)


def tolerance_of(facts: BuildFacts, kind: str) -> Decimal:
    """Give what was promised for a kind, greatest minus least, in g."""
    asked = facts.promise
    return {SETS: asked.set_g, BIG_ENDS: asked.big_end_g, WHOLE_RODS: asked.whole_rod_g}[kind]


def readings_of(facts: BuildFacts, kind: str) -> int:
    """Give how often the shop's rule reads a mass of a kind: big ends are hung anew each time."""
    return facts.promise.hangings if kind == BIG_ENDS else facts.promise.readings
