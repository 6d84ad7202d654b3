"""Weighings: readings kept as the scale gave them, with the scale's standing at that moment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import models

from records import ledger
from records.actions.clock import AHEAD, SYSTEM, Clock, check_not_ahead, check_zoned, is_late
from records.actions.deed import Act, deed
from records.actions.findings import raise_findings
from records.actions.lookup import found, one_of, optional_text, text
from records.actions.reading import ReadingGiven, grams_of, mean
from records.actions.weighing_rows import (
    calibration_at,
    check_before,
    fixture_of,
    member_rows,
    reading_rows,
    refuse_beyond,
    refuse_two_places,
)
from records.domain.errors import BadValue, Code, Conflict
from records.models import (
    Build,
    Fitment,
    Part,
    Person,
    Removal,
    RemovalClose,
    Scale,
    Weighing,
    WeighingCorrection,
)

ENDS = (Weighing.What.BIG_END, Weighing.What.SMALL_END)
FOR_OTHERS = (Weighing.Source.SHEET, Weighing.Source.BRIDGE, Weighing.Source.TABLET)
MOST_READINGS = 99


@dataclass(frozen=True, slots=True)
class WeighingGiven:
    """What a weighing is of, on what, and its readings.

    `part` for a part, or `place` for that place's set weighed together. `device_offset_ms` is how
    far the device's clock was found ahead of ours; with it `measured_at` is corrected already.
    """

    what: str
    readings: Sequence[ReadingGiven]
    part: str | None = None
    place: int | None = None
    scale: str | None = None
    how: str | None = None
    measured_at: datetime | None = None
    source: str = Weighing.Source.TYPED
    purpose: str = Weighing.Purpose.EVIDENCE
    operator: str | None = None
    device_time: datetime | None = None
    device_offset_ms: int | None = None
    remark: str = ""


def record_weighing(
    *, by: str, build: str, given: WeighingGiven, clock: Clock = SYSTEM
) -> Weighing:
    """Record a weighing; whether it counts for release is judged later from what stands then.

    Errors: BadValue at the field (`readings/0/value`, `scale`, `part`, `measured_at`…).
    """
    stream = ledger.build_stream(build)
    with deed(by=by, name=_deed_of(given), streams=[stream], clock=clock) as act:
        where = found(Build, build, "build")
        row, rows = written(act, where, given)
        if given.what == Weighing.What.WHOLE:  # only wholes can show metal that went unrecorded
            rows += raise_findings(act, where)
        act.enter(stream, "weighing recorded", rows)
        return row


def correct_weighing(
    *,
    by: str,
    build: str,
    weighing: int,
    reason: str,
    given: WeighingGiven | None = None,
    clock: Clock = SYSTEM,
) -> WeighingCorrection:
    """Take a wrong weighing back, naming why, with the right one in its place if there is one.

    Errors: Conflict when it was corrected already or encloses a removal.
    """
    stream = ledger.build_stream(build)
    name = _deed_of(given) if given else "correct"
    with deed(by=by, name=name, streams=[stream], clock=clock) as act:
        where = found(Build, build, "build")
        wrong = _standing(where, weighing)
        right, rows = written(act, where, given, instead_of=wrong.pk) if given else (None, [])
        correction = WeighingCorrection.objects.create(
            wrong=wrong, right=right, reason=text(reason, "reason", 400), **act.stamp
        )
        act.enter(stream, "weighing corrected", [*rows, correction, *raise_findings(act, where)])
        return correction


def written(
    act: Act, build: Build, given: WeighingGiven, *, instead_of: int = 0
) -> tuple[Weighing, list[models.Model]]:
    """Write a weighing with its readings; the caller enters the rows it returns."""
    _check(given)
    moment = given.measured_at or act.at
    ahead = _ahead(given, moment, act.at)
    grams = [grams_of(reading, f"readings/{index}") for index, reading in enumerate(given.readings)]
    part = _part_here(build, given)
    scale = found(Scale, given.scale, "scale") if given.scale else None
    if scale:
        refuse_beyond(scale, given.readings, grams)
    if given.source != Weighing.Source.SHEET:
        refuse_two_places(part, scale, moment, instead_of)
    row = Weighing.objects.create(
        build=build,
        part=part,
        place=given.place,
        what=given.what,
        how=given.how or _usual_way(given.what),
        scale=scale,
        calibration=calibration_at(scale, moment),
        check_before=check_before(scale, moment),
        fixture=fixture_of(build) if given.what in ENDS else None,
        operator=_operator(act, given),
        source=given.source,
        purpose=given.purpose,
        measured_at=moment,
        device_time=given.device_time,
        device_offset_ms=given.device_offset_ms,
        late=is_late(moment, act.at),
        ahead=ahead,
        mean_g=mean(grams),
        remark=optional_text(given.remark, "remark", 400),
        **act.stamp,
    )
    rows: list[models.Model] = [row, *reading_rows(row, given.readings, grams)]
    if given.place is not None:
        rows += member_rows(row, build, given.place)
    return row, rows


def _deed_of(given: WeighingGiven) -> str:
    """A reviewer's verification is not the work, and no one else's."""
    return "verify weighing" if given.purpose == Weighing.Purpose.VERIFICATION else "weigh"


def _check(given: WeighingGiven) -> None:
    one_of(given.what, "what", Weighing.What.values)
    one_of(given.source, "source", Weighing.Source.values)
    one_of(given.purpose, "purpose", Weighing.Purpose.values)
    if given.how is not None:
        one_of(given.how, "how", Weighing.How.values)
    if not given.readings:
        raise BadValue(Code.MISSING, "expected a reading, got none", field="readings")
    if len(given.readings) > MOST_READINGS:
        many = f"expected at most {MOST_READINGS} readings, got {len(given.readings)}"
        raise BadValue(Code.OUT_OF_RANGE, many, field="readings")
    _check_what(given)
    if given.device_time is not None:
        check_zoned(given.device_time, "device_time")
    _check_scale(given)


def _check_what(given: WeighingGiven) -> None:
    if (given.part is None) == (given.place is None):
        raise BadValue(Code.MISSING, "expected a part, or the place of a set", field="part")
    if (given.what == Weighing.What.SET) != (given.place is not None):
        raise BadValue(
            Code.BAD_VALUE,
            f"a {given.what} is not weighed by place"
            if given.place is not None
            else "a set is weighed by its place",
            field="place",
        )


def _check_scale(given: WeighingGiven) -> None:
    declared = given.source == Weighing.Source.DECLARED
    if given.scale is None and not declared:
        raise BadValue(Code.MISSING, "expected the number of a scale, got none", field="scale")
    if given.scale is not None and declared:
        raise BadValue(
            Code.BAD_VALUE,
            f"expected no scale of the shop for a declared mass, got {given.scale}",
            field="scale",
        )


def _ahead(given: WeighingGiven, moment: datetime, now: datetime) -> bool:
    """A queued tablet reading that is still ahead is kept and marked; any other is refused."""
    if given.source == Weighing.Source.TABLET and given.device_time and moment.tzinfo:
        return moment > now + AHEAD
    check_not_ahead(moment, now, "measured_at")
    return False


def _part_here(build: Build, given: WeighingGiven) -> Part | None:
    if given.part is None:
        return None
    part = found(Part, given.part, "part")
    if not Fitment.objects.filter(build=build, part=part).exists():
        raise Conflict(
            Code.CONFLICT, f"{part.number} was never put in {build.number}", field="part"
        )
    if given.what in ENDS and part.spec.kind != "rod":
        raise BadValue(
            Code.BAD_VALUE, f"expected whole: a {part.spec.kind} has no ends", field="what"
        )
    return part


def _usual_way(what: str) -> str:
    return Weighing.How.HUNG if what in ENDS else Weighing.How.ON_PAN


def _operator(act: Act, given: WeighingGiven) -> Person:
    """Return who weighed: the one who records it, unless a sheet or a device names another."""
    if given.operator is None or given.operator == act.person.number:
        return act.person
    if given.source not in FOR_OTHERS:
        raise BadValue(
            Code.BAD_VALUE, f"expected your own number, got {given.operator}", field="operator"
        )
    return found(Person, given.operator, "operator")


def _standing(build: Build, weighing: int) -> Weighing:
    row = found(Weighing, weighing, "weighing")
    if row.build_id != build.number:
        raise BadValue(Code.UNKNOWN_NUMBER, f"{weighing} is no weighing of {build.number}")
    if WeighingCorrection.objects.filter(wrong=row).exists():
        raise Conflict(Code.CONFLICT, f"weighing {weighing} was corrected already")
    _refuse_enclosing(row)
    return row


def _refuse_enclosing(row: Weighing) -> None:
    standing = Removal.objects.filter(correction__isnull=True)
    closing = RemovalClose.objects.filter(after=row, removal__correction__isnull=True)
    if standing.filter(before=row).exists() or closing.exists():
        raise Conflict(
            Code.CONFLICT,
            f"weighing {row.pk} encloses a removal; take the removal back first",
        )
