"""A build's facts as its decisions were made, and the same with a scale's errors as found."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from datetime import date, datetime

from records.domain.practice.facts import BuildFacts, CardFacts, FitmentFacts, RemovalFacts
from records.domain.practice.facts_of_scales import ScaleFacts
from records.domain.practice.recall_window import FoundOut, as_it_was_known
from records.domain.practice.scale_model import calibration_at
from records.domain.practice.shop_day import shop_day


def as_of(facts: BuildFacts, moment: datetime, card: CardFacts | None) -> BuildFacts:
    """Give a build as it stood at a moment, such as its release; `card` is the one it had then.

    What was corrected away since is not in the facts, and so not in this either.
    """
    weighings = tuple(w for w in facts.weighings if w.recorded_at <= moment)
    kept = {weighing.id for weighing in weighings}
    return replace(
        facts,
        weighings=weighings,
        removals=tuple(_open_then(r, kept) for r in facts.removals if r.cut_at <= moment),
        fitments=tuple(_still_in(f, moment) for f in facts.fitments if f.fitted_at <= moment),
        card=card,
    )


def as_recorded(facts: BuildFacts, found: FoundOut) -> BuildFacts:
    """Give the facts as they counted before the scale was found out, no other recall regarded."""
    scale = facts.scales[found.scale]
    before = as_it_was_known(
        scale, found.until, facts.shop.timezone, calibration=found.calibration, check=found.check
    )
    return replace(facts, scales={**facts.scales, found.scale: before}, recalled={})


def touched_in(facts: BuildFacts, found: FoundOut) -> frozenset[int]:
    """Name the weighings of these facts that the scale touched, by id."""
    return frozenset(
        w.id for w in facts.weighings if found.touches(w.scale, w.measured_at, w.mean_g)
    )


def as_found(recorded: BuildFacts, found: FoundOut, touched: Collection[int]) -> BuildFacts:
    """Give the facts with the errors as found in these weighings, as if made on another scale.

    That other scale has the certificate of the day with its points as found; so its error is
    shared among what was weighed on it, and shared with nothing else. A weighing at a load where
    the error is not known stays as it was recorded.
    """
    name = f"{found.scale} as found"
    moved = {
        w.id
        for w in recorded.weighings
        if w.id in touched and found.known_at(w.mean_g) and w.scale == found.scale
    }
    return replace(
        recorded,
        scales={**recorded.scales, name: _as_found(recorded, found, name)},
        weighings=tuple(replace(w, scale=name) if w.id in moved else w for w in recorded.weighings),
    )


def days_of(facts: BuildFacts, weighings: Collection[int]) -> dict[int, date]:
    """Give the shop's day of each of these weighings."""
    zone = facts.shop.timezone
    return {w.id: shop_day(w.measured_at, zone) for w in facts.weighings if w.id in weighings}


def _as_found(recorded: BuildFacts, found: FoundOut, name: str) -> ScaleFacts:
    scale = recorded.scales[found.scale]
    last = calibration_at(scale, date.max)
    return replace(
        scale,
        number=name,
        calibrations=tuple(
            replace(c, as_left=found.points) if last is not None and c.id == last.id else c
            for c in scale.calibrations
        ),
    )


def _open_then(removal: RemovalFacts, kept: Collection[int]) -> RemovalFacts:
    if removal.after is None or removal.after in kept:
        return removal
    return replace(removal, after=None, mass_g=None, U_g=None, heat=None)


def _still_in(fitment: FitmentFacts, moment: datetime) -> FitmentFacts:
    if fitment.ended_at is None or fitment.ended_at <= moment:
        return fitment
    return replace(fitment, ended_at=None, ended_by=None)
