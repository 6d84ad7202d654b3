"""Fitments: a part put in a place of a build, and taken out of it."""

from __future__ import annotations

from datetime import datetime

from records.actions.deed import Act
from records.domain.errors import Code, Conflict
from records.domain.practice.kinds import check_place, kind_named
from records.models import Build, Fitment, FitmentEnd, Part


def fitted(
    act: Act,
    build: Build,
    part: Part,
    place: int | None,
    at: datetime,
    *,
    at_booking: bool = False,
) -> Fitment:
    """Write a fitment's row, unless the part or the place is taken."""
    places = tuple(build.cylinders.order_by("place").values_list("place", flat=True))
    check_place(kind_named(part.spec.kind), place, places)
    _refuse_second(build, part, place)
    return Fitment.objects.create(
        build=build,
        part=part,
        place=place,
        fitted_at=at,
        at_booking=at_booking,
        operator=act.person,
        **act.stamp,
    )


def taken_out(act: Act, fitment: Fitment, at: datetime, reason: str) -> FitmentEnd:
    """Write the end of a fitment; it can't lie before its beginning (Conflict)."""
    if at < fitment.fitted_at:
        raise Conflict(
            Code.CONFLICT,
            f"{fitment.part_id} was put in at {fitment.fitted_at:%Y-%m-%d %H:%M} UTC, so it can't "
            f"leave at {at:%Y-%m-%d %H:%M} UTC",
            field="ended_at",
        )
    return FitmentEnd.objects.create(
        fitment=fitment, ended_at=at, operator=act.person, reason=reason, **act.stamp
    )


def _refuse_second(build: Build, part: Part, place: int | None) -> None:
    """Refuse a part that stands somewhere, and a second one of its kind in the same place."""
    standing = Fitment.objects.filter(end__isnull=True)
    if here := standing.filter(part=part).first():
        raise Conflict(
            Code.CONFLICT,
            f"{part.number} stands in {here.build_id} already; take it out there first",
            field="part",
        )
    kind = part.spec.kind
    if there := standing.filter(build=build, place=place, part__spec__kind=kind).first():
        where = f"place {place}" if place is not None else build.number
        raise Conflict(
            Code.CONFLICT,
            f"{where} has a {kind} already, {there.part_id}; take it out first",
            field="place",
        )
