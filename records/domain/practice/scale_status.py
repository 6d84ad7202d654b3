"""Whether a scale is fit at a moment: a word, and a sentence that says why and what to do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from records.domain.practice.facts_of_scales import CalibrationFacts, CheckFacts, ScaleFacts
from records.domain.practice.scale_events import (
    Failure,
    change_since,
    newest_failure,
    return_before,
    withdrawal_at,
)
from records.domain.practice.scale_model import calibration_at
from records.domain.practice.shop_day import shop_day

DUE_SOON = timedelta(days=30)  # common practice, no source


class ScaleWord(StrEnum):
    """A scale's standing in a word."""

    FIT = "fit"
    DUE_SOON = "due soon"
    OVERDUE = "overdue"
    NEVER_CALIBRATED = "never calibrated"
    FAILED_CHECK = "failed check"
    WITHDRAWN = "withdrawn"
    NOT_CHECKED = "not checked today"


@dataclass(frozen=True, slots=True)
class ScaleStatus:
    """A word, and a sentence that says why and what to do; empty where the scale is simply fit."""

    word: ScaleWord
    reason: str

    @property
    def may_weigh(self) -> bool:
        """Tell whether a weighing now would count, as far as the scale is concerned."""
        return self.word in (ScaleWord.FIT, ScaleWord.DUE_SOON)


@dataclass(frozen=True, slots=True)
class _Asked:
    scale: ScaleFacts
    calibration: CalibrationFacts
    moment: datetime
    timezone: str

    @property
    def checks(self) -> list[CheckFacts]:
        """Return the checks up to the moment under this calibration, oldest first."""
        made = [
            check
            for check in self.scale.checks
            if check.measured_at <= self.moment
            and shop_day(check.measured_at, self.timezone) >= self.calibration.calibrated_on
        ]
        return sorted(made, key=lambda check: (check.measured_at, check.id))


def status_at(scale: ScaleFacts, moment: datetime, timezone: str) -> ScaleStatus:
    """Say whether a scale is fit at a moment, and if not, why and what to do."""
    day = shop_day(moment, timezone)
    out = withdrawal_at(scale, moment)
    if out is not None:
        since = shop_day(out.happened_at, timezone)
        reason = f"scale {scale.number} was withdrawn on {since}: {out.reason}; use another scale"
        return ScaleStatus(ScaleWord.WITHDRAWN, reason)
    calibration = calibration_at(scale, day)
    if calibration is None:
        reason = f"scale {scale.number} has no calibration; book one and enter its certificate"
        return ScaleStatus(ScaleWord.NEVER_CALIBRATED, reason)
    asked = _Asked(scale, calibration, moment, timezone)
    rules: tuple[Callable[[_Asked], ScaleStatus | None], ...] = (
        _changed,
        _overdue,
        _failed,
        _unchecked,
        _due_soon,
    )
    found = (rule(asked) for rule in rules)
    return next((status for status in found if status), ScaleStatus(ScaleWord.FIT, ""))


def _changed(asked: _Asked) -> ScaleStatus | None:
    change = change_since(asked.scale, asked.calibration, asked.moment, asked.timezone)
    if change is None:
        return None
    day = shop_day(change.happened_at, asked.timezone)
    reason = (
        f"scale {asked.scale.number} was {change.kind} on {day}, after its calibration of "
        f"{asked.calibration.calibrated_on}, which no longer describes it; have it calibrated"
    )
    return ScaleStatus(ScaleWord.WITHDRAWN, reason)


def _overdue(asked: _Asked) -> ScaleStatus | None:
    day, due_on = shop_day(asked.moment, asked.timezone), asked.calibration.due_on
    if day <= due_on:
        return None
    reason = (
        f"scale {asked.scale.number}: calibration expired {due_on}, today is {day}; "
        "use another scale or book a calibration"
    )
    return ScaleStatus(ScaleWord.OVERDUE, reason)


def _failed(asked: _Asked) -> ScaleStatus | None:
    failure = newest_failure(asked.scale, asked.checks)
    if failure is None or failure.answered:
        return None
    day = shop_day(failure.check.measured_at, asked.timezone)
    reason = f"scale {asked.scale.number} failed its check of {day}; {what_answers(failure)}"
    return ScaleStatus(ScaleWord.FAILED_CHECK, reason)


def what_answers(failure: Failure) -> str:
    """Say what is still missing before a failed check is answered."""
    at = " and ".join(f"{load_g:.10g} g" for load_g in failure.open_loads_g)
    repeat = f"repeat the check at {at} until it passes"
    if not failure.cause and failure.open_loads_g:
        return f"find the cause and record it, {repeat}, or use another scale"
    if not failure.cause:
        return "it passed since, but nobody recorded the cause; find it and record it"
    return f"the cause is recorded; {repeat}, or use another scale"


def _unchecked(asked: _Asked) -> ScaleStatus | None:
    day = shop_day(asked.moment, asked.timezone)
    checks = asked.checks
    last = checks[-1] if checks else None
    if last is None or shop_day(last.measured_at, asked.timezone) != day:
        reason = f"scale {asked.scale.number} has no check of {day}; put check weights on it first"
        return ScaleStatus(ScaleWord.NOT_CHECKED, reason)
    back = return_before(asked.scale, asked.moment)
    if back is not None and back.happened_at > last.measured_at:
        reason = (
            f"scale {asked.scale.number} came back to use and has no check since; "
            "put check weights on it first"
        )
        return ScaleStatus(ScaleWord.NOT_CHECKED, reason)
    return None


def _due_soon(asked: _Asked) -> ScaleStatus | None:
    due_on = asked.calibration.due_on
    if due_on - shop_day(asked.moment, asked.timezone) > DUE_SOON:
        return None
    reason = f"scale {asked.scale.number}: calibration is due {due_on}; book one"
    return ScaleStatus(ScaleWord.DUE_SOON, reason)
