"""Recalls: a scale found out; what it touched is followed and reckoned again in the background."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from records import ledger, outbox
from records.actions.clock import SYSTEM, Clock, check_not_ahead
from records.actions.deed import Act, deed
from records.actions.lookup import found, text
from records.actions.progress import begin_progress, note_progress
from records.actions.recall_cases import write_case
from records.domain.errors import BadValue, Code
from records.domain.practice.facts_of_scales import ScaleFacts
from records.domain.practice.recall_window import (
    EVER,
    FoundOut,
    end_of_day,
    found_out,
    points_of_check,
)
from records.domain.practice.scale_model import calibration_at
from records.domain.practice.shop_day import shop_day
from records.models import CheckWeight, OutboxTask, Recall, Scale, ShopSettings
from records.queries.recall_windows import (
    builds_in_window,
    plain_points,
    plain_proofs,
    touched_builds,
    window_of,
)
from records.queries.scale_facts import facts_of_scales

RECKON = "records.reckon_recall"


@dataclass(frozen=True, slots=True)
class FoundBy:
    """What found the scale out: a calibration by its certificate, or a failed check by its row."""

    certificate: str = ""
    check: int | None = None


def recall(
    *,
    by: str,
    scale: str,
    found_by: FoundBy,
    cause: str,
    withdrawn_at: datetime | None = None,
    clock: Clock = SYSTEM,
) -> Recall:
    """Recall all that a scale touched since its last good evidence, until it was withdrawn.

    Without a moment it was withdrawn at the end of the day of the calibration, or by the check.
    Everything in the window is in doubt from this deed on; the builds are reckoned again in the
    background. What was recalled already is returned as it stands. Errors: BadValue at `found_by`,
    `cause` or `withdrawn_at`.
    """
    stream = ledger.scale_stream(scale)
    with deed(by=by, name="recall", streams=[stream], clock=clock) as act:
        row = found(Scale, scale, "scale")
        facts = facts_of_scales([scale])[scale]
        check_not_ahead(withdrawn_at or act.at, act.at, "withdrawn_at")
        window = _window(facts, found_by, withdrawn_at, ShopSettings.objects.latest("version"))
        _check_order(window)
        there = Recall.objects.filter(calibration=window.calibration, scale_check=window.check)
        if known := there.first():
            return known
        recalled = written(act, row, window, text(cause, "cause", 400))
        act.enter(stream, "scale recalled", [recalled])
        outbox.leave(RECKON, str(recalled.pk), start_now=not clock.is_set)
        return recalled


def look_again(*, by: str, recall: int, clock: Clock = SYSTEM) -> OutboxTask:
    """Follow a recall once more, for what was entered late; builds that have a case keep it.

    It writes no row of the record by itself, and so no entry.
    """
    with deed(by=by, name="recall", streams=[], clock=clock):
        row = found(Recall, recall, "recall")
        again = OutboxTask.objects.filter(task=RECKON, key__startswith=f"{row.pk}/").count() + 1
        return outbox.leave(RECKON, f"{row.pk}/{again}", start_now=not clock.is_set)


def reckon_recall(*, recall: int, key: str = "", clock: Clock = SYSTEM) -> int:
    """Write a case for each build that a recall touched, and return how many there are now.

    A build at a time, each whole or not at all; those that have a case keep it, so that doing it
    again, or again after it was killed, comes to the same.
    """
    row = found(Recall, recall, "recall")
    window = window_of(row)
    progress = begin_progress(RECKON, str(row.pk), builds_in_window(window), clock.now())
    for touched in touched_builds(row):
        if write_case(row, touched.build, window, clock):
            note_progress(progress, clock.now())
    note_progress(progress, clock.now(), finished=True)
    outbox.note_done(RECKON, key or str(row.pk))
    return row.cases.count()


def written(
    act: Act,
    scale: Scale,
    window: FoundOut,
    cause: str,
    *,
    check_weight: CheckWeight | None = None,
) -> Recall:
    """Write a recall's row, for its deed to enter."""
    return Recall.objects.create(
        scale=scale,
        calibration_id=window.calibration,
        scale_check_id=window.check,
        check_weight=check_weight,
        cause=cause,
        since=None if window.since == EVER else window.since,
        until=window.until,
        points=plain_points(window),
        proofs=plain_proofs(window),
        **act.stamp,
    )


def _window(
    scale: ScaleFacts, found_by: FoundBy, withdrawn_at: datetime | None, shop: ShopSettings
) -> FoundOut:
    if bool(found_by.certificate) == (found_by.check is not None):
        raise _refused(
            "the certificate or the check that found it out, one of them", "both or none"
        )
    if found_by.certificate:
        return _by_calibration(scale, found_by.certificate, withdrawn_at, shop.timezone)
    return _by_check(scale, found_by.check, withdrawn_at, shop.timezone)


def _by_calibration(
    scale: ScaleFacts, certificate: str, withdrawn_at: datetime | None, timezone: str
) -> FoundOut:
    of_that_name = (c for c in scale.calibrations if c.certificate_number == certificate)
    calibration = next(of_that_name, None)
    if calibration is None:
        raise _refused(f"a calibration of scale {scale.number} on record", certificate)
    return found_out(
        scale,
        points=calibration.as_found,
        until=withdrawn_at or end_of_day(calibration.calibrated_on, timezone),
        timezone=timezone,
        calibration=calibration.id,
    )


def _by_check(
    scale: ScaleFacts, id: int | None, withdrawn_at: datetime | None, timezone: str
) -> FoundOut:
    check = next((c for c in scale.checks if c.id == id), None)
    if check is None or check.passed:
        got = f"check {id}, {'which passed' if check else 'unknown'}"
        raise _refused(f"a failed check of scale {scale.number}", got)
    in_force = calibration_at(scale, shop_day(check.measured_at, timezone))
    return found_out(
        scale,
        points=points_of_check(check.loads, in_force),
        until=withdrawn_at or check.measured_at,
        timezone=timezone,
        check=check.id,
    )


def _check_order(window: FoundOut) -> None:
    if window.until <= window.since:
        raise BadValue(
            Code.BAD_VALUE,
            f"expected a withdrawal after the last good calibration, {window.since:%Y-%m-%d}, got "
            f"{window.until:%Y-%m-%d %H:%M} UTC",
            field="withdrawn_at",
            expected=f"after {window.since:%Y-%m-%d}",
            got=window.until.isoformat(),
        )


def _refused(expected: str, got: str) -> BadValue:
    return BadValue(
        Code.BAD_VALUE,
        f"expected {expected}; got {got}",
        field="found_by",
        expected=expected,
        got=got,
    )
