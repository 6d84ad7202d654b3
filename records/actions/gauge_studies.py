"""Gauge studies: planned in a drawn order, read in it, corrected by rows, closed or given up."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from records import ledger
from records.actions.clock import SYSTEM, Clock, check_not_ahead, is_late
from records.actions.deed import Act, deed
from records.actions.figure import figure
from records.actions.lookup import found, new_number, one_of, optional_text, refuse_taken, text
from records.actions.reading import ReadingGiven, as_given, grams_of
from records.actions.weighing_rows import refuse_beyond
from records.domain.errors import BadValue, Code, Conflict
from records.domain.measure.gauge_plan import SEEDS, Turn, planned_order
from records.domain.measure.gauge_rows import study_of
from records.domain.measure.gauge_study import anova
from records.models import (
    GaugeReading,
    GaugeReadingCorrection,
    GaugeStudy,
    GaugeStudyEnd,
    GaugeTurn,
    Person,
    PersonEnd,
    Scale,
    Weighing,
)
from records.queries.gauge_readings import next_turn, rows_of, turns_left


def plan_study(
    *,
    by: str,
    number: str,
    scale: str,
    parts: Sequence[str],
    people: Sequence[str],
    trials: int,
    what: str = Weighing.What.WHOLE,
    tolerance_g: Decimal | None = None,
    note: str = "",
    seed: int | None = None,
    clock: Clock = SYSTEM,
) -> GaugeStudy:
    """Plan a gauge study; its order is drawn by `seed`, which is drawn itself unless given.

    `parts` are names as they lie at the bench, `people` shop numbers, `tolerance_g` greatest minus
    least. Errors: BadValue at the field; Conflict for a number on record.
    """
    _check(number, what, tolerance_g)
    names = [text(part, f"parts/{index}", 40) for index, part in enumerate(parts)]
    drawn = secrets.randbelow(SEEDS) if seed is None else seed
    turns = planned_order(names, people, trials, drawn)
    stream = ledger.scale_stream(scale)
    with deed(by=by, name="study scale", streams=[stream], clock=clock) as act:
        refuse_taken(GaugeStudy, number, "number")
        at_work = {one: _person(one, f"people/{index}") for index, one in enumerate(people)}
        study = GaugeStudy.objects.create(
            number=number,
            scale=found(Scale, scale, "scale"),
            what=what,
            tolerance_g=tolerance_g,
            trials=trials,
            seed=drawn,
            note=optional_text(note, "note", 400),
            **act.stamp,
        )
        rows = [_turn_row(study, turn, at_work[turn.person]) for turn in turns]
        act.enter(stream, "gauge study planned", [study, *rows])
        return study


def enter_study_reading(
    *,
    by: str,
    study: str,
    turn: int,
    reading: ReadingGiven,
    read_at: datetime | None = None,
    clock: Clock = SYSTEM,
) -> GaugeReading:
    """Enter the reading of the next turn; `turn` is its place in the order, from 1.

    Whoever enters it, it is the planned person's reading. Errors: Conflict for a turn that isn't
    next, or a study that has ended; BadValue at the reading.
    """
    stream = _stream_of(study)
    with deed(by=by, name="study scale", streams=[stream], clock=clock) as act:
        row = _open_study(study)
        place = _next_is(row, turn)
        written = _written(act, place, reading, read_at)
        act.enter(stream, "study reading entered", [written])
        return written


def correct_study_reading(
    *,
    by: str,
    study: str,
    reading: int,
    reason: str,
    right: ReadingGiven | None = None,
    read_at: datetime | None = None,
    clock: Clock = SYSTEM,
) -> GaugeReadingCorrection:
    """Take a wrong reading back, naming why, with the right one in its place if there is one.

    Without one its turn is read again, as the next. Errors: Conflict when it was corrected already
    or the study has ended.
    """
    stream = _stream_of(study)
    with deed(by=by, name="study scale", streams=[stream], clock=clock) as act:
        wrong = _standing(_open_study(study), reading)
        instead = None if right is None else _written(act, wrong.turn, right, read_at, "right")
        correction = GaugeReadingCorrection.objects.create(
            wrong=wrong, right=instead, reason=text(reason, "reason", 400), **act.stamp
        )
        rows = [correction] if instead is None else [instead, correction]
        act.enter(stream, "study reading corrected", rows)
        return correction


def close_study(*, by: str, study: str, clock: Clock = SYSTEM) -> GaugeStudyEnd:
    """Close a study in which every turn was read, so that its figures stand.

    Errors: Conflict for one with holes, which would need another estimator, or that has ended;
    BadValue where all readings are the same.
    """
    stream = _stream_of(study)
    with deed(by=by, name="study scale", streams=[stream], clock=clock) as act:
        row = _open_study(study)
        _refuse_holes(row)
        anova(study_of(rows_of(row)))  # what can't be reckoned can't be closed
        return _ended(act, stream, row, GaugeStudyEnd.Outcome.CLOSED, "")


def give_up_study(*, by: str, study: str, reason: str, clock: Clock = SYSTEM) -> GaugeStudyEnd:
    """Give a study up and say why; what was read stays on record. Errors: Conflict if it ended."""
    stream = _stream_of(study)
    with deed(by=by, name="study scale", streams=[stream], clock=clock) as act:
        why = text(reason, "reason", 400)
        return _ended(act, stream, _open_study(study), GaugeStudyEnd.Outcome.GIVEN_UP, why)


def _stream_of(study: str) -> str:
    """Return the stream of a study's scale, which never changes."""
    return ledger.scale_stream(found(GaugeStudy, study, "study").scale_id)


def _check(number: str, what: str, tolerance_g: Decimal | None) -> None:
    new_number(number, "number", 20)
    one_of(what, "what", Weighing.What.values)
    if tolerance_g is not None:
        figure(tolerance_g, "tolerance_g", above=0)


def _turn_row(study: GaugeStudy, turn: Turn, person: Person) -> GaugeTurn:
    return GaugeTurn.objects.create(
        study=study, order=turn.order, part=turn.part, person=person, trial=turn.trial
    )


def _person(number: str, field: str) -> Person:
    person = found(Person, number, field)
    if person.kind != Person.Kind.PERSON or PersonEnd.objects.filter(person=person).exists():
        raise BadValue(
            Code.BAD_VALUE,
            f"expected a person at work here, got {number}",
            field=field,
            expected="a person at work here",
            got=number,
        )
    return person


def _open_study(number: str) -> GaugeStudy:
    """Return a study that has not ended; asked anew once its stream is locked."""
    study = found(GaugeStudy, number, "study")
    end = GaugeStudyEnd.objects.filter(study=study).first()
    if end is not None:
        raise Conflict(
            Code.CONFLICT,
            f"study {number} was {end.outcome} on {end.recorded_at:%Y-%m-%d}; plan another",
            field="study",
            got=number,
        )
    return study


def _next_is(study: GaugeStudy, order: int) -> GaugeTurn:
    turn = next_turn(study)
    if turn is None:
        raise Conflict(
            Code.CONFLICT, f"every turn of study {study.number} is read; close it", field="turn"
        )
    if turn.order != order:
        expected = f"turn {turn.order}, part {turn.part} by {turn.person_id}"
        raise Conflict(
            Code.CONFLICT,
            f"expected {expected}, got turn {order}; the order is kept as it was drawn",
            field="turn",
            expected=expected,
            got=str(order),
        )
    return turn


def _written(
    act: Act,
    turn: GaugeTurn,
    given: ReadingGiven,
    read_at: datetime | None,
    field: str = "reading",
) -> GaugeReading:
    moment = read_at or given.read_at or act.at
    check_not_ahead(moment, act.at, "read_at")
    grams = grams_of(given, field)
    refuse_beyond(turn.study.scale, [given], [grams], field)
    return GaugeReading.objects.create(
        turn=turn,
        text=as_given(given),
        unit=given.unit,
        grams=grams,
        read_at=moment,
        late=is_late(moment, act.at),
        **act.stamp,
    )


def _standing(study: GaugeStudy, reading: int) -> GaugeReading:
    row = found(GaugeReading, reading, "reading")
    if row.turn.study_id != study.number:
        raise BadValue(
            Code.UNKNOWN_NUMBER,
            f"{reading} is no reading of study {study.number}",
            field="reading",
            expected=f"a reading of study {study.number}",
            got=str(reading),
        )
    if GaugeReadingCorrection.objects.filter(wrong=row).exists():
        raise Conflict(Code.CONFLICT, f"reading {reading} was corrected already", field="reading")
    return row


def _refuse_holes(study: GaugeStudy) -> None:
    left = turns_left(study)
    if left:
        turn = left[0]
        raise Conflict(
            Code.CONFLICT,
            f"expected every turn read, got {len(left)} not read, the first turn {turn.order}, "
            f"part {turn.part} by {turn.person_id}; read them, or give the study up (with holes "
            "it would need another estimator, REML, which is not built here)",
            field="study",
            expected="every turn read",
            got=f"{len(left)} not read",
        )


def _ended(act: Act, stream: str, study: GaugeStudy, outcome: str, reason: str) -> GaugeStudyEnd:
    end = GaugeStudyEnd.objects.create(study=study, outcome=outcome, reason=reason, **act.stamp)
    act.enter(stream, f"gauge study {outcome}", [end])
    return end
