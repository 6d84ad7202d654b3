"""What happens to a scale between calibrations, and what follows from it.

A failed check withdraws a scale until its cause is on record *and* a repeat check has passed at
the loads that failed, or until a new calibration. An adjustment or repair makes the certificate
speak of a scale that is no more. What the shop itself withdrew, the shop returns; that mends
neither a failed check nor an adjustment (ISO/IEC 17025:2017, 6.4.9).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from enum import StrEnum

from records.domain.practice.facts_of_scales import (
    CalibrationFacts,
    CheckFacts,
    ScaleEventFacts,
    ScaleFacts,
)
from records.domain.practice.shop_day import shop_day

# A repeat check answers a failed load with one within a tenth of it: common practice, no source.
NEAR_ENOUGH = Decimal("0.1")


class EventKind(StrEnum):
    """What may happen to a scale."""

    ADJUSTED = "adjusted"
    REPAIRED = "repaired"
    CAUSE = "cause recorded"
    WITHDRAWN = "withdrawn"
    RETURNED = "returned to use"


CHANGES = (EventKind.ADJUSTED, EventKind.REPAIRED)


@dataclass(frozen=True, slots=True)
class Failure:
    """The newest failed check under a calibration, and what of its answer is there."""

    check: CheckFacts
    cause: str
    open_loads_g: tuple[Decimal, ...]

    @property
    def answered(self) -> bool:
        """Tell whether the cause is recorded and every load that failed has passed since."""
        return bool(self.cause) and not self.open_loads_g


def newest_failure(scale: ScaleFacts, checks: Sequence[CheckFacts]) -> Failure | None:
    """Give the last check that failed among these; its answer answers those before it as well."""
    in_order = sorted(checks, key=lambda check: (check.measured_at, check.id))
    last = next((at for at in reversed(range(len(in_order))) if not in_order[at].passed), None)
    if last is None:
        return None
    failed, since = in_order[last], in_order[last + 1 :]
    causes = (e.reason for e in scale.events if e.check == failed.id and e.kind == EventKind.CAUSE)
    wanted = [load.load_g for load in failed.loads if not load.passed]
    shown = [load.load_g for check in since if check.passed for load in check.loads]
    return Failure(failed, next(causes, ""), tuple(_unanswered(wanted, shown)))


def withdrawal_at(scale: ScaleFacts, moment: datetime) -> ScaleEventFacts | None:
    """Give the event by which the shop has the scale out of use at a moment, None where in use."""
    last = _last(scale.events, (EventKind.WITHDRAWN, EventKind.RETURNED), moment)
    return last if last is not None and last.kind == EventKind.WITHDRAWN else None


def return_before(scale: ScaleFacts, moment: datetime) -> ScaleEventFacts | None:
    """Give the last return to use before a moment."""
    return _last(scale.events, (EventKind.RETURNED,), moment)


def change_since(
    scale: ScaleFacts, calibration: CalibrationFacts, moment: datetime, timezone: str
) -> ScaleEventFacts | None:
    """Give an adjustment or repair that this calibration knows nothing of, up to a moment.

    On the day of the calibration it is covered where the certificate says adjusted, or was recorded
    after it.
    """
    last = _last(scale.events, CHANGES, moment)
    if last is None:
        return None
    day = shop_day(last.happened_at, timezone)
    if day != calibration.calibrated_on:
        return last if day > calibration.calibrated_on else None
    recorded = calibration.recorded_at
    later = recorded is not None and recorded >= last.recorded_at
    return None if calibration.adjusted or later else last


def _last(
    events: Iterable[ScaleEventFacts], kinds: Sequence[EventKind], moment: datetime
) -> ScaleEventFacts | None:
    made = (e for e in events if e.kind in kinds and e.happened_at <= moment)
    return max(made, key=lambda e: (e.happened_at, e.id), default=None)


def _unanswered(wanted: Sequence[Decimal], shown: Sequence[Decimal]) -> Iterable[Decimal]:
    for load_g in wanted:
        if not any(abs(other - load_g) <= NEAR_ENOUGH * load_g for other in shown):
            yield load_g
