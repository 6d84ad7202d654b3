"""How a recalled build may be cleared, and what its customer is to be told meanwhile."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import NoReturn

from records.domain.errors import BadValue, Code, Conflict, NotAllowed
from records.domain.practice.card import reckon_card
from records.domain.practice.evidence import Evidence
from records.domain.practice.facts import BuildFacts
from records.domain.practice.judgement import judgements
from records.domain.practice.recall import SOUND
from records.domain.practice.recall_sides import BOB_WEIGHT, REMOVAL
from records.domain.practice.recalled import rests_on
from records.domain.practice.separation import workers


class Way(StrEnum):
    """How a case ends."""

    CLEARED = "cleared"
    RE_MEASURED = "re-measured"
    REPLACED = "replaced"
    WITHDRAWN = "withdrawn"


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A decision of the case as it was reckoned again."""

    kind: str
    outcome: str


def check_clearing(
    way: str,
    *,
    by: str,
    facts: BuildFacts,
    reckoned: Collection[Reckoned],
    revision: int | None,
    newest_revision: int | None,
) -> Way:
    """Return the way when the case may end so, by this inspector.

    `revision` is that of the certificate in doubt, None where none went out. Errors: BadValue at
    `outcome`; NotAllowed for who did the work; Conflict where the record doesn't bear it out.
    """
    chosen = _way(way)
    _check_did_not_work(by, facts)
    if chosen is Way.CLEARED:
        _check_all_stand(reckoned)
    elif chosen is Way.RE_MEASURED:
        _check_measured_again(facts, reckoned)
    elif revision is None:
        _refuse(f"no certificate of {facts.number} is in doubt, so none can be {chosen}")
    elif chosen is Way.REPLACED and (newest_revision or 0) <= revision:
        _refuse(f"revision {revision} was not replaced yet: release a later one first")
    return chosen


def notice(
    *, certificate: str, revision: int, build: str, scale: str, on: date, turned: Sequence[str]
) -> tuple[str, str]:
    """Draft subject and text of a letter to a customer; it bears numbers and no names."""
    subject = f"Certificate {certificate}, revision {revision}: in doubt"
    found = (
        f"Reckoned again with the error as found, these no longer hold or can't be told: "
        f"{'; '.join(turned)}."
        if turned
        else "Reckoned again with the error as found, every figure promised still holds."
    )
    body = (
        f"Scale {scale}, on which parts of build {build} were weighed, was found to be off and was "
        f"withdrawn on {on}. Certificate {certificate}, revision {revision}, is in doubt from "
        f"now on, as its public page says. {found} An inspector looks at it; you will be told "
        "whether the certificate stands again, is replaced, or is withdrawn. This says what was "
        "measured; whether an engine is safe to run it can't say."
    )
    return subject, body


def _way(word: str) -> Way:
    try:
        return Way(word)
    except ValueError:
        wanted = ", ".join(Way)
        raise BadValue(
            Code.BAD_VALUE,
            f"expected one of {wanted}, got {word!r}",
            field="outcome",
            expected=wanted,
            got=word[:40],
        ) from None


def _check_did_not_work(by: str, facts: BuildFacts) -> None:
    did = workers(facts).get(by)
    if did is None or (facts.use == "street" and facts.shop.self_release_street):
        return
    words = ", ".join(sorted(did))
    raise NotAllowed(
        Code.NOT_ALLOWED,
        f"{by} worked on build {facts.number} ({words}) and can't clear it; ask an inspector who "
        "did none of the work",
        expected="an inspector who did none of the work",
        got=f"{by}, who {words}",
    )


def _check_all_stand(reckoned: Collection[Reckoned]) -> None:
    turned = [one for one in reckoned if one.outcome not in SOUND]
    if turned:
        _refuse(
            f"{len(turned)} of {len(reckoned)} decisions flip or can't be told; measure again, "
            "replace the certificate or withdraw it"
        )


def _check_measured_again(facts: BuildFacts, reckoned: Collection[Reckoned]) -> None:
    """Ask for new weighings that bear out every decision in doubt; a cut can't be weighed again."""
    evidence = Evidence(facts)
    left = rests_on(facts, evidence)
    if left:
        parts = sorted({w.part or f"set {w.place}" for w in left})
        _refuse(f"weigh these again first: {', '.join(parts)}")
    kinds = {one.kind for one in reckoned}
    for judged in judgements(facts, evidence):
        if judged.kind in kinds and not judged.matches:
            _refuse(f"measured again, the {judged.kind}s don't match: rework, then replace it")
    if BOB_WEIGHT in kinds:
        _check_bob_weights(facts, evidence)
    if any(one.kind == REMOVAL and one.outcome not in SOUND for one in reckoned):
        _refuse("what a cut took off can't be weighed again; replace the certificate or withdraw")


def _check_bob_weights(facts: BuildFacts, evidence: Evidence) -> None:
    issued = {pin.pin: pin.total_g for pin in facts.card.pins} if facts.card else {}
    card = reckon_card(facts, evidence)
    if card.missing:
        _refuse(f"the bob weight can't be reckoned: {card.missing[0]}")
    for pin in card.pins:
        off_g = pin.total_g - issued.get(pin.pin, Decimal("Infinity"))
        if abs(off_g) > facts.bob_range_g:
            _refuse(
                f"bob weight of pin {pin.pin}: measured again it is {off_g:+.2f} g off the card, "
                f"expected within ± {facts.bob_range_g:.10g} g; issue a new card and spin anew"
            )


def _refuse(why: str) -> NoReturn:
    raise Conflict(Code.CONFLICT, f"not yet: {why}", field="outcome", got=why[:80])
