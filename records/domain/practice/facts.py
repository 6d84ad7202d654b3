"""A build as plain facts: what the rules judge, free of tables.

The queries fill these from the record; nothing here is computed. Times are aware and UTC, masses
exact decimals in grams. Corrected weighings and removals are left out by who fills this in.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

from records.domain.balance.layout import Cylinder
from records.domain.practice.facts_of_parts import PartFacts
from records.domain.practice.facts_of_scales import ScaleFacts


@dataclass(frozen=True, slots=True)
class FitmentFacts:
    """A part in the build; place None: one piece stands for every place."""

    id: int
    part: str
    place: int | None
    fitted_at: datetime
    fitted_by: str
    ended_at: datetime | None
    ended_by: str | None = None
    at_booking: bool = False


@dataclass(frozen=True, slots=True)
class ReadingFacts:
    text: str
    unit: str
    grams: Decimal
    hanging: int | None


@dataclass(frozen=True, slots=True)
class WeighingFacts:
    """A weighing that stands (not corrected away). `scale` None: declared, never evidence."""

    id: int
    part: str | None
    place: int | None
    members: tuple[str, ...]
    what: str  # whole, set, big end, small end
    how: str  # on the pan, hung, by difference
    scale: str | None
    calibration: int | None
    fixture: int | None
    operator: str
    source: str
    purpose: str  # evidence, progress, verification
    measured_at: datetime
    recorded_at: datetime
    late: bool
    ahead: bool
    readings: tuple[ReadingFacts, ...]
    mean_g: Decimal
    build: str | None = None  # the build it was weighed for, when known


@dataclass(frozen=True, slots=True)
class RemovalFacts:
    """A removal; `after` and what follows are None while it is open."""

    id: int
    build: str | None
    part: str
    zones: tuple[int, ...]
    method: str
    spread: str  # all round, both sides, one spot
    operator: str
    before: int
    cut_at: datetime
    late: bool
    after: int | None
    mass_g: Decimal | None
    U_g: Decimal | None
    heat: str | None


@dataclass(frozen=True, slots=True)
class MatchFacts:
    id: int
    kinds: tuple[str, ...]
    sets: tuple[tuple[int, tuple[str, ...]], ...]  # (place, part numbers)
    matched_at: datetime
    operator: str


@dataclass(frozen=True, slots=True)
class AnswerFacts:
    """The newest answer to a checklist question."""

    id: int
    key: str
    text: str
    answer: str
    detail: str
    operator: str
    answered_at: datetime


@dataclass(frozen=True, slots=True)
class QuestionFacts:
    key: str
    text: str


@dataclass(frozen=True, slots=True)
class DispositionFacts:
    """The newest decision on a finding."""

    decision: str
    reason: str
    evidence: Mapping[str, str]
    by: str
    decided_at: datetime


@dataclass(frozen=True, slots=True)
class FindingFacts:
    """A finding already on record, with its newest disposition."""

    id: int
    key: str
    code: str
    part: str | None
    text: str
    raised_at: datetime
    disposition: DispositionFacts | None


@dataclass(frozen=True, slots=True)
class PinFacts:
    pin: int
    rods: int
    rotating_g: Decimal
    reciprocating_g: Decimal
    total_g: Decimal
    U_g: Decimal


@dataclass(frozen=True, slots=True)
class CardFacts:
    """The newest bob-weight card."""

    id: int
    revision: int
    rule_version: int
    oil_g: Decimal
    fraction: Decimal
    issued_at: datetime
    operator: str
    pins: tuple[PinFacts, ...]
    sources: tuple[int, ...]  # weighing ids


@dataclass(frozen=True, slots=True)
class RecalledFacts:
    """Why a weighing is in doubt: the recall by its row, the scale, the day of its withdrawal."""

    recall: int
    scale: str
    on: date


@dataclass(frozen=True, slots=True)
class FixtureFacts:
    id: int
    number: str
    version: int
    big_mm: Decimal
    small_mm: Decimal


@dataclass(frozen=True, slots=True)
class PromiseFacts:
    """What was promised (greatest minus least), the guard factor, and readings asked."""

    set_g: Decimal
    big_end_g: Decimal
    whole_rod_g: Decimal
    promised_as: str
    guard_r: Decimal
    readings: int
    hangings: int
    tolerance_class: str
    tolerance_version: int


@dataclass(frozen=True, slots=True)
class ShopFacts:
    version: int
    name: str
    place: str
    timezone: str
    demo: bool
    self_release_street: bool


@dataclass(frozen=True, slots=True)
class BuildFacts:
    """All that the rules may look at to judge a build."""

    number: str
    engine: str
    customer: str | None
    layout: str
    use: str  # street, competition
    balance: str  # neutral, external
    opened_at: datetime
    cylinders: tuple[Cylinder, ...]
    promise: PromiseFacts
    shop: ShopFacts
    rule_version: int
    oil_g: Decimal
    fraction: Decimal
    bob_range_g: Decimal
    checklist_version: int
    questions: tuple[QuestionFacts, ...]
    rod_length_mm: Decimal | None
    stroke_mm: Decimal | None
    event_day: date | None
    crank_in_job: bool | None
    no_crank_reason: str
    fixture: FixtureFacts | None = None
    scales: Mapping[str, ScaleFacts] = field(default_factory=dict)
    parts: Mapping[str, PartFacts] = field(default_factory=dict)
    fitments: tuple[FitmentFacts, ...] = ()  # oldest first, ended ones included
    weighings: tuple[WeighingFacts, ...] = ()  # by measured_at, wherever weighed
    removals: tuple[RemovalFacts, ...] = ()  # by cut_at; of this build's parts, in any build
    matches: tuple[MatchFacts, ...] = ()
    answers: tuple[AnswerFacts, ...] = ()
    findings: tuple[FindingFacts, ...] = ()
    card: CardFacts | None = None
    released: bool = False
    opened_by: str = field(default="")
    # Who worked by rows that no longer stand (corrected weighings, superseded answers): person
    # to what they did, in a word of separation.py.
    also_worked: Mapping[str, str] = field(default_factory=dict)
    # Weighings that a recalled scale touched and that no one cleared, by id.
    recalled: Mapping[int, RecalledFacts] = field(default_factory=dict)

    @property
    def places(self) -> tuple[int, ...]:
        return tuple(cylinder.place for cylinder in self.cylinders)
