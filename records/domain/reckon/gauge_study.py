"""Topic `gauge-study`: what scale, people and parts contribute to what is read, by both methods."""

from __future__ import annotations

from collections.abc import Mapping

from records.domain.measure.gauge_rows import GaugeRow, study_of
from records.domain.measure.gauge_study import Spread, anova, average_and_range
from records.domain.reckon.numbers import refuse, say
from records.domain.reckon.shape import Shape

LONGEST_NAME = 64


def reckon(data: Mapping[str, object]) -> dict[str, object]:
    """Return average_range and anova: ev, av, grr, pv, tv, grr_percent (of tv) and ndc.

    anova adds interaction_p and pooled; a tolerance adds tolerance_percent (six grr of it). ndc is
    null where grr is 0. A study with holes is an error that says which reading is missing.
    """
    read = Shape(data)
    study = study_of([_read_row(row) for row in read.objects("rows")])
    tolerance = read.optional_number("tolerance", above=0)
    read.done()
    variance = anova(study)
    return {
        "average_range": _spread(average_and_range(study), tolerance),
        "anova": {
            **_spread(variance.spread, tolerance),
            "interaction_p": variance.interaction_p,
            "pooled": variance.pooled,
        },
    }


def _read_row(read: Shape) -> GaugeRow:
    part, appraiser, trial = (_name(read, key) for key in ("part", "appraiser", "trial"))
    return GaugeRow(part, appraiser, trial, read.number("value"))


def _name(read: Shape, key: str) -> str:
    """Return a name given as a text or a whole number."""
    value = read.raw(key, "a text or a whole number")
    is_name = isinstance(value, str | int) and not isinstance(value, bool)
    if not is_name or not 0 < len(say(value)) <= LONGEST_NAME or not str(value).strip():
        refuse(read.at(key), "a text or a whole number", value)
    return str(value).strip()


def _spread(spread: Spread, tolerance: float | None) -> dict[str, object]:
    answer: dict[str, object] = {
        "ev": spread.ev,
        "av": spread.av,
        "grr": spread.grr,
        "pv": spread.pv,
        "tv": spread.tv,
        "grr_percent": spread.grr_percent,
        "ndc": spread.ndc,
    }
    if tolerance is not None:
        answer["tolerance_percent"] = spread.percent_of_tolerance(tolerance)
    return answer
