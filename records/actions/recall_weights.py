"""A check weight found out: every scale that it had wrongly let pass is recalled by it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from decimal import Decimal

from records import ledger, outbox
from records.actions.clock import SYSTEM, Clock
from records.actions.deed import Act, deed
from records.actions.figure import figure
from records.actions.lookup import found, text
from records.actions.recalls import RECKON, written
from records.domain.errors import BadValue, Code
from records.domain.practice.recall_weight import Overturned, overturned_by
from records.models import CheckWeight, Recall, Scale, ScaleCheckLoad, ShopSettings
from records.queries.scale_facts import facts_of_scales


def recall_check_weight(
    *, by: str, weight: str, heavier_g: Decimal, cause: str, clock: Clock = SYSTEM
) -> list[Recall]:
    """Judge each check again with a weight so much heavier (or lighter) than it was taken for.

    Each scale with a check that would have failed is recalled; one that was recalled by that check
    already is returned as it stands. None, and nothing written, where every check still passes.
    Errors: BadValue at `weight`, `heavier_g` or `cause`.
    """
    figure(heavier_g, "heavier_g", most=1000)
    if not heavier_g:
        raise BadValue(Code.BAD_VALUE, "expected a difference, got 0", field="heavier_g", got="0")
    scales = sorted(_checked_with(weight))
    streams = [ledger.scale_stream(number) for number in scales]
    with deed(by=by, name="recall", streams=streams, clock=clock) as act:
        row = found(CheckWeight, weight, "weight")
        why = text(cause, "cause", 400)
        overturned = _overturned(scales, weight, heavier_g, act.at)
        return [_recalled(act, scale, one, why, row) for scale, one in overturned.items()]


def _overturned(
    scales: list[str], weight: str, heavier_g: Decimal, now: datetime
) -> dict[str, Overturned]:
    timezone = ShopSettings.objects.latest("version").timezone
    judged = {
        number: overturned_by(scale, weight, heavier_g, now, timezone)
        for number, scale in facts_of_scales(scales).items()
    }
    return {number: one for number, one in judged.items() if one is not None}


def _recalled(act: Act, scale: str, one: Overturned, cause: str, weight: CheckWeight) -> Recall:
    there = Recall.objects.filter(scale_check=one.check).first()
    if there is not None:
        return there
    row = written(
        act,
        found(Scale, scale, "scale"),
        replace(one.window, check=one.check),
        cause,
        check_weight=weight,
    )
    act.enter(ledger.scale_stream(scale), "scale recalled", [row], {"checks": list(one.checks)})
    outbox.leave(RECKON, str(row.pk), start_now=not act.set_clock)
    return row


def _checked_with(weight: str) -> set[str]:
    """Return the scales that were ever checked with a weight, read as a stream."""
    loads = ScaleCheckLoad.objects.values_list("scale_check__scale", "weights")
    return {scale for scale, weights in loads.iterator() if weight in weights}
