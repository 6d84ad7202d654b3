"""A recall's reckoning: each decision that a bad scale touched, before and after, and what of it.

The errors as found are taken in full for everything in the window. When they came is not known:
where a decision rests on more than one day and would turn if the error came in between, it can't
be told. What was matched wholly on the scale keeps its match, since the error is in all of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from records.domain.measure.decision import Verdict
from records.domain.practice.facts import BuildFacts
from records.domain.practice.recall_facts import as_found, as_recorded, days_of, touched_in
from records.domain.practice.recall_sides import BOB_WEIGHT, Side, sides_of
from records.domain.practice.recall_window import FoundOut

NOTICED_G = Decimal("0.005")  # half of the last place that a mass is shown to on paper
_ORDER = tuple(str(verdict) for verdict in Verdict)


class Outcome(StrEnum):
    """What became of a decision."""

    STANDS = "stands"
    LESS_MARGIN = "stands with less margin"
    UNTOLD = "can't be told"
    FLIPS = "flips"


SOUND = (Outcome.STANDS, Outcome.LESS_MARGIN)


@dataclass(frozen=True, slots=True)
class Decision:
    """A decision before and after; `after` None where it can't be reckoned.

    `touched` are the weighings behind it that the scale touched; `wholly` tells that all are.
    """

    before: Side
    after: Side | None
    outcome: Outcome
    wholly: bool
    touched: tuple[int, ...]
    text: str


@dataclass(frozen=True, slots=True)
class _Doubt:
    """A build with a scale found out: its facts as recorded, and which weighings are touched."""

    facts: BuildFacts
    found: FoundOut
    touched: frozenset[int]

    @property
    def unknown(self) -> frozenset[int]:
        """Name the touched weighings at loads where the error as found is not known."""
        return frozenset(
            w.id
            for w in self.facts.weighings
            if w.id in self.touched and not self.found.known_at(w.mean_g)
        )

    def sides(self, ids: Iterable[int]) -> Mapping[str, Side]:
        """Reckon all decisions with the errors as found in these weighings."""
        return sides_of(as_found(self.facts, self.found, frozenset(ids)))


def decisions(facts: BuildFacts, found: FoundOut) -> tuple[Decision, ...]:
    """Reckon again each decision of a build that rests on a weighing the scale touched."""
    recorded = as_recorded(facts, found)
    doubt = _Doubt(recorded, found, touched_in(recorded, found))
    before = {key: s for key, s in sides_of(recorded).items() if s.sources & doubt.touched}
    if not before:
        return ()
    after = doubt.sides(doubt.touched)
    between = list(_came_between(doubt, before.values()))
    return tuple(_decided(doubt, side, after.get(side.key), between) for side in before.values())


def worst(outcomes: Iterable[Outcome]) -> Outcome:
    """Give the worst outcome of several; a build that rests on nothing touched stands."""
    return max(outcomes, key=tuple(Outcome).index, default=Outcome.STANDS)


def _came_between(doubt: _Doubt, sides: Iterable[Side]) -> Iterator[Mapping[str, Side]]:
    """Reckon what follows if the error came on each later day of those that were weighed on."""
    used = {id for side in sides for id in side.sources} & doubt.touched
    days = days_of(doubt.facts, used)
    for first in sorted(set(days.values()))[1:]:
        yield doubt.sides(id for id, day in days.items() if day >= first)


def _decided(
    doubt: _Doubt, before: Side, after: Side | None, between: Sequence[Mapping[str, Side]]
) -> Decision:
    sources = before.sources | (after.sources if after else frozenset())
    touched = sources & doubt.touched
    outcome = _outcome(before, after, unknown=bool(touched & doubt.unknown))
    partly = [each[before.key] for each in between if before.key in each]
    depends = outcome in SOUND and any(side.holds != before.holds for side in partly)
    if depends:
        outcome = Outcome.UNTOLD
    wholly = touched == sources
    text = _depends(doubt) if depends else _text(doubt, before, after, outcome, touched)
    return Decision(before, after, outcome, wholly, tuple(sorted(touched)), text)


def _outcome(before: Side, after: Side | None, *, unknown: bool) -> Outcome:
    if after is None or unknown:
        return Outcome.UNTOLD
    if after.holds != before.holds:
        return Outcome.FLIPS
    worse = _rank(after) > _rank(before)
    if before.margin_g is None or after.margin_g is None:
        return Outcome.LESS_MARGIN if worse else Outcome.STANDS
    if worse or before.margin_g - after.margin_g > NOTICED_G:
        return Outcome.LESS_MARGIN
    return Outcome.STANDS


def _rank(side: Side) -> int:
    return _ORDER.index(side.verdict) if side.verdict in _ORDER else 0


def _depends(doubt: _Doubt) -> str:
    return (
        f"weighed on {doubt.found.scale} over several days: it turns if the error came between "
        "them, and nothing tells when it came; weigh again"
    )


def _text(
    doubt: _Doubt, before: Side, after: Side | None, outcome: Outcome, touched: frozenset[int]
) -> str:
    scale = doubt.found.scale
    if after is None or outcome is Outcome.UNTOLD:
        return f"{_known(doubt.found)}; weigh again"
    change_g = after.value_g - before.value_g
    if before.kind == BOB_WEIGHT:
        return (
            f"off what the card has by {change_g:+.2f} g, its range is ± {before.limit_g:.10g} g: "
            f"{after.verdict}"
        )
    sources = before.sources | after.sources
    if touched == sources:
        return f"weighed wholly on {scale}: its error cancels but for {abs(change_g):.3f} g"
    others = ", ".join(_other_scales(doubt, sources - touched))
    return (
        f"{len(touched)} of its {len(sources)} weighings are in doubt, the others ({others}) are "
        f"not: the error of {scale} stays, {change_g:+.2f} g"
    )


def _known(found: FoundOut) -> str:
    if not found.points:
        return f"nothing is known of what {found.scale} was off by when it was found out"
    first, last = found.points[0].load_g, found.points[-1].load_g
    return (
        f"what {found.scale} was off by is known from {first:.10g} to {last:.10g} g only, and "
        "this was weighed beyond"
    )


def _other_scales(doubt: _Doubt, ids: frozenset[int]) -> list[str]:
    on = {w.scale or "" for w in doubt.facts.weighings if w.id in ids}
    return [
        f"{scale} before it was in doubt" if scale == doubt.found.scale else scale
        for scale in sorted(on)
    ]
