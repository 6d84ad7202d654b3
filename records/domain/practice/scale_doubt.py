"""What throws doubt on a weighing from its scale's side: failed checks, and what happened to it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from records.domain.practice.facts_of_scales import CalibrationFacts, CheckFacts, ScaleFacts
from records.domain.practice.scale_events import change_since, newest_failure, withdrawal_at
from records.domain.practice.scale_model import calibration_at
from records.domain.practice.scale_status import what_answers
from records.domain.practice.shop_day import shop_day, shop_time

Said = tuple[str, str]  # a stable code, a sentence


@dataclass(frozen=True, slots=True)
class _Weighed:
    scale: ScaleFacts
    calibration: CalibrationFacts | None
    at: datetime
    timezone: str

    @property
    def since(self) -> date:
        return date.min if self.calibration is None else self.calibration.calibrated_on

    @property
    def until(self) -> date:
        """Return the day of the next calibration; a check on that very day may precede it."""
        day = shop_day(self.at, self.timezone)
        later = (c.calibrated_on for c in self.scale.calibrations if c.calibrated_on > day)
        return min(later, default=date.max)

    @property
    def checks(self) -> list[CheckFacts]:
        """Return the checks under the weighing's calibration, oldest first."""
        days = ((shop_day(c.measured_at, self.timezone), c) for c in self.scale.checks)
        under = [c for day, c in days if self.since <= day <= self.until]
        return sorted(under, key=lambda check: (check.measured_at, check.id))


def doubts_of(scale: ScaleFacts, at: datetime, timezone: str) -> Iterable[Said]:
    """Say why a weighing on a scale at a moment doesn't count, by its checks and its events.

    Codes: scale_withdrawn, changed_since_calibration, check_failed_before, check_unanswered,
    check_failed_after. What a failed check throws doubt on stays in doubt, whatever passes later.
    """
    weighed = _Weighed(scale, calibration_at(scale, shop_day(at, timezone)), at, timezone)
    yield from _by_events(weighed)
    yield from _by_checks(weighed)


def _by_events(weighed: _Weighed) -> Iterable[Said]:
    scale, zone = weighed.scale, weighed.timezone
    out = withdrawal_at(scale, weighed.at)
    if out is not None:
        yield (
            "scale_withdrawn",
            f"scale {scale.number} was withdrawn on {shop_day(out.happened_at, zone)}: "
            f"{out.reason}; weigh it again on another scale",
        )
    if weighed.calibration is None:
        return
    change = change_since(scale, weighed.calibration, weighed.at, zone)
    if change is not None:
        yield (
            "changed_since_calibration",
            f"scale {scale.number} was {change.kind} on {shop_day(change.happened_at, zone)}, "
            f"expected a calibration since; use another scale, or have it calibrated and weigh "
            "again",
        )


def _by_checks(weighed: _Weighed) -> Iterable[Said]:
    before = [c for c in weighed.checks if c.measured_at <= weighed.at]
    after = [c for c in weighed.checks if c.measured_at > weighed.at]
    failure = newest_failure(weighed.scale, before)
    if before and not before[-1].passed:
        yield ("check_failed_before", _failed(weighed, before[-1], "before"))
    elif failure is not None and not failure.answered:
        moment = _said(failure.check, weighed.timezone)
        yield (
            "check_unanswered",
            f"scale {weighed.scale.number}: its check of {moment} failed, which withdrew it; "
            f"{what_answers(failure)}",
        )
    if after and not after[0].passed:
        yield ("check_failed_after", _failed(weighed, after[0], "after"))


def _failed(weighed: _Weighed, check: CheckFacts, side: str) -> str:
    moment, number = _said(check, weighed.timezone), weighed.scale.number
    if side == "before":
        return (
            f"scale {number}: its check of {moment} failed, expected a passed one between "
            "that and the weighing; find the cause, repeat the check, and weigh again"
        )
    return (
        f"scale {number}: the next check, of {moment}, failed, which throws doubt on all "
        "since the last good one; find the cause, repeat the check, and weigh again"
    )


def _said(check: CheckFacts, timezone: str) -> str:
    return f"{shop_time(check.measured_at, timezone):%Y-%m-%d %H:%M}"
