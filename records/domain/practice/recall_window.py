"""A scale found out: which weighings it touched, and what it was off by when it was found.

ISO 9001:2015 7.1.5.2 and ISO/IEC 17025:2017 7.10: everything since the last good evidence, until
the scale was withdrawn. A passed calibration is good evidence at every load that it covers; a
passed check only for masses within half to twice its load, and only where it would have shown the
fault: a check with 1 kg, where the scale is right, says nothing at 500 g.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from records.domain.practice.facts_of_scales import CalibrationFacts, CheckLoad, Point, ScaleFacts
from records.domain.practice.scale_model import calibration_at, error_between, error_g
from records.domain.practice.shop_day import shop_day

EVER = datetime.min.replace(tzinfo=UTC)
TWICE = 2  # a check speaks for masses within half to twice its load


@dataclass(frozen=True, slots=True)
class Proof:
    """A passed check that would have shown the fault at its load, and when it was made."""

    load_g: Decimal
    at: datetime

    def speaks_for(self, mass_g: Decimal) -> bool:
        """Tell whether it is evidence for a mass: within half to twice its load."""
        return self.load_g <= TWICE * mass_g and mass_g <= TWICE * self.load_g


@dataclass(frozen=True, slots=True)
class FoundOut:
    """A scale found out, as a recall keeps it.

    `points` are its errors as found, by load; `since` the last passed calibration, `until` its
    withdrawal; `proofs` the newest good check of each load. `calibration` or `check` is what found
    it out, and is no part of what was known when it was weighed on.
    """

    scale: str
    points: tuple[Point, ...]
    since: datetime
    until: datetime
    proofs: tuple[Proof, ...] = ()
    calibration: int | None = None
    check: int | None = None

    def good_until(self, mass_g: Decimal) -> datetime:
        """Give the moment of the last good evidence for a mass."""
        spoken = (proof.at for proof in self.proofs if proof.speaks_for(mass_g))
        return max(spoken, default=self.since)

    def touches(self, scale: str | None, measured_at: datetime, mass_g: Decimal) -> bool:
        """Tell whether a weighing lies between the last good evidence for it and the withdrawal."""
        if scale != self.scale or not self.since <= measured_at < self.until:
            return False
        return measured_at >= self.good_until(mass_g)

    def known_at(self, mass_g: Decimal) -> bool:
        """Tell whether the error as found is known at a load: nothing is reckoned beyond points."""
        return bool(self.points) and self.points[0].load_g <= mass_g <= self.points[-1].load_g

    def error_g(self, mass_g: Decimal) -> Decimal:
        """Give the error as found at a load that it is known at."""
        return error_between(self.points, mass_g)


def found_out(
    scale: ScaleFacts,
    *,
    points: Sequence[Point],
    until: datetime,
    timezone: str,
    calibration: int | None = None,
    check: int | None = None,
) -> FoundOut:
    """Give the window of a scale that was found out with these errors, loads ascending."""
    before = as_it_was_known(scale, until, timezone, calibration=calibration, check=check)
    last = calibration_at(before, date.max)
    since = EVER if last is None else _start_of(last.calibrated_on, timezone)
    known = FoundOut(scale.number, tuple(points), since, until, (), calibration, check)
    return known if last is None else replace(known, proofs=tuple(_proofs(known, last, before)))


def as_it_was_known(
    scale: ScaleFacts,
    until: datetime,
    timezone: str,
    *,
    calibration: int | None = None,
    check: int | None = None,
) -> ScaleFacts:
    """Give the scale as the record had it before it was found out: what came later is left out."""
    last = _found_on(scale, calibration, check, timezone) or shop_day(until, timezone)
    return replace(
        scale,
        calibrations=tuple(
            c for c in scale.calibrations if c.calibrated_on <= last and c.id != calibration
        ),
        checks=tuple(c for c in scale.checks if c.measured_at < until and c.id != check),
        events=tuple(e for e in scale.events if e.happened_at < until),
    )


def end_of_day(day: date, timezone: str) -> datetime:
    """Give the moment at which a day of the shop ends."""
    return _start_of(day + timedelta(days=1), timezone)


def points_of_check(
    loads: Iterable[CheckLoad], calibration: CalibrationFacts | None
) -> tuple[Point, ...]:
    """Give the errors that a check found: what it was off by, beside the certificate's own error.

    U is the limit of each load, which is the scale's U and the weight's by squares.
    """
    seen = {load.load_g: load for load in loads}
    return tuple(
        Point(
            load_g,
            seen[load_g].error_g + _known_error_g(calibration, load_g),
            seen[load_g].limit_g,
            Decimal(2),
        )
        for load_g in sorted(seen)
    )


def silent_checks(found: FoundOut, scale: ScaleFacts, timezone: str) -> tuple[CheckLoad, ...]:
    """Give, once a load, the newest passed check in the window that could not show the fault."""
    before = as_it_was_known(
        scale, found.until, timezone, calibration=found.calibration, check=found.check
    )
    last = calibration_at(before, date.max)
    if last is None:
        return ()
    newest = {
        load.load_g: load
        for check in before.checks
        if check.passed and found.since <= check.measured_at
        for load in check.loads
        if not _shows_fault(found, last, load)
    }
    return tuple(newest[load_g] for load_g in sorted(newest))


def _found_on(
    scale: ScaleFacts, calibration: int | None, check: int | None, timezone: str
) -> date | None:
    """Give the day on which it was found out."""
    days = [c.calibrated_on for c in scale.calibrations if c.id == calibration]
    days += [shop_day(c.measured_at, timezone) for c in scale.checks if c.id == check]
    return min(days, default=None)


def _proofs(found: FoundOut, last: CalibrationFacts, scale: ScaleFacts) -> Iterable[Proof]:
    newest: dict[Decimal, datetime] = {}
    for check in scale.checks:
        if not check.passed or not found.since <= check.measured_at < found.until:
            continue
        for load in check.loads:
            if _shows_fault(found, last, load):
                newest[load.load_g] = max(check.measured_at, newest.get(load.load_g, EVER))
    return (Proof(load_g, at) for load_g, at in sorted(newest.items()))


def _shows_fault(found: FoundOut, last: CalibrationFacts, load: CheckLoad) -> bool:
    """Tell whether a check with this load would have failed, had the fault been there then."""
    if not found.known_at(load.load_g):
        return False
    change_g = found.error_g(load.load_g) - _known_error_g(last, load.load_g)
    return abs(change_g) > load.limit_g


def _known_error_g(calibration: CalibrationFacts | None, load_g: Decimal) -> Decimal:
    return Decimal(0) if calibration is None else error_g(calibration, load_g)


def _start_of(day: date, timezone: str) -> datetime:
    return datetime.combine(day, time(), ZoneInfo(timezone)).astimezone(UTC)
