"""Scales as their pages show them, with their standing and why."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from records.domain.practice.calibration_due import NextInterval, next_interval
from records.domain.practice.check_advice import CheckAdvice
from records.domain.practice.check_history import LoadHistory, histories
from records.domain.practice.facts_of_scales import (
    CalibrationFacts,
    CheckFacts,
    ScaleFacts,
    StepFacts,
)
from records.domain.practice.scale_events import newest_failure
from records.domain.practice.scale_status import status_at
from records.domain.practice.shop_day import shop_day
from records.models import Calibration, Scale, ScaleCheck
from records.queries.scale_facts import facts_of_scales, scale_facts
from records.queries.scale_history import (
    EventRow,
    FileRow,
    advice_of_today,
    check_advice,
    events_of,
    files_of,
    smallest_cut_g,
)
from records.queries.shop import shop_now
from records.queries.viewer import not_found

WITHOUT_A_SHOP = "UTC"


@dataclass(frozen=True, slots=True)
class ScaleRow:
    """A scale in a list: its standing in a word, why, and the certificate in force."""

    number: str
    capacity_g: Decimal
    note: str
    steps: tuple[StepFacts, ...]
    word: str
    reason: str
    may_weigh: bool
    certificate_number: str
    due_on: date | None
    last_check_at: datetime | None
    last_check_passed: bool | None


@dataclass(frozen=True, slots=True)
class CalibrationRow:
    """A calibration with what only the page shows of it."""

    facts: CalibrationFacts
    laboratory: str
    adjusted: bool
    recorded_at: datetime
    recorded_by: str


@dataclass(frozen=True, slots=True)
class CheckLoadRow:
    """One load of a check, as it was read."""

    weights: tuple[str, ...]
    text: str
    unit: str
    load_g: Decimal
    error_g: Decimal
    limit_g: Decimal
    passed: bool


@dataclass(frozen=True, slots=True)
class CheckRow:
    """A check with its operator and readings."""

    id: int
    measured_at: datetime
    operator: str
    passed: bool
    remark: str
    loads: tuple[CheckLoadRow, ...]


@dataclass(frozen=True, slots=True)
class ScalePage:
    """A scale with all that is known of it, newest first.

    `unanswered` is the failed check whose cause is still to be told. `advice` says which weights
    to put on, None before the first calibration; `histories` are the charts of its checks by load;
    `interval` is advice too. Below `smallest_cut_g` 2 s of a difference is over a tenth of it.
    """

    scale: ScaleRow
    made_on: date | None
    calibrations: tuple[CalibrationRow, ...]
    checks: tuple[CheckRow, ...]
    events: tuple[EventRow, ...]
    files: tuple[FileRow, ...]
    unanswered: int | None
    advice: CheckAdvice | None
    advice_of_today: tuple[str, ...]
    histories: tuple[LoadHistory, ...]
    interval: NextInterval | None
    smallest_cut_g: float | None


def scales_with_status(now: datetime) -> tuple[ScaleRow, ...]:
    """Return every scale of the shop by number, each with its standing now."""
    notes = dict(Scale.objects.values_list("number", "note"))
    timezone = _timezone()
    return tuple(
        _row(scale, notes[number], now, timezone)
        for number, scale in scale_facts(since=now).items()
    )


def scale_page(number: str, now: datetime) -> ScalePage:
    """Return a scale with its calibrations and checks, newest first.

    Errors: NotFound for a number that no scale has.
    """
    scale = Scale.objects.filter(number=number).first()
    if scale is None:
        raise not_found("scale", number)
    facts, zone = facts_of_scales([number])[number], _timezone()
    today = shop_day(now, zone)
    return ScalePage(
        scale=_row(facts, scale.note, now, zone),
        made_on=scale.made_on,
        calibrations=_calibrations(facts),
        checks=_checks(number),
        events=events_of(number),
        files=files_of(number),
        unanswered=_unanswered(facts),
        advice=check_advice(facts, now, zone),
        advice_of_today=advice_of_today(facts, now, zone),
        histories=histories(facts, today, zone),
        interval=next_interval(facts, today),
        smallest_cut_g=smallest_cut_g(facts, now, zone),
    )


def _timezone() -> str:
    shop = shop_now()
    return shop.timezone if shop else WITHOUT_A_SHOP


def _row(scale: ScaleFacts, note: str, now: datetime, timezone: str) -> ScaleRow:
    status = status_at(scale, now, timezone)
    calibration = next(reversed(scale.calibrations), None)
    check: CheckFacts | None = next(reversed(scale.checks), None)
    return ScaleRow(
        number=scale.number,
        capacity_g=scale.capacity_g,
        note=note,
        steps=scale.steps,
        word=str(status.word),
        reason=status.reason,
        may_weigh=status.may_weigh,
        certificate_number=calibration.certificate_number if calibration else "",
        due_on=calibration.due_on if calibration else None,
        last_check_at=check.measured_at if check else None,
        last_check_passed=check.passed if check else None,
    )


def _unanswered(scale: ScaleFacts) -> int | None:
    failure = newest_failure(scale, scale.checks)
    return None if failure is None or failure.cause else failure.check.id


def _calibrations(scale: ScaleFacts) -> tuple[CalibrationRow, ...]:
    rows = {row.pk: row for row in Calibration.objects.filter(scale=scale.number)}
    return tuple(
        CalibrationRow(
            facts=facts,
            laboratory=rows[facts.id].laboratory,
            adjusted=rows[facts.id].adjusted,
            recorded_at=rows[facts.id].recorded_at,
            recorded_by=rows[facts.id].recorded_by_id,
        )
        for facts in reversed(scale.calibrations)
    )


def _checks(scale: str) -> tuple[CheckRow, ...]:
    rows = ScaleCheck.objects.filter(scale=scale).order_by("-measured_at", "-id")
    return tuple(
        CheckRow(
            id=row.pk,
            measured_at=row.measured_at,
            operator=row.operator_id,
            passed=row.passed,
            remark=row.remark,
            loads=_loads(row),
        )
        for row in rows.prefetch_related("loads")
    )


def _loads(check: ScaleCheck) -> tuple[CheckLoadRow, ...]:
    return tuple(
        CheckLoadRow(
            weights=tuple(load.weights),
            text=load.text,
            unit=load.unit,
            load_g=load.load_g,
            error_g=load.error_g,
            limit_g=load.limit_g,
            passed=load.passed,
        )
        for load in sorted(check.loads.all(), key=lambda load: load.pk)
    )
