"""A recall as it is told: on its page, by the API, and as a report on paper or in rows."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from records.domain.practice.facts_of_scales import Point
from records.domain.practice.recall import Outcome

WORST_FIRST = (Outcome.FLIPS, Outcome.UNTOLD, Outcome.LESS_MARGIN, Outcome.STANDS)
_MANY = {
    Outcome.FLIPS: "flip",
    Outcome.LESS_MARGIN: "stand with less margin",
    Outcome.STANDS: "stand",
}


@dataclass(frozen=True, slots=True)
class ItemTold:
    """A decision before and after; `after_g` None where it can't be reckoned. Masses in g."""

    kind: str
    place: int | None
    parts: tuple[str, ...]
    limit_g: Decimal | None
    before_g: Decimal
    before_U_g: Decimal
    before_verdict: str
    before_margin_g: Decimal | None
    after_g: Decimal | None
    after_U_g: Decimal | None
    after_verdict: str
    after_margin_g: Decimal | None
    outcome: str
    text: str
    touched: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class EndTold:
    """How a case ended."""

    outcome: str
    reason: str
    at: datetime
    by: str
    revision: int | None


@dataclass(frozen=True, slots=True)
class NoticeTold:
    """A letter drafted; nothing sends it."""

    customer: str
    subject: str
    body: str


@dataclass(frozen=True, slots=True)
class CaseTold:
    """A build that the scale touched; `certificate` empty where none rests on it."""

    build: str
    engine: str
    customer: str | None
    weighings: int
    outcome: str
    certificate: str
    revision: int | None
    state: str
    parts: tuple[tuple[str, int], ...]
    items: tuple[ItemTold, ...]
    notice: NoticeTold | None
    end: EndTold | None

    @property
    def tally(self) -> str:
        """Say how many of its decisions came to what, the worst first."""
        counts = Counter(item.outcome for item in self.items)
        told = [
            f"{counts[word]} {_said(word, counts[word])}" for word in WORST_FIRST if counts[word]
        ]
        return ", ".join(told) or "no decision rests on it"

    @property
    def open(self) -> bool:
        """Tell whether an inspector has still to end it."""
        return bool(self.items) and self.end is None


@dataclass(frozen=True, slots=True)
class ProgressTold:
    """How far the reckoning has come, and what went wrong with it if anything did."""

    done: int
    total: int
    finished: bool
    error: str


@dataclass(frozen=True, slots=True)
class SilentTold:
    """A load that passed checks were made with in the window, and that could not show the fault."""

    load_g: Decimal
    error_g: Decimal | None
    limit_g: Decimal


@dataclass(frozen=True, slots=True)
class RecallTold:
    """A recall with its window, what was found, and every case, open ones and the worst first."""

    id: int
    scale: str
    found_by: str
    cause: str
    since: datetime | None
    until: datetime
    recalled_at: datetime
    recalled_by: str
    points: tuple[Point, ...]
    proofs: tuple[tuple[Decimal, datetime], ...]
    silent: tuple[SilentTold, ...]
    progress: ProgressTold
    cases: tuple[CaseTold, ...]

    @property
    def open(self) -> int:
        """Count the cases that rest on the scale and have not ended."""
        return sum(1 for case in self.cases if case.open)

    @property
    def flipping(self) -> int:
        """Count the builds of which a decision flips."""
        return sum(1 for case in self.cases if case.outcome == Outcome.FLIPS)

    @property
    def headline(self) -> str:
        """Say what it comes to, as the title of its page and its paper."""
        if not self.cases:
            done = "touched no build" if self.progress.finished else "is being followed"
            return f"What scale {self.scale} weighed {done}"
        builds = "one build" if len(self.cases) == 1 else f"{len(self.cases)} builds"
        turned = self.flipping
        flips = "none flips" if not turned else "one flips" if turned == 1 else f"{turned} flip"
        left = f"{self.open} still open" if self.open else "none still open"
        return f"Scale {self.scale} touched {builds}: {flips}, {left}"


def _said(word: Outcome, n: int) -> str:
    return str(word) if n == 1 else _MANY.get(word, str(word))
