"""What must go to be calibrated, and when: scales and check weights, the first due first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from records.domain.practice.scale_model import calibration_at
from records.domain.practice.scale_status import DUE_SOON
from records.domain.practice.shop_day import shop_day
from records.queries.check_weights import check_weights
from records.queries.scale_facts import scale_facts
from records.queries.shop import shop_now

IN_DATE, SOON, OVERDUE, NEVER = "in date", "due soon", "overdue", "never calibrated"


@dataclass(frozen=True, slots=True)
class DueRow:
    """A scale or check weight with the day its certificate runs out; days are negative after it."""

    kind: str
    number: str
    certificate_number: str
    due_on: date | None
    days_left: int | None
    word: str


def due_list(now: datetime) -> tuple[DueRow, ...]:
    """Return scales, and check weights that have a certificate, the first due first.

    A check weight known by its class alone has no day; a scale never calibrated comes first.
    """
    shop = shop_now()
    today = shop_day(now, shop.timezone if shop else "UTC")
    rows = [*_scales(today, now), *_weights(today)]
    rows.sort(key=lambda row: (row.due_on or date.min, row.kind, row.number))
    return tuple(rows)


def _scales(today: date, now: datetime) -> list[DueRow]:
    rows = []
    for number, scale in scale_facts(since=now).items():
        newest = calibration_at(scale, today)
        if newest is None:
            rows.append(DueRow("scale", number, "", None, None, NEVER))
        else:
            rows.append(_row("scale", number, newest.certificate_number, newest.due_on, today))
    return rows


def _weights(today: date) -> list[DueRow]:
    return [
        _row("check weight", row.number, newest.certificate_number, newest.due_on, today)
        for row in check_weights()
        for newest in row.certificates[:1]
    ]


def _row(kind: str, number: str, certificate: str, due_on: date, today: date) -> DueRow:
    left = due_on - today
    word = IN_DATE if left > DUE_SOON else SOON
    word = OVERDUE if left.days < 0 else word
    return DueRow(kind, number, certificate, due_on, left.days, word)
