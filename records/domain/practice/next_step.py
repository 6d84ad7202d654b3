"""What is next on a build, in a sentence, and why a deed should wait.

The order of the work: book in, weigh, mix and match, sets, big ends, whole rods, sets weighed
together, bob-weight card, checklist, the inspector. Few deeds are refused; most that come early
are only advised against, since the record keeps what happened.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from records.domain.errors import BadValue, Code
from records.domain.practice.card import card_state, reckon_card
from records.domain.practice.checklist import checklist_findings
from records.domain.practice.evidence import BIG_END, WHOLE, Evidence
from records.domain.practice.facts import BuildFacts
from records.domain.practice.fitted import parts_now
from records.domain.practice.judgement import GOOD, KindJudgement, judgements
from records.domain.practice.kinds import SET_KINDS
from records.domain.practice.promised import BIG_ENDS, SETS, WHOLE_RODS

DEEDS = ("match", "cut piston", "cut big end", "cut small end", "issue card", "answer checklist")
_NUMBERS = (
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
_PLURALS = {
    "pin locks": "sets of pin locks",
    "bearing shells": "sets of bearing shells",
    SETS: "sets",
    BIG_ENDS: "big ends",
    WHOLE_RODS: "whole rods",
}


@dataclass(frozen=True, slots=True)
class NextStep:
    """A stable key and a sentence for the head of a page.

    Keys: book_in, close_cut, weigh, rod_length, mix_and_match, match_sets, match_big_ends,
    match_whole_rods, weigh_sets, bob_weight_card, checklist, review, released.
    """

    key: str
    title: str


@dataclass(frozen=True, slots=True)
class NotYet:
    """Why a deed should wait; `refused` where it can't be done at all, else it is advice."""

    refused: bool
    reason: str


def next_step(facts: BuildFacts, evidence: Evidence | None = None) -> NextStep:
    """Say what is next on a build."""
    if facts.released:
        return NextStep("released", "Released")
    known = evidence or Evidence(facts)
    return next(iter(_steps(facts, known)), NextStep("review", "Ready for an inspector to review"))


def why_not_yet(facts: BuildFacts, deed: str, evidence: Evidence | None = None) -> NotYet | None:
    """Say why a deed should wait, or None when it is its turn.

    Deeds: match, cut piston, cut big end, cut small end, issue card, answer checklist. Raise
    BadValue for another.
    """
    if deed not in DEEDS:
        known_deeds = ", ".join(DEEDS)
        raise BadValue(
            Code.BAD_VALUE,
            f"expected one of {known_deeds}, got {deed!r}",
            field="deed",
            expected=known_deeds,
            got=deed,
        )
    known = evidence or Evidence(facts)
    if deed == "issue card":
        return _before_card(facts, known)
    if deed == "answer checklist":
        return _before_checklist(facts, known)
    return _before_cutting(facts, deed, known)


def _steps(facts: BuildFacts, known: Evidence) -> Iterator[NextStep]:
    yield from _book_in(facts, known)
    yield from _close_cut(facts, known)
    yield from _weigh(facts, known)
    if facts.rod_length_mm is None:
        yield NextStep("rod_length", "Enter the rods' centre distance: no end has a U without it")
    judged = judgements(facts, known)
    yield from _mix(facts, judged[0])
    for kind in judged:
        yield from _match(kind)
    yield from _weigh_sets(judged[0])
    state = card_state(facts, known)
    if state.needed and not state.holds:
        title = f"Write the card anew: {state.stale[0]}" if state.stale else "Write the bob weights"
        yield NextStep("bob_weight_card", title)
    still = len(checklist_findings(facts))
    if still:
        yield NextStep("checklist", f"Safety checklist, {_count(still)} still to answer")


def _book_in(facts: BuildFacts, known: Evidence) -> Iterator[NextStep]:
    wanted = ("piston", "pin", "ring set", "rod")
    lacking = {k: [p for p in facts.places if known.fitted(p, k) is None] for k in wanted}
    for kind, places in lacking.items():
        if places:
            where = _counted(len(facts.places), "place")
            yield NextStep("book_in", f"{where}, {_count(len(places))} without a {kind}")


def _close_cut(facts: BuildFacts, known: Evidence) -> Iterator[NextStep]:
    cut = [part.number for part in parts_now(facts) if known.open_cut(part.number)]
    if cut:
        title = f"{_counted(len(cut), 'cut')} open on {', '.join(cut)}: weigh to close"
        yield NextStep("close_cut", title)


def _weigh(facts: BuildFacts, known: Evidence) -> Iterator[NextStep]:
    needed = card_state(facts, known).needed
    kinds = (*SET_KINDS, "rod", *(("bearing shells",) if needed else ()))
    for kind in kinds:
        parts = [part.number for part in parts_now(facts, kind)]
        yield from _unweighed(known, kind, parts, WHOLE)
        if kind == "rod":
            yield from _unweighed(known, BIG_ENDS, parts, BIG_END)


def _unweighed(known: Evidence, named: str, parts: list[str], what: str) -> Iterator[NextStep]:
    still = [part for part in parts if known.newest(part, what) is None]
    if named in SET_KINDS:
        still = [part for part in still if not _in_a_weighed_set(known, part)]
    if still:
        title = f"{_counted(len(parts), named)}, {_count(len(still))} still to weigh"
        yield NextStep("weigh", title)


def _in_a_weighed_set(known: Evidence, part: str) -> bool:
    """Tell whether every set of this part was weighed together, as after a last cut."""
    places = [place for place in known.facts.places if part in known.set_parts(place)]
    return bool(places) and all(known.together(place) for place in places)


def _mix(facts: BuildFacts, sets: KindJudgement) -> Iterator[NextStep]:
    in_sets = {part.number for part in parts_now(facts, *SET_KINDS)}
    cut = any(r.part in in_sets and r.build == facts.number for r in facts.removals)
    if not (facts.matches or cut or sets.matches or sets.missing) and len(facts.places) > 1:
        yield NextStep("mix_and_match", "Mix and match the sets before anything is cut")


def _match(kind: KindJudgement) -> Iterator[NextStep]:
    if kind.matches:
        return
    key = {SETS: "match_sets", BIG_ENDS: "match_big_ends"}.get(kind.kind, "match_whole_rods")
    if kind.missing:
        yield NextStep(key, f"{_several(kind.kind)}: {kind.missing[0]}")
    elif kind.no_zone:
        yield NextStep(key, f"{_several(kind.kind)} can't be proven: {kind.no_zone}")
    else:
        over = sum(place.verdict not in GOOD for place in kind.places)
        what = _counted(len(kind.places), kind.kind)
        title = f"{what}, {_count(over)} still more than {kind.tolerance_g:f} g over the lightest"
        yield NextStep(key, title)


def _weigh_sets(sets: KindJudgement) -> Iterator[NextStep]:
    if sets.together_required and sets.apart:
        what = _counted(len(sets.places), SETS)
        title = f"{what}, {_count(len(sets.apart))} still to weigh together"
        yield NextStep("weigh_sets", title)


def _before_cutting(facts: BuildFacts, deed: str, known: Evidence) -> NotYet | None:
    """Advise on a pairing or a cut: only a pairing without masses can't be done."""
    sets, big_ends, _ = judgements(facts, known)
    unweighed = big_ends.missing if "end" in deed else sets.missing
    if unweighed:
        refused = deed == "match"
        advice = "weigh it first" if refused else "the lightest, which is the target, may change"
        return NotYet(refused, f"{unweighed[0]}; {advice}")
    if deed == "cut piston" and next(_mix(facts, sets), None):
        return NotYet(False, "mix and match comes first, so that the least metal comes off")
    if deed == "cut small end" and not big_ends.matches:
        return NotYet(False, "big ends first: whole rods are matched when the big ends match")
    return None


def _before_card(facts: BuildFacts, known: Evidence) -> NotYet | None:
    card = reckon_card(facts, known)
    if not card.needed:
        return NotYet(True, card.why)
    if card.missing:
        return NotYet(True, "; ".join(card.missing))
    unmatched = _unmatched(facts, known)
    if unmatched:
        text = f"{unmatched} not matched yet; what is cut after this makes the card stale"
        return NotYet(False, text)
    return None


def _before_checklist(facts: BuildFacts, known: Evidence) -> NotYet | None:
    unmatched = _unmatched(facts, known)
    if unmatched:
        text = f"{unmatched} not matched yet; an answer given before the last cut doesn't count"
        return NotYet(False, text)
    return None


def _unmatched(facts: BuildFacts, known: Evidence) -> str:
    kinds: Iterable[KindJudgement] = judgements(facts, known)
    return " and ".join(_several(kind.kind).lower() for kind in kinds if not kind.matches)


def _count(number: int) -> str:
    return _NUMBERS[number] if number < len(_NUMBERS) else str(number)


def _several(kind: str) -> str:
    return _PLURALS.get(kind, f"{kind}s").capitalize()


def _counted(number: int, kind: str) -> str:
    if number == 1:
        return f"One {kind}"
    return f"{_count(number).capitalize()} {_several(kind).lower()}"
