"""A part's life as sentences in the order of time, whichever builds it was in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import Q

from records.models import (
    AllowanceRuling,
    DamperRating,
    Disposition,
    Finding,
    Fitment,
    IntakeNote,
    Removal,
    RemovalCorrection,
    Weighing,
    WeighingCorrection,
)
from records.queries.build_facts import end_of
from records.queries.parts import check_part_is_theirs
from records.queries.viewer import Viewer, seen_by
from records.queries.weighing_facts import close_of


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """What happened, when, by whom, and in which build ("" outside builds).

    `stands` is false for a weighing or removal that was corrected later.
    """

    at: datetime
    sentence: str
    by: str
    build: str
    kind: str
    late: bool = False
    stands: bool = True


def part_history(number: str, viewer: Viewer) -> tuple[HistoryLine, ...]:
    """Return all that is on record of a part, oldest first; a customer sees their builds' lines.

    Errors: NotFound for a part that isn't there or never was in a build of the viewer's.
    """
    check_part_is_theirs(number, viewer)
    of_the_part = Q(part=number)
    of_a_build = of_the_part & seen_by(viewer, "build")
    lines = [
        *_intake(of_a_build),
        *_fitments(of_a_build),
        *_weighings(number, viewer),
        *_removals(of_a_build),
        *_findings(of_a_build),
    ]
    if viewer.of_the_shop:
        lines += [*_rulings(of_the_part), *_ratings(of_the_part)]
    return tuple(sorted(lines, key=lambda line: line.at))


def _intake(which: Q) -> Iterator[HistoryLine]:
    for note in IntakeNote.objects.filter(which).order_by("id"):
        seen = [
            f"heat colour {note.heat}",
            "cracks" if note.cracks else "no cracks seen",
            *(["earlier cuts"] if note.earlier_cuts else []),
            *([note.note] if note.note else []),
        ]
        yield _line(note, f"came in: {', '.join(seen)}", "intake", build=note.build_id)


def _fitments(which: Q) -> Iterator[HistoryLine]:
    for row in Fitment.objects.filter(which).select_related("end").order_by("id"):
        where = "for every place" if row.place is None else f"at place {row.place}"
        yield HistoryLine(
            row.fitted_at, f"fitted {where}", row.operator_id, row.build_id, "fitment"
        )
        end = end_of(row)
        if end is not None:
            sentence = f"taken out, {where}: {end.reason}"
            yield HistoryLine(end.ended_at, sentence, end.operator_id, row.build_id, "fitment")


def _weighings(part: str, viewer: Viewer) -> Iterator[HistoryLine]:
    which = Q(part=part) | Q(members__part=part)
    rows = Weighing.objects.filter(which, seen_by(viewer, "build")).order_by("id")
    for row in rows.select_related("correction").prefetch_related("readings"):
        correction = _correction(row)
        yield HistoryLine(
            at=row.measured_at,
            sentence=_weighed(row),
            by=row.operator_id,
            build=row.build_id or "",
            kind="weighing",
            late=row.late,
            stands=correction is None,
        )
        if correction is not None:
            instead = " and replaced" if correction.right_id else ""
            sentence = f"weighing of {row.mean_g:f} g taken back{instead}: {correction.reason}"
            yield _line(correction, sentence, "correction", build=row.build_id)


def _weighed(row: Weighing) -> str:
    readings = sorted(row.readings.all(), key=lambda reading: reading.order)
    shown = ", ".join(f"{reading.text} {reading.unit}" for reading in readings)
    what = (
        f"set of place {row.place} weighed together"
        if row.part_id is None
        else (
            "weighed whole" if row.what == Weighing.What.WHOLE else f"{row.what} weighed, {row.how}"
        )
    )
    where = "declared" if row.scale_id is None else f"on {row.scale_id}"
    marks = "" if row.purpose == Weighing.Purpose.EVIDENCE else f" ({row.purpose})"
    return f"{what}{marks}, {where}: {shown}"


def _removals(which: Q) -> Iterator[HistoryLine]:
    rows = Removal.objects.filter(which).select_related("close", "correction").order_by("id")
    for row in rows.prefetch_related("zones__zone"):
        zones = ", ".join(zone.zone.name for zone in row.zones.all())
        yield HistoryLine(
            at=row.cut_at,
            sentence=f"cut at {zones} by {row.method}, {row.spread}: {_taken(row)}",
            by=row.operator_id,
            build=row.build_id or "",
            kind="removal",
            late=row.late,
            stands=_removal_correction(row) is None,
        )
        correction = _removal_correction(row)
        if correction is not None:
            sentence = f"cut taken back: {correction.reason}"
            yield _line(correction, sentence, "correction", build=row.build_id)


def _taken(row: Removal) -> str:
    close = close_of(row)
    if close is None:
        return "not weighed again yet"
    heat = "" if close.heat == "none" else f", heat colour {close.heat}"
    return f"{_short(close.mass_g)} g off (U {_short(close.U_g)} g){heat}"


def _findings(which: Q) -> Iterator[HistoryLine]:
    rows = list(Finding.objects.filter(which).order_by("id"))
    for row in rows:
        yield _line(row, f"finding: {row.text}", "finding", build=row.build_id)
    yield from _decisions(rows)


def _decisions(findings: Iterable[Finding]) -> Iterator[HistoryLine]:
    builds = {row.pk: row.build_id for row in findings}
    for row in Disposition.objects.filter(finding__in=builds).order_by("id"):
        sentence = f"finding decided, {row.decision}: {row.reason}"
        yield _line(row, sentence, "disposition", build=builds[row.finding_id])


def _rulings(which: Q) -> Iterator[HistoryLine]:
    for row in AllowanceRuling.objects.filter(which).select_related("zone").order_by("id"):
        sentence = f"{_short(row.remaining_g)} g may still come off {row.zone.name}: {row.reason}"
        yield _line(row, sentence, "ruling")


def _ratings(which: Q) -> Iterator[HistoryLine]:
    for row in DamperRating.objects.filter(which).order_by("id"):
        sentence = f"rating {row.label} of {row.body}, {row.spec}, until {row.expires_on}"
        yield _line(row, sentence, "rating")


Deeds = (
    IntakeNote
    | WeighingCorrection
    | RemovalCorrection
    | Finding
    | Disposition
    | AllowanceRuling
    | DamperRating
)


def _line(row: Deeds, sentence: str, kind: str, build: str | None = None) -> HistoryLine:
    return HistoryLine(row.recorded_at, sentence, row.recorded_by_id, build or "", kind)


def _correction(row: Weighing) -> WeighingCorrection | None:
    try:
        return row.correction
    except WeighingCorrection.DoesNotExist:
        return None


def _removal_correction(row: Removal) -> RemovalCorrection | None:
    try:
        return row.correction
    except RemovalCorrection.DoesNotExist:
        return None


def _short(mass_g: Decimal) -> str:
    """Return a mass without the zeros that its column trails."""
    text = f"{mass_g:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
