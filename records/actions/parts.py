"""Parts: booked in by the shop's number, put in a place of a build, taken out of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import models

from records import ledger
from records.actions.certificate_states import doubted
from records.actions.clock import SYSTEM, Clock, check_not_ahead
from records.actions.deed import Act, deed
from records.actions.figure import figure
from records.actions.findings import raise_findings
from records.actions.fitments import fitted, taken_out
from records.actions.lookup import found, new_number, optional_text, refuse_taken, text
from records.domain.errors import BadValue, Code, Conflict
from records.domain.practice.heat import check_heat
from records.domain.practice.kinds import kind_named
from records.models import (
    AllowanceRuling,
    Build,
    DamperRating,
    Fitment,
    FitmentEnd,
    IntakeNote,
    Part,
    PartSpec,
    Zone,
)


@dataclass(frozen=True, slots=True)
class Condition:
    """What was seen on a part as it came in."""

    heat: str = "none"
    cracks: bool = False
    earlier_cuts: bool = False
    note: str = ""


def book_part(
    *,
    by: str,
    number: str,
    spec: str,
    build: str,
    place: int | None = None,
    serial: str = "",
    marking: str = "",
    booked_at: datetime | None = None,
    clock: Clock = SYSTEM,
) -> Part:
    """Book a part in by the shop's number and put it in a build.

    `spec` is a spec's number (its newest version holds). Without a place one piece stands for
    every place. `booked_at` is for work that is entered late. Errors: Conflict for a number,
    serial or place that is taken.
    """
    new_number(number, "number", 40)
    streams = [ledger.build_stream(build), ledger.part_stream(number)]
    with deed(by=by, name="book parts", streams=streams, clock=clock) as act:
        where = found(Build, build, "build")
        at = booked_at or act.at
        check_not_ahead(at, act.at, "booked_at")
        row = booked(act, number=number, spec=newest_spec(spec), serial=serial, marking=marking)
        fitment = fitted(act, where, row, place, at, at_booking=True)
        act.enter(ledger.part_stream(number), "part booked", [row])
        # a new part has no past: of all kinds, only a solid pulley is a finding by being there
        found_by_it = raise_findings(act, where) if row.spec.kind == "pulley" else []
        act.enter(ledger.build_stream(build), "part fitted", [fitment, *found_by_it])
        return row


def fit_part(
    *,
    by: str,
    part: str,
    build: str,
    place: int | None,
    fitted_at: datetime | None = None,
    clock: Clock = SYSTEM,
) -> Fitment:
    """Put a part that is on record in a place of a build."""
    stream = ledger.build_stream(build)
    with deed(by=by, name="fit", streams=[stream], clock=clock) as act:
        at = fitted_at or act.at
        check_not_ahead(at, act.at, "fitted_at")
        where = found(Build, build, "build")
        row = fitted(act, where, found(Part, part, "part"), place, at)
        doubt = doubted(act, where, f"{part} was put in after the release")
        act.enter(stream, "part fitted", [row, *doubt, *raise_findings(act, where)])
        return row


def take_out_part(
    *,
    by: str,
    part: str,
    build: str,
    reason: str,
    ended_at: datetime | None = None,
    clock: Clock = SYSTEM,
) -> FitmentEnd:
    """Take a part from its place."""
    stream = ledger.build_stream(build)
    with deed(by=by, name="fit", streams=[stream], clock=clock) as act:
        at = ended_at or act.at
        check_not_ahead(at, act.at, "ended_at")
        fitment = Fitment.objects.filter(part_id=part, build_id=build, end__isnull=True).first()
        if fitment is None:
            raise Conflict(Code.CONFLICT, f"{part} is not in {build} now", field="part")
        row = taken_out(act, fitment, at, text(reason, "reason", 400))
        act.enter(stream, "part taken out", [row, *raise_findings(act, fitment.build)])
        return row


def note_intake(
    *,
    by: str,
    build: str,
    kind: str,
    condition: Condition,
    exceptions: Mapping[str, Condition] | None = None,
    clock: Clock = SYSTEM,
) -> list[IntakeNote]:
    """Record what was seen on all parts of a kind as they came in, with exceptions by part."""
    stream = ledger.build_stream(build)
    special = exceptions or {}
    with deed(by=by, name="book parts", streams=[stream], clock=clock) as act:
        where = found(Build, build, "build")
        parts = _parts_of_kind(where, kind_named(kind).key)
        _refuse_strangers(special, parts)
        notes = [_note(act, where, part, special.get(part.number, condition)) for part in parts]
        rows: list[models.Model] = [*notes, *raise_findings(act, where)]
        act.enter(stream, "intake noted", rows)
        return notes


def rate_damper(
    *,
    by: str,
    part: str,
    label: str,
    body: str,
    spec: str,
    expires_on: date,
    clock: Clock = SYSTEM,
) -> DamperRating:
    """Record a damper's rating as its label says."""
    stream = ledger.part_stream(part)
    with deed(by=by, name="book parts", streams=[stream], clock=clock) as act:
        row = DamperRating.objects.create(
            part=_damper(part),
            label=text(label, "label", 80),
            body=text(body, "body", 120),
            spec=text(spec, "spec", 80),
            expires_on=expires_on,
            **act.stamp,
        )
        act.enter(stream, "damper rated", [row])
        return row


def rule_allowance(
    *,
    by: str,
    part: str,
    zone: int,
    remaining_g: Decimal,
    reason: str,
    clock: Clock = SYSTEM,
) -> AllowanceRuling:
    """Record an inspector's word on what may still come off a part with earlier cuts (g)."""
    figure(remaining_g, "remaining_g", least=0)
    stream = ledger.part_stream(part)
    with deed(by=by, name="rule allowance", streams=[stream], clock=clock) as act:
        whose = found(Part, part, "part")
        row = AllowanceRuling.objects.create(
            part=whose,
            zone=_zone_of(whose, zone),
            remaining_g=remaining_g,
            reason=text(reason, "reason", 400),
            **act.stamp,
        )
        act.enter(stream, "allowance ruled", [row])
        return row


def newest_spec(number: str) -> PartSpec:
    """Return the newest version of a spec, or say at the field that there is none."""
    spec = PartSpec.objects.filter(number=number).order_by("-version").first()
    return spec or found(PartSpec, None, "spec")


def booked(act: Act, *, number: str, spec: PartSpec, serial: str, marking: str) -> Part:
    """Write a part's row; the caller enters it in the part's stream."""
    refuse_taken(Part, new_number(number, "number", 40), "number")
    serial = optional_text(serial, "serial", 80)
    if serial and Part.objects.filter(spec__number=spec.number, serial=serial).exists():
        raise Conflict(
            Code.ALREADY_THERE,
            f"serial {serial} of {spec.number} is on record already",
            field="serial",
            got=serial,
        )
    return Part.objects.create(
        number=number,
        spec=spec,
        serial=serial,
        marking=optional_text(marking, "marking", 200),
        **act.stamp,
    )


def _damper(number: str) -> Part:
    part = found(Part, number, "part")
    if part.spec.kind != "damper":
        raise BadValue(
            Code.BAD_VALUE, f"expected a damper, got the {part.spec.kind} {number}", field="part"
        )
    return part


def _zone_of(part: Part, zone: int) -> Zone:
    row = found(Zone, zone, "zone")
    if row.spec_id != part.spec_id:
        raise BadValue(
            Code.BAD_VALUE, f"expected a zone of {part.spec}, got one of {row.spec}", field="zone"
        )
    return row


def _parts_of_kind(build: Build, kind: str) -> Sequence[Part]:
    standing = Fitment.objects.filter(build=build, end__isnull=True, part__spec__kind=kind)
    parts = [fitment.part for fitment in standing.select_related("part").order_by("place")]
    if not parts:
        raise Conflict(Code.CONFLICT, f"no {kind} is in {build.number} yet", field="kind")
    return parts


def _refuse_strangers(special: Mapping[str, Condition], parts: Sequence[Part]) -> None:
    strangers = set(special) - {part.number for part in parts}
    if strangers:
        raise BadValue(
            Code.UNKNOWN_NUMBER,
            f"expected parts of this kind in the build, got {', '.join(sorted(strangers))}",
            field="exceptions",
        )


def _note(act: Act, build: Build, part: Part, condition: Condition) -> IntakeNote:
    return IntakeNote.objects.create(
        part=part,
        build=build,
        heat=check_heat(part.spec.metal, condition.heat, at_intake=True),
        cracks=condition.cracks,
        earlier_cuts=condition.earlier_cuts,
        note=optional_text(condition.note, "note", 400),
        **act.stamp,
    )
