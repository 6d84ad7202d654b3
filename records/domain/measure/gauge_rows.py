"""The rows of a gauge study, checked: every appraiser weighed every part in every trial, once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import fmean
from typing import NoReturn

from records.domain.errors import BadValue, Code
from records.domain.measure.decision import SLACK
from records.domain.measure.range_constants import MOST


@dataclass(frozen=True, slots=True)
class GaugeRow:
    """One reading of a study."""

    part: str
    appraiser: str
    trial: str
    value: float


@dataclass(frozen=True, slots=True)
class Study:
    """A crossed study without holes: the readings of each part by each appraiser."""

    parts: tuple[str, ...]
    appraisers: tuple[str, ...]
    trials: int
    cells: dict[tuple[str, str], tuple[float, ...]]

    @property
    def noise(self) -> float:
        """Return what a difference of means may be by the rounding of floats alone."""
        return SLACK * max(abs(value) for cell in self.cells.values() for value in cell)

    def part_means(self) -> list[float]:
        """Return the mean of each part over all appraisers and trials."""
        return [_mean(self.cells[p, a] for a in self.appraisers) for p in self.parts]

    def appraiser_means(self) -> list[float]:
        """Return the mean of each appraiser over all parts and trials."""
        return [_mean(self.cells[p, a] for p in self.parts) for a in self.appraisers]


def study_of(rows: Sequence[GaugeRow]) -> Study:
    """Return the study that the rows make, in the order in which names first come.

    Raise BadValue for a reading given twice, for fewer than 2 (or more than MOST) parts, appraisers
    or trials, and for a hole: which reading is missing is said. Another estimator would be needed
    then (REML), which this room doesn't have.
    """
    readings: dict[tuple[str, str, str], float] = {}
    for i, row in enumerate(rows):
        key = row.part, row.appraiser, row.trial
        if key in readings:
            named = f"part {row.part}, appraiser {row.appraiser}, trial {row.trial}"
            _refuse(f"rows/{i}", "every reading once", f"{named} again")
        readings[key] = row.value
    parts = _names((row.part for row in rows), "parts")
    appraisers = _names((row.appraiser for row in rows), "appraisers")
    trials = _names((row.trial for row in rows), "trials")
    cells = {
        (part, appraiser): tuple(_reading(readings, part, appraiser, trial) for trial in trials)
        for part in parts
        for appraiser in appraisers
    }
    return Study(parts, appraisers, len(trials), cells)


def _names(names: Iterable[str], of: str) -> tuple[str, ...]:
    distinct = tuple(dict.fromkeys(names))
    if not 2 <= len(distinct) <= MOST:
        _refuse("rows", f"2 to {MOST} {of}", str(len(distinct)))
    return distinct


def _reading(
    readings: dict[tuple[str, str, str], float], part: str, appraiser: str, trial: str
) -> float:
    found = readings.get((part, appraiser, trial))
    if found is None:
        _refuse(
            "rows",
            "a reading of every part by every appraiser in every trial (a study with holes needs "
            "another estimator)",
            f"none of part {part}, appraiser {appraiser}, trial {trial}",
        )
    return found


def _mean(cells: Iterable[tuple[float, ...]]) -> float:
    return fmean(value for cell in cells for value in cell)


def _refuse(field: str, expected: str, got: str) -> NoReturn:
    raise BadValue(
        Code.BAD_VALUE,
        f"expected {expected}, got {got}",
        field=field,
        expected=expected,
        got=got,
    )
