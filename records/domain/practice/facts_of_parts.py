"""A part as plain facts: its spec with the zone map, and how it came in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class ZoneFacts:
    """A zone of a part spec; `limit_g` and `step_g` None where no number is known."""

    id: int
    key: str
    name: str
    rule: str  # allowed, limited, forbidden
    methods: tuple[str, ...]
    limit_g: Decimal | None
    step_g: Decimal | None
    spread: str  # any, all round, both sides
    x_mm: Decimal | None
    maker_leave: bool
    why: str


@dataclass(frozen=True, slots=True)
class SpecFacts:
    number: str
    version: int
    kind: str
    name: str
    metal: str  # steel, aluminium, titanium, iron, other
    density_g_cm3: Decimal
    zones: tuple[ZoneFacts, ...]


@dataclass(frozen=True, slots=True)
class IntakeFacts:
    heat: str
    cracks: bool
    earlier_cuts: bool
    note: str


@dataclass(frozen=True, slots=True)
class RatingFacts:
    label: str
    body: str
    spec: str
    expires_on: date
    noted_at: datetime | None = None  # when the label was noted: a later one clears a cut's doubt


@dataclass(frozen=True, slots=True)
class PartFacts:
    """A part of the build, now or before, with its own history of cuts (in any build)."""

    number: str
    serial: str
    marking: str
    spec: SpecFacts
    intake: IntakeFacts | None
    rulings: Mapping[int, Decimal]  # zone id -> grams an inspector said may still come off
    rating: RatingFacts | None  # the newest
    ruled_at: Mapping[int, datetime] = field(default_factory=dict)  # when each ruling was given
    scrapped_in: str = ""  # the build in which an inspector scrapped it, ever

    @property
    def kind(self) -> str:
        return self.spec.kind
