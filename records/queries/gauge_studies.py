"""Gauge studies as their pages show them: the plan, how far it is read, what it tells."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import QuerySet

from records.domain.errors import TarebookError
from records.domain.measure.gauge_advice import Said, advice
from records.domain.measure.gauge_rows import study_of
from records.domain.measure.gauge_study import Spread, anova, average_and_range
from records.domain.measure.gauge_table import Component, components
from records.domain.practice.scale_model import step_g
from records.models import (
    GaugeReading,
    GaugeReadingCorrection,
    GaugeStudy,
    GaugeStudyEnd,
    GaugeTurn,
)
from records.queries.gauge_readings import rows_of, standing_readings
from records.queries.people import names_of
from records.queries.scale_facts import facts_of_scales
from records.queries.viewer import not_found

UNDER_WAY = "under way"


@dataclass(frozen=True, slots=True)
class GaugeStudyRow:
    """A study in a list: what was planned, how far it is read, and how it ended."""

    number: str
    scale: str
    what: str
    parts: int
    people: tuple[str, ...]
    trials: int
    turns: int
    read: int
    state: str
    planned_at: datetime
    planned_by: str


@dataclass(frozen=True, slots=True)
class TurnRow:
    """A turn of the order, with its reading once it is read."""

    order: int
    part: str
    person: str
    trial: int
    reading: int | None
    text: str
    unit: str
    grams: Decimal | None
    read_at: datetime | None


@dataclass(frozen=True, slots=True)
class CorrectedReading:
    """A reading that was taken back, and why."""

    order: int
    text: str
    unit: str
    reason: str
    corrected_at: datetime
    corrected_by: str


@dataclass(frozen=True, slots=True)
class MethodFigures:
    """What one method finds: components, and how many kinds of part are told apart."""

    components: tuple[Component, ...]
    grr_percent: float
    ndc: int | None


@dataclass(frozen=True, slots=True)
class VarianceLine:
    """A line of the analysis of variance."""

    source: str
    squares: float
    freedom: int
    mean_square: float


@dataclass(frozen=True, slots=True)
class GaugeResults:
    """Both methods side by side, the table of variance, and what it means in words."""

    average_range: MethodFigures
    anova: MethodFigures
    variance: tuple[VarianceLine, ...]
    interaction_p: float
    pooled: bool
    advice: tuple[Said, ...]


@dataclass(frozen=True, slots=True)
class GaugeStudyPage:
    """A study with its order, its readings, and its results once every turn is read."""

    row: GaugeStudyRow
    tolerance_g: Decimal | None
    seed: int
    note: str
    reason: str
    ended_at: datetime | None
    turns: tuple[TurnRow, ...]
    next: TurnRow | None
    corrected: tuple[CorrectedReading, ...]
    results: GaugeResults | None
    no_results: str


def gauge_studies(scale: str | None = None) -> tuple[GaugeStudyRow, ...]:
    """Return the studies of the shop, or of one scale, newest first; four queries in all."""
    found = GaugeStudy.objects.all() if scale is None else GaugeStudy.objects.filter(scale=scale)
    return _rows(found.order_by("-recorded_at", "number"))


def gauge_study_page(number: str) -> GaugeStudyPage:
    """Return a study with all that is known of it.

    Errors: NotFound for a number that no study has.
    """
    study = GaugeStudy.objects.filter(number=number).first()
    if study is None:
        raise not_found("study", number)
    end = GaugeStudyEnd.objects.filter(study=study).first()
    turns = _turns(study)
    left = [turn for turn in turns if turn.reading is None]
    results, no_results = (None, _unread(len(left))) if left else _results(study)
    return GaugeStudyPage(
        row=_rows(GaugeStudy.objects.filter(number=number))[0],
        tolerance_g=study.tolerance_g,
        seed=study.seed,
        note=study.note,
        reason=end.reason if end else "",
        ended_at=end.recorded_at if end else None,
        turns=turns,
        next=left[0] if left and end is None else None,
        corrected=_corrected(study),
        results=results,
        no_results=no_results,
    )


def _rows(studies: QuerySet[GaugeStudy]) -> tuple[GaugeStudyRow, ...]:
    planned = GaugeTurn.objects.filter(study__in=studies)
    standing = GaugeReading.objects.filter(turn__study__in=studies, correction__isnull=True)
    read = Counter(standing.values_list("turn__study", flat=True))
    ended = dict(GaugeStudyEnd.objects.values_list("study", "outcome"))
    turns: dict[str, list[tuple[str, str]]] = {}
    for number, part, person in planned.order_by("order").values_list("study", "part", "person"):
        turns.setdefault(number, []).append((part, person))
    return tuple(
        GaugeStudyRow(
            number=study.number,
            scale=study.scale_id,
            what=study.what,
            parts=len({part for part, _ in turns[study.number]}),
            people=tuple(sorted({person for _, person in turns[study.number]})),
            trials=study.trials,
            turns=len(turns[study.number]),
            read=read[study.number],
            state=ended.get(study.number, UNDER_WAY),
            planned_at=study.recorded_at,
            planned_by=study.recorded_by_id,
        )
        for study in studies
    )


def _turns(study: GaugeStudy) -> tuple[TurnRow, ...]:
    read = {row.turn_id: row for row in standing_readings(study)}
    return tuple(_turn(turn, read.get(turn.pk)) for turn in study.turns.order_by("order"))


def _turn(turn: GaugeTurn, reading: GaugeReading | None) -> TurnRow:
    return TurnRow(
        order=turn.order,
        part=turn.part,
        person=turn.person_id,
        trial=turn.trial,
        reading=reading.pk if reading else None,
        text=reading.text if reading else "",
        unit=reading.unit if reading else "",
        grams=reading.grams if reading else None,
        read_at=reading.read_at if reading else None,
    )


def _corrected(study: GaugeStudy) -> tuple[CorrectedReading, ...]:
    rows = GaugeReadingCorrection.objects.filter(wrong__turn__study=study)
    return tuple(
        CorrectedReading(
            order=row.wrong.turn.order,
            text=row.wrong.text,
            unit=row.wrong.unit,
            reason=row.reason,
            corrected_at=row.recorded_at,
            corrected_by=row.recorded_by_id,
        )
        for row in rows.select_related("wrong__turn").order_by("recorded_at", "pk")
    )


def _unread(left: int) -> str:
    return (
        f"expected every turn read, got {left} not read; both methods need a study without holes "
        "(one with holes needs another estimator, REML, which is not built here)"
    )


def _results(study: GaugeStudy) -> tuple[GaugeResults | None, str]:
    """Reckon a study that is read through; or say why it can't be."""
    rows = study_of(rows_of(study))
    tolerance_g = None if study.tolerance_g is None else float(study.tolerance_g)
    try:
        by_range, by_variance = average_and_range(rows), anova(rows)
    except TarebookError as error:
        return None, error.message
    spread = by_variance.spread  # it uses every reading, where ranges use two of each cell
    return GaugeResults(
        average_range=_figures(by_range, tolerance_g),
        anova=_figures(spread, tolerance_g),
        variance=tuple(
            VarianceLine(source, line.ss, line.df, line.ms)
            for source, line in by_variance.lines.items()
        ),
        interaction_p=by_variance.interaction_p,
        pooled=by_variance.pooled,
        advice=tuple(advice(rows, spread, tolerance_g, _step_g(study), names_of(rows.appraisers))),
    ), ""


def _figures(spread: Spread, tolerance_g: float | None) -> MethodFigures:
    return MethodFigures(components(spread, tolerance_g), spread.grr_percent, spread.ndc)


def _step_g(study: GaugeStudy) -> float:
    """Return the coarsest step that the readings were taken in."""
    readings = list(standing_readings(study))
    heaviest_g = max(row.grams for row in readings)
    scale = facts_of_scales([study.scale_id])[study.scale_id]
    return float(step_g(scale, {row.unit for row in readings}, heaviest_g))
