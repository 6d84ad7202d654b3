"""Weighings: readings kept as the scale gave them, with the scale's standing at that moment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from django.db import models

from records import ledger
from records.actions.clock import AHEAD, SYSTEM, Clock, check_not_ahead, is_late
from records.actions.deed import Act, deed
from records.actions.findings import raise_findings
from records.actions.lookup import found, text
from records.actions.reading import ReadingGiven, grams_of, mean
from records.domain.errors import BadValue, Code, Conflict
from records.models import (
    Build,
    BuildFixture,
    Calibration,
    Fitment,
    Part,
    Reading,
    RodFixture,
    Scale,
    ScaleCheck,
    SetMember,
    Weighing,
    WeighingCorrection,
)

ENDS = (Weighing.What.BIG_END, Weighing.What.SMALL_END)


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
    with deed(by=by, name="weigh", streams=[stream], clock=clock) as act:
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
    with deed(by=by, name="weigh", streams=[stream], clock=clock) as act:
        where = found(Build, build, "build")
        wrong = _standing(where, weighing)
        right, rows = written(act, where, given) if given else (None, [])
        correction = WeighingCorrection.objects.create(
            wrong=wrong, right=right, reason=text(reason, "reason", 400), **act.stamp
        )
        act.enter(stream, "weighing corrected", [*rows, correction, *raise_findings(act, where)])
        return correction


def written(act: Act, build: Build, given: WeighingGiven) -> tuple[Weighing, list[models.Model]]:
    """Write a weighing with its readings; the caller enters the rows it returns."""
    _check(given)
    moment = given.measured_at or act.at
    ahead = _ahead(given, moment, act.at)
    grams = [grams_of(reading, f"readings/{index}") for index, reading in enumerate(given.readings)]
    scale = found(Scale, given.scale, "scale") if given.scale else None
    if scale:
        _within_capacity(scale, grams)
    row = Weighing.objects.create(
        build=build,
        part=_part_here(build, given),
        place=given.place,
        what=given.what,
        how=given.how or _usual_way(given.what),
        scale=scale,
        calibration=_calibration_at(scale, moment),
        check_before=_check_before(scale, moment),
        fixture=_fixture_of(build) if given.what in ENDS else None,
        operator_id=_operator(act, given),
        source=given.source,
        purpose=given.purpose,
        measured_at=moment,
        device_time=given.device_time,
        device_offset_ms=given.device_offset_ms,
        late=is_late(moment, act.at),
        ahead=ahead,
        mean_g=mean(grams),
        remark=given.remark[:400],
        **act.stamp,
    )
    rows: list[models.Model] = [row, *_readings(row, given.readings, grams)]
    if given.place is not None:
        rows += _members(row, build, given.place)
    return row, rows


def _check(given: WeighingGiven) -> None:
    _one_of("what", given.what, Weighing.What.values)
    _one_of("source", given.source, Weighing.Source.values)
    _one_of("purpose", given.purpose, Weighing.Purpose.values)
    if given.how is not None:
        _one_of("how", given.how, Weighing.How.values)
    if not given.readings:
        raise BadValue(Code.MISSING, "expected a reading, got none", field="readings")
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
    if given.scale is None and given.source != Weighing.Source.DECLARED:
        raise BadValue(Code.MISSING, "expected the number of a scale, got none", field="scale")


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
    return part


def _usual_way(what: str) -> str:
    return Weighing.How.HUNG if what in ENDS else Weighing.How.ON_PAN


def _within_capacity(scale: Scale, grams: Sequence[Decimal]) -> None:
    for index, mass in enumerate(grams):
        if mass > scale.capacity_g:
            capacity = f"at most {scale.capacity_g.normalize():f} g, what {scale.number} can carry"
            raise BadValue(
                Code.OUT_OF_RANGE,
                f"expected {capacity}, got {mass.normalize():f} g",
                field=f"readings/{index}/value",
                expected=capacity,
                got=f"{mass.normalize():f} g",
            )


def _calibration_at(scale: Scale | None, moment: datetime) -> Calibration | None:
    if scale is None:
        return None
    before = scale.calibrations.filter(calibrated_on__lte=moment.date())
    return before.order_by("-calibrated_on", "-pk").first()


def _check_before(scale: Scale | None, moment: datetime) -> ScaleCheck | None:
    if scale is None:
        return None
    before = scale.checks.filter(
        measured_at__lte=moment, measured_at__gte=moment - timedelta(hours=36)
    )
    return before.order_by("-measured_at", "-pk").first()


def _fixture_of(build: Build) -> RodFixture | None:
    used = BuildFixture.objects.filter(build=build).order_by("-pk").first()
    return used.fixture if used else None


def _operator(act: Act, given: WeighingGiven) -> str:
    """Return who weighed: the one who records it, unless a sheet names another."""
    if given.operator is None or given.operator == act.person.number:
        return act.person.number
    if given.source not in (Weighing.Source.SHEET, Weighing.Source.BRIDGE, Weighing.Source.TABLET):
        raise BadValue(
            Code.BAD_VALUE,
            f"expected your own number, got {given.operator}",
            field="operator",
        )
    return given.operator


def _readings(
    row: Weighing, given: Sequence[ReadingGiven], grams: Sequence[Decimal]
) -> list[Reading]:
    return [
        Reading.objects.create(
            weighing=row,
            order=order,
            text=reading.text or str(reading.value),
            unit=reading.unit,
            grams=mass,
            hanging=reading.hanging or (order if row.how == Weighing.How.HUNG else None),
            read_at=reading.read_at,
        )
        for order, (reading, mass) in enumerate(zip(given, grams, strict=True), start=1)
    ]


def _members(row: Weighing, build: Build, place: int) -> list[models.Model]:
    from records.domain.practice.kinds import SET_KINDS

    standing = Fitment.objects.filter(
        models.Q(place=place) | models.Q(place__isnull=True),
        build=build,
        end__isnull=True,
        part__spec__kind__in=SET_KINDS,
    )
    if not standing.exists():
        raise Conflict(Code.CONFLICT, f"no part of a set stands in place {place}", field="place")
    return [SetMember.objects.create(weighing=row, part=fitment.part) for fitment in standing]


def _standing(build: Build, weighing: int) -> Weighing:
    row = found(Weighing, weighing, "weighing")
    if row.build_id != build.number:
        raise BadValue(Code.UNKNOWN_NUMBER, f"{weighing} is no weighing of {build.number}")
    if WeighingCorrection.objects.filter(wrong=row).exists():
        raise Conflict(Code.CONFLICT, f"weighing {weighing} was corrected already")
    _refuse_enclosing(row)
    return row


def _refuse_enclosing(row: Weighing) -> None:
    from records.models import Removal, RemovalClose

    standing = Removal.objects.filter(correction__isnull=True)
    closing = RemovalClose.objects.filter(after=row, removal__correction__isnull=True)
    if standing.filter(before=row).exists() or closing.exists():
        raise Conflict(
            Code.CONFLICT,
            f"weighing {row.pk} encloses a removal; take the removal back first",
        )


def _one_of(field: str, value: str, known: Sequence[str]) -> None:
    if value not in known:
        raise BadValue(
            Code.BAD_VALUE,
            f"expected one of {', '.join(known)}, got {value!r}",
            field=field,
            expected=", ".join(known),
            got=value,
        )
