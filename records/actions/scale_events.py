"""What happens to a scale: adjusted, repaired, withdrawn, returned, a failed check's cause."""

from __future__ import annotations

from datetime import datetime

from records import ledger
from records.actions.clock import SYSTEM, Clock, check_not_ahead
from records.actions.deed import Act, deed
from records.actions.lookup import found, one_of, text
from records.domain.errors import BadValue, Code, Conflict
from records.domain.practice.roles import check_may
from records.domain.practice.scale_events import EventKind, withdrawal_at
from records.models import Scale, ScaleCheck, ScaleEvent
from records.queries.scale_facts import facts_of_scales

# Who stands at the bench may stop a scale and say what was wrong; the office brings it back.
AT_THE_BENCH = (EventKind.CAUSE, EventKind.WITHDRAWN)
IN_AND_OUT = (EventKind.WITHDRAWN, EventKind.RETURNED)


def record_scale_event(
    *,
    by: str,
    scale: str,
    kind: str,
    reason: str,
    happened_at: datetime | None = None,
    check: int | None = None,
    clock: Clock = SYSTEM,
) -> ScaleEvent:
    """Record what happened to a scale; `cause recorded` names the failed check by its row.

    A cause, or a return to use, makes no scale fit by itself. Errors: BadValue at the field;
    Conflict for a withdrawal or a return that changes nothing, and for a cause told already.
    """
    stream = ledger.scale_stream(scale)
    with deed(by=by, name="check scale", streams=[stream], clock=clock) as act:
        row = found(Scale, scale, "scale")
        one_of(kind, "kind", list(EventKind))
        if kind not in AT_THE_BENCH:
            check_may(act.roles, "keep scales", by)
        at = _moment(act, kind, happened_at)
        _refuse_without_change(scale, kind, at)
        event = ScaleEvent.objects.create(
            scale=row,
            kind=kind,
            happened_at=at,
            scale_check=_failed_check(scale, kind, check),
            reason=text(reason, "reason", 400),
            **act.stamp,
        )
        act.enter(stream, f"scale {kind}", [event])
        return event


def _moment(act: Act, kind: str, given: datetime | None) -> datetime:
    """Return when it happened; in and out of use is said as it is done, never backwards."""
    if given is None:
        return act.at
    check_not_ahead(given, act.at, "happened_at")
    if kind in (EventKind.CAUSE, EventKind.RETURNED) and given != act.at:
        raise BadValue(
            Code.BAD_VALUE,
            f"expected no time for {kind}, which holds from when it is recorded",
            field="happened_at",
            got=given.isoformat(),
        )
    return given


def _failed_check(scale: str, kind: str, check: int | None) -> ScaleCheck | None:
    if kind != EventKind.CAUSE:
        if check is not None:
            message = f"expected no check for {kind}, only a cause explains one"
            raise BadValue(Code.BAD_VALUE, message, field="check", got=str(check))
        return None
    row = found(ScaleCheck, check, "check")
    if row.scale_id != scale or row.passed:
        raise BadValue(
            Code.BAD_VALUE,
            f"expected a failed check of scale {scale}, got one "
            f"{'that passed' if row.passed else f'of {row.scale_id}'}",
            field="check",
            expected="a failed check",
            got=str(check),
        )
    if ScaleEvent.objects.filter(scale_check=row).exists():
        raise Conflict(
            Code.ALREADY_THERE, "the cause of this check is on record already", field="check"
        )
    return row


def _refuse_without_change(scale: str, kind: str, at: datetime) -> None:
    """Refuse to withdraw what is out of use, and to return what is in use: nothing would change."""
    if kind not in (EventKind.WITHDRAWN, EventKind.RETURNED):
        return
    facts = facts_of_scales([scale])[scale]
    later = [e for e in facts.events if e.kind in IN_AND_OUT and e.happened_at > at]
    out = withdrawal_at(facts, at) is not None
    if later or out == (kind == EventKind.WITHDRAWN):
        state = "out of use" if out else "in use"
        told = f"has been {later[0].kind} since" if later else f"is {state} already"
        raise Conflict(Code.CONFLICT, f"scale {scale} {told}; nothing would change", field="kind")
