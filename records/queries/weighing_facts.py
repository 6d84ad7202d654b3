"""Weighings and removals as facts; those corrected away are left out."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Q

from records.domain.practice.facts import ReadingFacts, RemovalFacts, WeighingFacts
from records.models import Removal, RemovalClose, Weighing


def weighings_of_parts(parts: Iterable[str], build: str) -> tuple[WeighingFacts, ...]:
    """Return the parts' weighings wherever they were made, and the sets of this build, by time."""
    of_build = Q(part__in=list(parts)) | Q(build=build, part__isnull=True)
    standing = Weighing.objects.filter(of_build, correction__isnull=True)
    in_order = standing.order_by("measured_at", "id").prefetch_related("readings", "members")
    return tuple(weighing_facts(row) for row in in_order)


def removals_of_parts(parts: Iterable[str]) -> tuple[RemovalFacts, ...]:
    """Return the parts' removals in any build, by time."""
    standing = Removal.objects.filter(part__in=list(parts), correction__isnull=True)
    in_order = standing.order_by("cut_at", "id").select_related("close").prefetch_related("zones")
    return tuple(removal_facts(row) for row in in_order)


def weighing_facts(row: Weighing) -> WeighingFacts:
    """Return a weighing (prefetch `readings` and `members` for many)."""
    readings = sorted(row.readings.all(), key=lambda reading: reading.order)
    return WeighingFacts(
        id=row.pk,
        part=row.part_id,
        place=row.place,
        members=tuple(sorted(member.part_id for member in row.members.all())),
        what=row.what,
        how=row.how,
        scale=row.scale_id,
        calibration=row.calibration_id,
        fixture=row.fixture_id,
        operator=row.operator_id,
        source=row.source,
        purpose=row.purpose,
        measured_at=row.measured_at,
        recorded_at=row.recorded_at,
        late=row.late,
        ahead=row.ahead,
        readings=tuple(ReadingFacts(r.text, r.unit, r.grams, r.hanging) for r in readings),
        mean_g=row.mean_g,
        build=row.build_id,
    )


def removal_facts(row: Removal) -> RemovalFacts:
    """Return a removal (select `close` and prefetch `zones` for many)."""
    close = close_of(row)
    return RemovalFacts(
        id=row.pk,
        build=row.build_id,
        part=row.part_id,
        zones=tuple(sorted(zone.zone_id for zone in row.zones.all())),
        method=row.method,
        spread=row.spread,
        operator=row.operator_id,
        before=row.before_id,
        cut_at=row.cut_at,
        late=row.late,
        after=close.after_id if close else None,
        mass_g=close.mass_g if close else None,
        U_g=close.U_g if close else None,
        heat=close.heat if close else None,
    )


def close_of(row: Removal) -> RemovalClose | None:
    """Return the row that closed a removal, if any did."""
    try:
        return row.close
    except RemovalClose.DoesNotExist:
        return None
