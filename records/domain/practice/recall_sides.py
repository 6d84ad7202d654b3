"""What a build's decisions come to under given facts: matches, cuts against limits, bob weights.

Reckoned twice for a recall, with the errors as recorded and as found, by the very rules that
decided. A bob weight is reckoned from the weighings that its card names, and judged against the
card's own range; a cut is judged against what its zones may lose over the part's life.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from records.domain.errors import BadValue
from records.domain.practice.card import PinCard, reckon_card
from records.domain.practice.facts import BuildFacts, RemovalFacts
from records.domain.practice.facts_of_parts import PartFacts
from records.domain.practice.finding import FindingCode
from records.domain.practice.judgement import GOOD, KindJudgement, PlaceJudgement, judgements
from records.domain.practice.mass_taken import MassTaken, mass_taken
from records.domain.practice.zones import taken_g, zone_findings

BOB_WEIGHT, REMOVAL = "bob weight", "removal"
NOT_PROVEN = "not proven"


@dataclass(frozen=True, slots=True)
class Side:
    """One decision under one set of facts; masses in g.

    `key` names it within its build. `holds` says whether it is good, None where nothing could be
    proven; `margin_g` is how far it is from turning, None where there is no limit. `sources` are
    the weighings behind it, by id.
    """

    key: str
    kind: str
    place: int | None
    parts: tuple[str, ...]
    limit_g: Decimal | None
    value_g: Decimal
    U_g: Decimal
    verdict: str
    holds: bool | None
    margin_g: Decimal | None
    sources: frozenset[int]


def sides_of(facts: BuildFacts) -> Mapping[str, Side]:
    """Reckon every decision of a build that can be reckoned from these facts, by its key."""
    found = (*_matches(facts), *_cuts(facts), *_bob_weights(facts))
    return {side.key: side for side in found}


def _matches(facts: BuildFacts) -> Iterator[Side]:
    for kind in judgements(facts):
        lightest = kind.lightest
        against = frozenset(lightest.sources) if lightest else frozenset()
        for place in kind.places:
            yield _match(kind, place, against)


def _match(kind: KindJudgement, place: PlaceJudgement, against: frozenset[int]) -> Side:
    U_g = round(Decimal(place.U_g), 9)
    return Side(
        key=f"{kind.kind}/{place.place}",
        kind=kind.kind,
        place=place.place,
        parts=place.parts,
        limit_g=kind.tolerance_g,
        value_g=place.difference_g,
        U_g=U_g,
        verdict=str(place.verdict) if place.verdict else NOT_PROVEN,
        holds=None if place.verdict is None else place.verdict in GOOD,
        margin_g=kind.tolerance_g - kind.guard_r * U_g - place.difference_g,
        sources=against | frozenset(place.sources),
    )


def _cuts(facts: BuildFacts) -> Iterator[Side]:
    """Reckon each closed cut of this build anew, with every cut of its part beside it."""
    masses = dict(_masses(facts))
    removals = tuple(
        replace(r, mass_g=masses[r.id].mass_g) if r.id in masses else r for r in facts.removals
    )
    now = replace(facts, removals=removals)
    for removal in removals:
        if removal.id in masses and removal.build == facts.number:
            yield _cut(now, removal, masses[removal.id])


def _masses(facts: BuildFacts) -> Iterator[tuple[int, MassTaken]]:
    for removal in facts.removals:
        if removal.after is None:
            continue
        try:
            yield removal.id, mass_taken(facts, removal.before, removal.after)
        except BadValue:  # a weighing of it is corrected since, or its scale knows no such load
            continue


def _cut(facts: BuildFacts, removal: RemovalFacts, taken: MassTaken) -> Side:
    part = facts.parts[removal.part]
    over = any(f.code is FindingCode.OVER_LIMIT for f in zone_findings(facts, [part]))
    left = list(_left_g(facts, part, removal))
    return Side(
        key=f"{REMOVAL}/{removal.id}",
        kind=REMOVAL,
        place=None,
        parts=(removal.part,),
        limit_g=min((limit for limit, _ in left), default=None),
        value_g=taken.mass_g,
        U_g=taken.U_g,
        verdict="over its limit" if over else "within its limit",
        holds=not over,
        margin_g=min((limit - total for limit, total in left), default=None),
        sources=frozenset({removal.before, removal.after or removal.before}),
    )


def _left_g(
    facts: BuildFacts, part: PartFacts, removal: RemovalFacts
) -> Iterator[tuple[Decimal, Decimal]]:
    """Yield limit and grams taken of each zone touched that has a limit."""
    cuts = [cut for cut in facts.removals if cut.part == part.number]
    for zone in part.spec.zones:
        if zone.id in removal.zones and zone.limit_g is not None:
            yield zone.limit_g, taken_g(zone, cuts)


def _bob_weights(facts: BuildFacts) -> Iterator[Side]:
    card = facts.card
    if card is None:
        return
    behind = tuple(w for w in facts.weighings if w.id in card.sources)
    issued = {pin.pin: pin.total_g for pin in card.pins}
    for pin in reckon_card(replace(facts, weighings=behind)).pins:
        if pin.pin in issued:
            yield _bob_weight(facts, pin, issued[pin.pin])


def _bob_weight(facts: BuildFacts, pin: PinCard, issued_g: Decimal) -> Side:
    margin_g = facts.bob_range_g - abs(pin.total_g - issued_g)
    return Side(
        key=f"{BOB_WEIGHT}/{pin.pin}",
        kind=BOB_WEIGHT,
        place=pin.pin,
        parts=(),
        limit_g=facts.bob_range_g,
        value_g=pin.total_g,
        U_g=round(Decimal(pin.U_g), 9),
        verdict="within its range" if margin_g >= 0 else "outside its range",
        holds=margin_g >= 0,
        margin_g=margin_g,
        sources=frozenset(pin.sources),
    )
