"""Heat colours as words, and what each asks for on each metal.

Colour is evidence, not a temperature: tables differ by 20 to 30 °C and colour deepens with time.
US Army TM 9-2815-202-34, 6-34, scraps a rod blued at either end; the rest is common practice.
"""

from __future__ import annotations

from collections.abc import Iterable

from records.domain.errors import BadValue, Code
from records.domain.practice.facts import BuildFacts, RemovalFacts
from records.domain.practice.facts_of_parts import PartFacts
from records.domain.practice.finding import Finding, FindingCode, finding

NONE = "none"
# As they come on bright steel with rising heat.
LOOK_COLOURS = (
    "light yellow",
    "straw",
    "yellow",
    "dark yellow",
    "brown",
    "yellow-brown",
    "red-brown",
    "purple",
    "violet",
)
HOLD_COLOURS = ("dark blue", "blue", "mid blue", "light blue", "grey blue", "grey green", "grey")
COLOURS = (*LOOK_COLOURS, *HOLD_COLOURS)
# Aluminium shows no colour: the question is whether it could be held in the hand.
TOO_HOT = "too hot to hold"
NOT_TOO_HOT = "not too hot"


def heat_words(metal: str, *, at_intake: bool = False) -> tuple[str, ...]:
    """Return the words that a metal's heat may be told by, at a cut or at intake."""
    if metal == "aluminium":
        return (NOT_TOO_HOT, TOO_HOT, *((NONE,) if at_intake else ()))
    return (NONE, *COLOURS)


def check_heat(metal: str, word: str, *, at_intake: bool = False, field: str = "heat") -> str:
    """Return the word, tidied; refuse one that this metal can't show.

    Errors: BadValue naming the field.
    """
    told = " ".join(word.lower().split())
    words = heat_words(metal, at_intake=at_intake)
    if told in words:
        return told
    expected = ", ".join(words)
    why = "; aluminium shows no colour, say whether it was ever too hot to hold"
    raise BadValue(
        Code.BAD_VALUE if told else Code.MISSING,
        f"expected one of {expected}, got {word!r}{why if metal == 'aluminium' else ''}",
        field=field,
        expected=expected,
        got=word,
    )


def seen_at_a_cut(removal: RemovalFacts, part: PartFacts) -> Finding | None:
    """Return the finding that the heat seen at a closed removal raises, if any."""
    if removal.after is None:
        return None
    code = _asked_for(part.spec.metal, removal.heat or "")
    if code is None:
        return None
    told = f"{part.number}: {removal.heat or 'heat not told'} on {part.spec.metal}"
    return finding(
        code, f"{told}, at removal {removal.id}; {_DO[code]}", removal.id, part=part.number
    )


def seen_at_intake(part: PartFacts) -> Finding | None:
    """Return the hold that dark blue or beyond raises whenever it came; less raises none here."""
    intake = part.intake
    if intake is None or _asked_for(part.spec.metal, intake.heat) is not FindingCode.BLUED:
        return None
    code = FindingCode.BLUED
    text = f"{part.number}: {intake.heat} on {part.spec.metal}, as it came in; {_DO[code]}"
    return finding(code, text, "intake", intake.heat, part=part.number)


def cracks_at_intake(part: PartFacts) -> Finding | None:
    """Return the hold that cracks noted at intake raise."""
    if part.intake is None or not part.intake.cracks:
        return None
    code = FindingCode.CRACKED
    text = f"{part.number}: cracks noted as it came in; {_DO[code]}"
    return finding(code, text, "intake", part=part.number)


def heat_findings(facts: BuildFacts, parts: Iterable[PartFacts]) -> tuple[Finding, ...]:
    """Return what heat and cracks raise on these parts.

    A hold stands whenever it came, in any build; what an inspector looks at was looked at in the
    build it was seen in, and is a colour noted at intake in the next.
    """
    found: list[Finding | None] = []
    for part in parts:
        found += [seen_at_intake(part), cracks_at_intake(part)]
        for removal in facts.removals:
            if removal.part != part.number:
                continue
            seen = seen_at_a_cut(removal, part)
            here = removal.build == facts.number
            found.append(seen if here or (seen and seen.code is FindingCode.BLUED) else None)
    return tuple(item for item in found if item is not None)


_DO = {
    FindingCode.BLUED: "hold: scrap it, or attach a hardness and a crack test result",
    FindingCode.HEAT_SEEN: "an inspector looks and says why it may stay",
    FindingCode.CRACKED: "scrap it, or attach a crack test result",
}


def _asked_for(metal: str, heat: str) -> FindingCode | None:
    """Say what a word asks for; a word that nobody knows is looked at, never let through."""
    word = heat.lower().strip()
    if word in (NONE, NOT_TOO_HOT):
        return None
    if word in HOLD_COLOURS and metal in ("steel", "iron"):
        return FindingCode.BLUED
    return FindingCode.HEAT_SEEN
