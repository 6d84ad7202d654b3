"""The bob-weight card of a build: what hangs on each crankpin, and whether a card still holds.

N·(big end + shells) + oil + f·N·(small end + piston + pin + locks + rings), each rod's own parts
by their newest evidence. A small end is the whole less the big end, so a rod counts as
(1 - f)·big + f·whole; what weighings share adds linearly (GUM, JCGM 100:2008, 5.2.2); oil is an
allowance, not in U. Shells or locks weighed once for all places are one weighing used N times.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from records.domain.balance.layout import bob_weights_needed, pins_of, why_bob_weights
from records.domain.practice.evidence import BIG_END, WHOLE, Evidence
from records.domain.practice.facts import BuildFacts, CardFacts, WeighingFacts
from records.domain.practice.fitted import fitments_now
from records.domain.practice.kinds import BOB_WEIGHT_KINDS, SET_KINDS
from records.domain.practice.masses import NOTHING, Mass, total

ONE = Decimal(1)


@dataclass(frozen=True, slots=True)
class PinCard:
    """One crankpin: exact grams, oil among the rotating ones; `reciprocating_g` as counted."""

    pin: int
    places: tuple[int, ...]
    rotating_g: Decimal
    reciprocating_g: Decimal
    u_g: float
    U_g: float
    sources: tuple[int, ...]

    @property
    def rods(self) -> int:
        """Count the rods on this pin."""
        return len(self.places)

    @property
    def total_g(self) -> Decimal:
        """Give the bob weight."""
        return self.rotating_g + self.reciprocating_g


@dataclass(frozen=True, slots=True)
class Card:
    """A card as it would be written now; no pins where none is needed or something is missing.

    `missing` says what must still be weighed, `why` whether this layout needs bob weights.
    """

    needed: bool
    why: str
    oil_g: Decimal
    fraction: Decimal
    pins: tuple[PinCard, ...]
    missing: tuple[str, ...]

    @property
    def sources(self) -> tuple[int, ...]:
        """Name the weighings behind all pins, by id."""
        return tuple(sorted({id for pin in self.pins for id in pin.sources}))


@dataclass(frozen=True, slots=True)
class CardState:
    """Whether a card is needed and why, whether one was written, and what made it stale."""

    needed: bool
    why: str
    exists: bool
    stale: tuple[str, ...]

    @property
    def holds(self) -> bool:
        """Tell whether the machinist may use the card that there is."""
        return self.exists and not self.stale


def reckon_card(facts: BuildFacts, evidence: Evidence | None = None) -> Card:
    """Reckon the card of a build from its finished parts' own weighings."""
    known = evidence or Evidence(facts)
    needed, why = bob_weights_needed(facts.cylinders), why_bob_weights(facts.cylinders)
    if not needed:
        return Card(needed, why, facts.oil_g, facts.fraction, (), ())
    missing = tuple(dict.fromkeys(t for place in facts.places for t in _missing(known, place)))
    pins = () if missing else tuple(_pins(facts, known))
    return Card(needed, why, facts.oil_g, facts.fraction, pins, missing)


def card_state(facts: BuildFacts, evidence: Evidence | None = None) -> CardState:
    """Say whether the newest card still holds, and what changed if it doesn't.

    It is stale once a contributing part was cut, weighed again outside the uncertainty of the
    difference, fitted or taken out, or once a weighing behind it stands or counts no longer.
    """
    known = evidence or Evidence(facts)
    needed, why = bob_weights_needed(facts.cylinders), why_bob_weights(facts.cylinders)
    if facts.card is None:
        return CardState(needed, why, False, ())
    stale = dict.fromkeys(
        (
            *_changed_rules(facts, facts.card),
            *_moved(facts, facts.card),
            *_changed_weighings(known, facts.card),
        )
    )
    return CardState(needed, why, True, tuple(stale))


def _pins(facts: BuildFacts, known: Evidence) -> Iterable[PinCard]:
    for pin, cylinders in pins_of(facts.cylinders).items():
        places = tuple(cylinder.place for cylinder in cylinders)
        rotating = total([_rotating(known, place) for place in places])
        reciprocating = total([_reciprocating(known, place) for place in places])
        whole = rotating.plus(reciprocating, facts.fraction)
        uncertain = whole.uncertain()
        # With f = 1 a big end cancels out of its rod, yet it is behind the two halves.
        sources = sorted({*rotating.terms, *reciprocating.terms})
        yield PinCard(
            pin=pin,
            places=places,
            rotating_g=rotating.mass_g + facts.oil_g,
            reciprocating_g=facts.fraction * reciprocating.mass_g,
            u_g=uncertain.u_g,
            U_g=uncertain.U_g,
            sources=tuple(sources),
        )


def _rotating(known: Evidence, place: int) -> Mass:
    """Add a rod's big end and its shells."""
    return _at(known, place, "rod", BIG_END).plus(_at(known, place, "bearing shells", WHOLE))


def _reciprocating(known: Evidence, place: int) -> Mass:
    """Add a place's set, by its parts, and the rod's small end: whole less big end."""
    rod = _at(known, place, "rod", WHOLE).minus(_at(known, place, "rod", BIG_END))
    return total([rod, *(_at(known, place, kind, WHOLE) for kind in SET_KINDS)])


def _at(known: Evidence, place: int, kind: str, what: str) -> Mass:
    part = known.fitted(place, kind)
    mass = None if part is None else known.newest_mass(part, what)
    return mass or NOTHING


def _missing(known: Evidence, place: int) -> Iterable[str]:
    wanted = ("rod", "bearing shells", *known.kinds_missing(place))
    for kind in wanted:
        if known.fitted(place, kind) is None:
            yield f"place {place}: no {kind} fitted"
    for part in known.set_parts(place):
        yield from _unweighed(known, part, WHOLE)
    rod, shells = known.fitted(place, "rod"), known.fitted(place, "bearing shells")
    if shells is not None:
        yield from _unweighed(known, shells, WHOLE)
    if rod is not None:
        yield from _unweighed(known, rod, WHOLE)
        yield from _unweighed(known, rod, BIG_END)
        yield from _impossible(known, rod)


def _unweighed(known: Evidence, part: str, what: str) -> Iterable[str]:
    newest = known.newest(part, what)
    if newest is None:
        yield known.why_missing(part, what)
    elif known.mass(newest) is None:
        yield "rod length not given: without the centre distance no end has a U; enter it"


def _impossible(known: Evidence, rod: str) -> Iterable[str]:
    whole, big = known.newest_mass(rod, WHOLE), known.newest_mass(rod, BIG_END)
    if whole is not None and big is not None and whole.mass_g <= big.mass_g:
        yield (
            f"rod {rod}: expected a whole heavier than its big end, got {whole.mass_g:.10g} and "
            f"{big.mass_g:.10g} g; weigh both again"
        )


def _changed_rules(facts: BuildFacts, card: CardFacts) -> Iterable[str]:
    if card.oil_g != facts.oil_g:
        yield f"oil is {facts.oil_g:.10g} g a pin now, the card has {card.oil_g:.10g} g"
    if card.fraction != facts.fraction:
        yield f"the fraction is {facts.fraction:f} now, the card has {card.fraction:f}"


def _moved(facts: BuildFacts, card: CardFacts) -> Iterable[str]:
    """Find what was fitted or taken out after the card was written."""
    for fitment in facts.fitments:
        kind = facts.parts[fitment.part].kind
        if kind not in BOB_WEIGHT_KINDS:
            continue
        if fitment.ended_at is not None and fitment.ended_at > card.issued_at:
            yield f"{kind} {fitment.part} was taken out after the card"
        if fitment.fitted_at > card.issued_at and fitment.ended_at is None:
            yield f"{kind} {fitment.part} was fitted after the card"


def _changed_weighings(known: Evidence, card: CardFacts) -> Iterable[str]:
    behind = [known.weighing(id) for id in card.sources]
    if any(weighing is None for weighing in behind):
        yield "a weighing behind the card was corrected since"
    standing = [weighing for weighing in behind if weighing is not None]
    for weighing in standing:
        yield from _changed(known, weighing)
    weighed = {weighing.part for weighing in standing}
    for fitment in fitments_now(known.facts):
        kind = known.facts.parts[fitment.part].kind
        if kind in BOB_WEIGHT_KINDS and fitment.part not in weighed and None not in behind:
            yield f"{kind} {fitment.part} is fitted and not in the card"


def _changed(known: Evidence, source: WeighingFacts) -> Iterable[str]:
    part = source.part or ""
    name = f"{known.facts.parts[part].kind} {part}"
    newest = known.newest(part, source.what)
    if not known.standing(source.id).counts:
        reason = known.standing(source.id).reasons[0][1]
        yield f"{name}: its {source.what} weighing no longer counts: {reason}"
    elif known.was_cut_since(source):
        yield f"{name} was cut after its {source.what} was weighed for the card"
    elif newest is not None and newest.id != source.id:
        yield from _weighed_off(known, source, newest, name)


def _weighed_off(
    known: Evidence, source: WeighingFacts, newest: WeighingFacts, name: str
) -> Iterable[str]:
    old, new = known.mass(source), known.mass(newest)
    if old is None or new is None:
        return
    off = new.minus(old)
    U_g = off.uncertain().U_g
    if abs(off.mass_g) > U_g:
        yield (
            f"{name}: its {source.what} weighed again is {off.mass_g:+.2f} g off what the card "
            f"has, expected within U of {U_g:.2g} g"
        )
