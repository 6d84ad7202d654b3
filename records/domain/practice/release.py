"""What blocks a release, and what a release that is allowed must say."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from records.domain.errors import BadValue, Code, Conflict, ManyErrors, TarebookError
from records.domain.measure.decision import Verdict
from records.domain.practice.closing import is_closed
from records.domain.practice.damper import damper_not_seen, rating_day
from records.domain.practice.facts import BuildFacts
from records.domain.practice.finding import RATING_CODES, Decision, Finding
from records.domain.practice.findings import findings_of
from records.domain.practice.fitted import parts_now
from records.domain.practice.judgement import judgements
from records.domain.practice.roles import check_may
from records.domain.practice.separation import check_may_release, workers

PART_SCRAPPED = "part_scrapped"


@dataclass(frozen=True, slots=True)
class Block:
    """One thing in the way; `key` is the finding's, where an inspector can dispose of it."""

    code: str
    text: str
    key: str | None
    part: str | None = None
    place: int | None = None


@dataclass(frozen=True, slots=True)
class ConditionalPass:
    """A place that passes on the condition that it is said: printed on page 1."""

    kind: str
    place: int
    parts: tuple[str, ...]
    difference_g: str
    U_g: float
    conformance_probability: float


@dataclass(frozen=True, slots=True)
class ReleaseRuling:
    """A release that is allowed, and what page 1 must say of it.

    `rating_day` is the day that a rating was judged for, None where none was asked.
    """

    second_person: bool
    not_for_competition: bool
    conditional: tuple[ConditionalPass, ...]
    damper_not_seen: str
    rating_day: date | None


def what_blocks(
    facts: BuildFacts, *, today: date, not_for_competition: bool = False
) -> tuple[Block, ...]:
    """Return everything that stands in the way of a release on a day, in the order of the work.

    As not for competition, what speaks of the damper's rating alone does not block.
    """
    waived = RATING_CODES if not_for_competition else frozenset()
    decided = {recorded.key: recorded.disposition for recorded in facts.findings}
    did = workers(facts)
    open_ones = [
        found
        for found in findings_of(facts, today=today)
        if found.code not in waived and not is_closed(found, decided.get(found.key), did)
    ]
    return (*(_block(found) for found in open_ones), *_scrapped(facts))


def conditional_passes(facts: BuildFacts) -> tuple[ConditionalPass, ...]:
    """Return the places that pass conditionally, which page 1 prints."""
    return tuple(
        ConditionalPass(
            kind.kind,
            place.place,
            place.parts,
            f"{place.difference_g:f}",
            place.U_g,
            place.conformance_probability,
        )
        for kind in judgements(facts)
        for place in kind.places
        if place.verdict is Verdict.CONDITIONALLY_PASSED
    )


def check_release(
    facts: BuildFacts,
    *,
    releaser: str,
    releaser_roles: Iterable[str],
    today: date,
    seen_conditional: bool,
    seals: Sequence[str],
    no_seals_reason: str = "",
    not_for_competition: bool = False,
    not_for_competition_reason: str = "",
    replaces: bool = False,
) -> ReleaseRuling:
    """Return the ruling of a release that may be made; refuse any other.

    Errors: NotAllowed without the role or for one's own work; Conflict `already_there` for a build
    released before (unless this one replaces it), Conflict `release_blocked` for each block,
    BadValue at `seals`, `no_seals_reason`, `seen_conditional`, `not_for_competition` or
    `not_for_competition_reason`; ManyErrors where there are several.
    """
    check_may(releaser_roles, "release", releaser)
    has_second_person = check_may_release(facts, releaser)
    _refuse_second_release(facts, replaces=replaces)
    conditional = conditional_passes(facts)
    blocks = what_blocks(facts, today=today, not_for_competition=not_for_competition)
    errors = [
        *_seal_errors(seals, no_seals_reason),
        *_condition_errors(conditional, seen=seen_conditional),
        *_use_errors(facts, not_for_competition_reason, waived=not_for_competition),
    ]
    _raise_all([*errors, *(_blocked(block) for block in blocks)])
    is_judged = facts.use == "competition" and not not_for_competition
    return ReleaseRuling(
        has_second_person,
        not_for_competition,
        conditional,
        damper_not_seen(facts),
        rating_day(facts, today=today) if is_judged else None,
    )


def _refuse_second_release(facts: BuildFacts, *, replaces: bool) -> None:
    if facts.released and not replaces:
        raise Conflict(
            Code.ALREADY_THERE,
            f"build {facts.number} is released already; a revision names the one it replaces",
            expected="a build not yet released",
            got="a released one",
        )


def _blocked(block: Block) -> Conflict:
    return Conflict(Code.RELEASE_BLOCKED, block.text, field=block.code, got=block.key or "")


def _block(found: Finding) -> Block:
    key = found.key if found.can_be_disposed else None
    return Block(found.code.value, found.text, key, found.part, found.place)


def _scrapped(facts: BuildFacts) -> Iterable[Block]:
    """A scrapped part closes its findings, and must not stay in the engine."""
    scrapped = {
        recorded.part
        for recorded in facts.findings
        if recorded.disposition and recorded.disposition.decision == Decision.SCRAP
    }
    for part in parts_now(facts):
        if part.number in scrapped or part.scrapped_in:
            text = f"{part.number}: scrapped, and still in the build; take it out and fit another"
            yield Block(PART_SCRAPPED, text, None, part.number)


def _seal_errors(seals: Sequence[str], reason: str) -> Iterable[TarebookError]:
    numbers = [seal.strip() for seal in seals]
    if not numbers and not reason.strip():
        wanted = "the engine's seal numbers, or why none is fitted"
        yield _bad(Code.MISSING, "seals", wanted, "neither")
    elif numbers and reason.strip():
        wanted = "no reason where seals are fitted"
        yield _bad(Code.BAD_VALUE, "no_seals_reason", wanted, f"{len(numbers)} seals and a reason")
    if "" in numbers or len(set(numbers)) < len(numbers):
        yield _bad(Code.BAD_VALUE, "seals", "each seal number once, none empty", ", ".join(numbers))


def _condition_errors(
    conditional: Sequence[ConditionalPass], *, seen: bool
) -> Iterable[TarebookError]:
    if conditional and not seen:
        wanted = f"that the {len(conditional)} conditional passes were seen; look and tick"
        yield _bad(Code.MISSING, "seen_conditional", wanted, "not ticked")


def _use_errors(facts: BuildFacts, reason: str, *, waived: bool) -> Iterable[TarebookError]:
    if waived and facts.use != "competition":
        wanted = "a competition build"
        yield _bad(Code.BAD_VALUE, "not_for_competition", wanted, f"a {facts.use} build")
    if waived and not reason.strip():
        yield _bad(Code.MISSING, "not_for_competition_reason", "a reason", "none")


def _bad(code: Code, field: str, expected: str, got: str) -> BadValue:
    message = f"expected {expected}; got {got}"
    return BadValue(code, message, field=field, expected=expected, got=got)


def _raise_all(errors: list[TarebookError]) -> None:
    if len(errors) == 1:
        raise errors[0]
    if errors:
        raise ManyErrors(errors)
