"""Removals: opened at the weighing before, closed by the weighing after; the mass is worked out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from django.db import models

from records import ledger
from records.actions.certificate_states import doubted
from records.actions.clock import SYSTEM, Clock, check_not_ahead, is_late
from records.actions.deed import Act, deed
from records.actions.enclosing import (
    refuse_gain,
    refuse_open,
    refuse_overlap,
    refuse_stranger,
    whole_weighing,
)
from records.actions.findings import raise_findings
from records.actions.lookup import found, one_of, optional_text, text
from records.actions.reading import ReadingGiven, as_given, grams_of
from records.domain.errors import BadValue, Code, Conflict
from records.domain.practice.heat import check_heat
from records.domain.practice.mass_taken import mass_taken
from records.models import (
    Build,
    Part,
    Removal,
    RemovalClose,
    RemovalCorrection,
    RemovalPass,
    RemovalZone,
    Weighing,
    Zone,
)
from records.queries.build_facts import facts_of

ONE_PART = (Weighing.What.WHOLE, Weighing.What.BIG_END, Weighing.What.SMALL_END)


@dataclass(frozen=True, slots=True)
class Cut:
    """A cut as it was made: the zones by their keys, the method, how it was spread."""

    part: str
    zones: Sequence[str]
    method: str
    spread: str
    cut_at: datetime | None = None
    remark: str = ""


def open_removal(
    *,
    by: str,
    build: str,
    cut: Cut,
    before: int | None = None,
    clock: Clock = SYSTEM,
) -> Removal:
    """Record that metal is being taken off a part, from the newest whole weighing (or `before`).

    A cut where or how it must not be is recorded as it happened, with its finding in the same
    entry. Errors: Conflict without a whole weighing before, or while another removal of the part
    is open.
    """
    stream = ledger.build_stream(build)
    with deed(by=by, name="cut", streams=[stream], clock=clock) as act:
        where = found(Build, build, "build")
        row, rows = _opened(act, where, cut, before)
        act.enter(stream, "removal opened", [*rows, *raise_findings(act, where)])
        return row


def note_pass(
    *,
    by: str,
    build: str,
    removal: int,
    reading: ReadingGiven,
    what: str = Weighing.What.WHOLE,
    clock: Clock = SYSTEM,
) -> RemovalPass:
    """Keep a quick single reading between passes: progress, never evidence."""
    stream = ledger.build_stream(build)
    with deed(by=by, name="cut", streams=[stream], clock=clock) as act:
        row = RemovalPass.objects.create(
            removal=_open_one(build, removal),
            what=one_of(what, "what", ONE_PART),
            grams=grams_of(reading, "reading"),
            text=as_given(reading),
            unit=reading.unit,
            passed_at=act.at,
            **act.stamp,
        )
        act.enter(stream, "pass noted", [row])
        return row


def close_removal(
    *,
    by: str,
    build: str,
    removal: int,
    heat: str,
    after: int | None = None,
    clock: Clock = SYSTEM,
) -> RemovalClose:
    """Close a removal with the newest whole weighing (or `after`) and the heat colour seen.

    The mass is worked out from the pair and never typed. Errors: Conflict when the pair shows a
    gain beyond its U (the weighing stays, the close is refused), or no weighing came after.
    """
    stream = ledger.build_stream(build)
    with deed(by=by, name="cut", streams=[stream], clock=clock) as act:
        where = found(Build, build, "build")
        row, rows = _closed(act, where, _open_one(build, removal), heat, after)
        act.enter(stream, "removal closed", [*rows, *raise_findings(act, where)])
        return row


def record_late_removal(
    *,
    by: str,
    build: str,
    cut: Cut,
    before: int,
    after: int,
    heat: str,
    clock: Clock = SYSTEM,
) -> RemovalClose:
    """Record a removal that was made between two weighings on record; it is marked as late.

    When it was made may be unknown: then it counts as ending with the weighing after it.
    """
    stream = ledger.build_stream(build)
    with deed(by=by, name="cut", streams=[stream], clock=clock) as act:
        where = found(Build, build, "build")
        known = replace(cut, cut_at=cut.cut_at or found(Weighing, after, "after").measured_at)
        removal, opened = _opened(act, where, known, before, late=True)
        row, closed = _closed(act, where, removal, heat, after)
        rows = [*opened, *closed, *raise_findings(act, where)]
        act.enter(stream, "late removal recorded", rows)
        return row


def correct_removal(
    *, by: str, build: str, removal: int, reason: str, clock: Clock = SYSTEM
) -> RemovalCorrection:
    """Take a removal back that was entered wrongly; its weighings stay."""
    stream = ledger.build_stream(build)
    with deed(by=by, name="correct", streams=[stream], clock=clock) as act:
        where = found(Build, build, "build")
        wrong = _removal_of(build, removal)
        if RemovalCorrection.objects.filter(wrong=wrong).exists():
            raise Conflict(Code.CONFLICT, f"removal {removal} was taken back already")
        row = RemovalCorrection.objects.create(
            wrong=wrong, reason=text(reason, "reason", 400), **act.stamp
        )
        act.enter(stream, "removal corrected", [row, *raise_findings(act, where)])
        return row


def _opened(
    act: Act, build: Build, cut: Cut, before: int | None, *, late: bool = False
) -> tuple[Removal, list[models.Model]]:
    part = found(Part, cut.part, "part")
    refuse_stranger(part, build)
    at = cut.cut_at or act.at
    check_not_ahead(at, act.at, "cut_at")
    refuse_open(part)
    zones = _zones(part, cut.zones)
    weighing = whole_weighing(part, before, "before", until=at)
    refuse_overlap(part, weighing.measured_at, at, "before")
    row = Removal.objects.create(
        build=build,
        part=part,
        method=text(cut.method, "method", 40),
        spread=one_of(cut.spread, "spread", Removal.Spread.values),
        operator=act.person,
        before=weighing,
        cut_at=at,
        late=late or is_late(at, act.at),
        remark=optional_text(cut.remark, "remark", 400),
        **act.stamp,
    )
    touched = [RemovalZone.objects.create(removal=row, zone=zone) for zone in zones]
    doubt = doubted(act, build, f"{part.number} was cut after the release (removal {row.pk})")
    return row, [row, *touched, *doubt]


def _closed(
    act: Act, build: Build, removal: Removal, heat: str, after: int | None
) -> tuple[RemovalClose, list[models.Model]]:
    colour = check_heat(removal.part.spec.metal, heat)
    weighing = whole_weighing(
        removal.part, after, "after", since=removal.cut_at, but=removal.before_id
    )
    refuse_overlap(removal.part, removal.before.measured_at, weighing.measured_at, "after")
    taken = mass_taken(facts_of(build.number), removal.before_id, weighing.pk)
    refuse_gain(removal, taken)
    row = RemovalClose.objects.create(
        removal=removal,
        after=weighing,
        mass_g=taken.mass_g,
        U_g=taken.U_g,
        heat=colour,
        **act.stamp,
    )
    return row, [row]


def _zones(part: Part, keys: Sequence[str]) -> list[Zone]:
    known = {zone.key: zone for zone in Zone.objects.filter(spec=part.spec)}
    unknown = [key for key in keys if key not in known]
    if unknown or not keys:
        raise BadValue(
            Code.BAD_VALUE,
            f"expected zones of {part.spec}, got {', '.join(unknown) or 'none'}",
            field="zones",
            expected=", ".join(known),
            got=", ".join(unknown),
        )
    return [known[key] for key in dict.fromkeys(keys)]


def _removal_of(build: str, removal: int) -> Removal:
    row = found(Removal, removal, "removal")
    if row.build_id != build:
        raise BadValue(Code.UNKNOWN_NUMBER, f"{removal} is no removal of {build}", field="removal")
    return row


def _open_one(build: str, removal: int) -> Removal:
    row = _removal_of(build, removal)
    if RemovalClose.objects.filter(removal=row).exists():
        raise Conflict(Code.CONFLICT, f"removal {removal} is closed already", field="removal")
    if RemovalCorrection.objects.filter(wrong=row).exists():
        raise Conflict(Code.CONFLICT, f"removal {removal} was taken back", field="removal")
    return row
