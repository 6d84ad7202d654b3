"""What to say of a sheet that came in: which of its weighings don't count yet, and why."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from records.domain.practice.facts import BuildFacts, WeighingFacts
from records.domain.practice.scale_doubt import Said
from records.domain.practice.standing import standing_of
from records.domain.sheet.bench import SheetWeighing
from records.queries.build_facts import facts_of

NAMED = 3  # so many weighings are named one by one, more are counted


def warnings_of(build: str, came_in: Mapping[int, SheetWeighing]) -> tuple[str, ...]:
    """Return a sentence for each reason, with the rows it concerns; `came_in` by weighing's id."""
    facts = facts_of(build)
    told: dict[str, list[SheetWeighing]] = {}
    for weighing in facts.weighings:
        if weighing.id in came_in:
            for sentence in _said_of(weighing, facts):
                told.setdefault(sentence, []).append(came_in[weighing.id])
    return (*_lengths(facts), *(f"{said} ({_rows(rows)})" for said, rows in told.items()))


def _said_of(weighing: WeighingFacts, facts: BuildFacts) -> Iterator[str]:
    standing = standing_of(weighing, facts)
    yield from (f"does not count: {text}" for text in _texts(standing.reasons))
    yield from _texts(standing.warnings)


def _texts(said: Sequence[Said]) -> list[str]:
    return [text for _, text in said]


def _lengths(facts: BuildFacts) -> Iterator[str]:
    hung = any(weighing.what.endswith("end") for weighing in facts.weighings)
    if hung and facts.rod_length_mm is None:
        yield "the rod length is not known: no end has a U until it is entered"


def _rows(weighings: Sequence[SheetWeighing]) -> str:
    numbers = [row.number for weighing in weighings for row in weighing.rows]
    first, last = min(numbers), max(numbers)
    rows = f"row {first}" if first == last else f"rows {first} to {last}"
    if len(weighings) > NAMED:
        return f"{rows}: {len(weighings)} weighings"
    return f"{rows}: {', '.join(f'{w.first.serial} {w.first.what}' for w in weighings)}"
