"""What a weighing's row rests on: its scale's standing then, who weighed, what lay on the pan."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from decimal import Decimal

from django.db.models import Q

from records.actions.deed import today
from records.actions.reading import ReadingGiven, as_given
from records.domain.errors import BadValue, Code, Conflict
from records.domain.measure.units import unit_named
from records.domain.practice.kinds import SET_KINDS
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
)

ONE_SHIFT_AND_A_HALF = timedelta(hours=36)


def refuse_beyond(
    scale: Scale,
    readings: Sequence[ReadingGiven],
    grams: Sequence[Decimal],
    field: str = "readings/{}",
) -> None:
    """Refuse readings in a unit that the scale doesn't show, or beyond what it can carry.

    Errors: BadValue at `readings/<index>/unit` or `/value`, or where `field` says.
    """
    shown = {unit_named(step.unit).name: step.unit for step in scale.steps.all()}
    carries = f"at most {scale.capacity_g.normalize():f} g, what {scale.number} can carry"
    for index, (reading, mass) in enumerate(zip(readings, grams, strict=True)):
        if unit_named(reading.unit).name not in shown:
            units = f"a unit that {scale.number} shows: {', '.join(shown.values())}"
            raise _refused(f"{field.format(index)}/unit", units, reading.unit, Code.UNKNOWN_UNIT)
        if mass > scale.capacity_g:
            got = f"{mass.normalize():f} g"
            raise _refused(f"{field.format(index)}/value", carries, got, Code.OUT_OF_RANGE)


def refuse_two_places(part: Part | None, scale: Scale | None, at: datetime, but: int) -> None:
    """Refuse a part that was on another scale at the very same moment.

    Of a sheet's rows only the day may be true, so that they are left out. `but` is the weighing
    that this one replaces (0: none).
    """
    if part is None or scale is None:
        return
    elsewhere = (
        Weighing.objects.filter(part=part, measured_at=at, correction__isnull=True)
        .exclude(Q(scale=scale) | Q(scale=None) | Q(source="sheet") | Q(pk=but))
        .first()
    )
    if elsewhere:
        raise Conflict(
            Code.CONFLICT,
            f"{part.number} was on scale {elsewhere.scale_id} at that very moment, weighing "
            f"{elsewhere.pk}; correct whichever is wrong",
            field="measured_at",
        )


def calibration_at(scale: Scale | None, moment: datetime) -> Calibration | None:
    """Return the newest calibration made on or before a moment's day in the shop."""
    if scale is None:
        return None
    before = scale.calibrations.filter(calibrated_on__lte=today(moment))
    return before.order_by("-calibrated_on", "-pk").first()


def check_before(scale: Scale | None, moment: datetime) -> ScaleCheck | None:
    """Return the last check of a scale before a moment, however it went."""
    if scale is None:
        return None
    since = moment - ONE_SHIFT_AND_A_HALF
    before = scale.checks.filter(measured_at__lte=moment, measured_at__gte=since)
    return before.order_by("-measured_at", "-pk").first()


def fixture_of(build: Build) -> RodFixture | None:
    """Return the version of the rod fixture that a build's ends hang in."""
    used = BuildFixture.objects.filter(build=build).order_by("-pk").first()
    return used.fixture if used else None


def reading_rows(
    row: Weighing, given: Sequence[ReadingGiven], grams: Sequence[Decimal]
) -> list[Reading]:
    """Write the readings of a weighing; an end is hung anew for each unless they say otherwise."""
    return [
        Reading.objects.create(
            weighing=row,
            order=order,
            text=as_given(reading),
            unit=reading.unit,
            grams=mass,
            hanging=reading.hanging or (order if row.how == Weighing.How.HUNG else None),
            read_at=reading.read_at,
        )
        for order, (reading, mass) in enumerate(zip(given, grams, strict=True), start=1)
    ]


def member_rows(row: Weighing, build: Build, place: int) -> list[SetMember]:
    """Write what lay on the pan: the parts of a place's set as they stood at that moment.

    A part booked in stood there before it was booked. Errors: BadValue for a place that the build
    hasn't, Conflict for one without a part of its own.
    """
    if not build.cylinders.filter(place=place).exists():
        raise _refused("place", f"a place of {build.layout}", str(place), Code.OUT_OF_RANGE)
    at = row.measured_at
    standing = Fitment.objects.filter(
        Q(place=place) | Q(place__isnull=True),
        Q(fitted_at__lte=at) | Q(at_booking=True),
        Q(end__isnull=True) | Q(end__ended_at__gt=at),
        build=build,
        part__spec__kind__in=SET_KINDS,
    ).select_related("part__spec")
    of_the_place = {fitment.part.spec.kind for fitment in standing if fitment.place == place}
    if not of_the_place:
        raise Conflict(Code.CONFLICT, f"no part of a set stands in place {place}", field="place")
    return [
        SetMember.objects.create(weighing=row, part=fitment.part)
        for fitment in standing
        if fitment.place == place or fitment.part.spec.kind not in of_the_place
    ]


def _refused(field: str, expected: str, got: str, code: Code) -> BadValue:
    return BadValue(
        code, f"expected {expected}, got {got}", field=field, expected=expected, got=got
    )
