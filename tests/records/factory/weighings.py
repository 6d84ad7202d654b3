"""Weighings, cuts, and their corrections."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from decimal import Decimal

from django.db import models

from records import ledger
from records.models import (
    Build,
    Part,
    Reading,
    Removal,
    RemovalClose,
    RemovalCorrection,
    RemovalZone,
    Scale,
    SetMember,
    Weighing,
    WeighingCorrection,
)
from tests.records.factory.scales import a_scale
from tests.records.factory.shop import START, a_person, entered, grams, stamp


def weighed(
    part: Part | None,
    *readings: str,
    scale: Scale | None = None,
    build: Build | None = None,
    at: datetime = START,
    what: str = "whole",
    how: str = "on the pan",
    place: int | None = None,
    members: Iterable[Part] = (),
    by: str = "P-01",
    source: str = "typed",
    purpose: str = "evidence",
) -> Weighing:
    """Return a new weighing in grams, on the shop's first scale unless one is given.

    A set is weighed with `part` None, its place, its members and its build.
    """
    if scale is None and source != "declared":
        scale = Scale.objects.order_by("recorded_at", "number").first() or a_scale()
    weighing = Weighing(
        build=build,
        part=part,
        place=place,
        what=what,
        how=how,
        scale=scale,
        calibration=scale.calibrations.order_by("-id").first() if scale else None,
        operator=a_person(by),
        source=source,
        purpose=purpose,
        measured_at=at,
        mean_g=sum((grams(text) for text in readings), Decimal(0)) / len(readings),
        **stamp(at, by),
    )
    rows: list[models.Model] = [weighing]
    for order, text in enumerate(readings, start=1):
        hanging = order if how == "hung" else None
        rows.append(
            Reading(
                weighing=weighing,
                order=order,
                text=text,
                unit="g",
                grams=grams(text),
                hanging=hanging,
            )
        )
    rows += [SetMember(weighing=weighing, part=member) for member in members]
    entered(*rows, stream=_stream_of(build, part), at=at, actor=by)
    return weighing


def _stream_of(build: Build | None, part: Part | None) -> str:
    if build is not None:
        return ledger.build_stream(build.number)
    return ledger.part_stream(part.number if part else "none")


def corrected(
    wrong: Weighing, *, right: Weighing | None = None, reason: str = "typed wrong"
) -> WeighingCorrection:
    """Return a new correction of a weighing."""
    row = WeighingCorrection(wrong=wrong, right=right, reason=reason, **stamp())
    entered(row, stream=_stream_of(wrong.build, wrong.part))
    return row


def cut(
    before: Weighing,
    after: Weighing | None,
    *,
    zone: str = "skirt",
    method: str = "die grinder",
    spread: str = "both sides",
    heat: str = "none",
    at: datetime | None = None,
) -> Removal:
    """Return a new removal between two whole weighings, open when there is none after it."""
    part = before.part
    assert part is not None
    moment = at or before.measured_at + timedelta(minutes=5)
    removal = Removal(
        build=before.build,
        part=part,
        method=method,
        spread=spread,
        operator=a_person("P-02"),
        before=before,
        cut_at=moment,
        **stamp(moment, "P-02"),
    )
    rows: list[models.Model] = [
        removal,
        RemovalZone(removal=removal, zone=part.spec.zones.get(key=zone)),
    ]
    if after is not None:
        rows.append(
            RemovalClose(
                removal=removal,
                after=after,
                mass_g=before.mean_g - after.mean_g,
                U_g=grams("0.15"),
                heat=heat,
                **stamp(moment, "P-02"),
            )
        )
    entered(*rows, stream=_stream_of(before.build, part), at=moment, actor="P-02")
    return removal


def cut_taken_back(removal: Removal, *, reason: str = "never made") -> RemovalCorrection:
    """Return a new correction of a removal."""
    row = RemovalCorrection(wrong=removal, reason=reason, **stamp())
    entered(row, stream=_stream_of(removal.build, removal.part))
    return row
