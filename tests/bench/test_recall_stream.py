"""A recall over a million weighings: read as a stream, in the memory of a few rows.

Not in the daily run: `pytest -m bench tests/bench/test_recall_stream.py -s` prints the figures. The
rows go in raw, in a database made for the run; what is compared is the same rows, read bare.
"""

from __future__ import annotations

import os
import resource
import time
import tracemalloc
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from typing import TypeVar

import pytest
from django.db import connection

from records.models import Recall
from records.queries.recall_windows import touched_builds
from tests.records import factory

pytestmark = [pytest.mark.bench, pytest.mark.django_db]

T = TypeVar("T")

ROWS = int(os.environ.get("TAREBOOK_BENCH_ROWS", "1000000"))
A_BUILD = 50  # weighings made for one build
START = datetime(2026, 2, 1, tzinfo=UTC)
MOST_MEMORY = 4_000_000  # bytes of Python objects at once, whatever the number of rows
MOST_TIMES_BARE = 20  # one row is a Decimal, a time in its zone, and a rule asked of both


@pytest.fixture
def recall() -> Recall:
    """S-02 with so many weighings under one calibration, found out by the next."""
    scale = factory.a_scale("S-02")
    found_on = (START + timedelta(days=400)).date()
    later = factory.a_calibration(
        scale, certificate="K-2602", on=found_on, due_on=found_on + timedelta(days=365)
    )
    build, part = factory.a_build("26-001"), factory.a_part("P-1")
    _insert(str(build.pk), str(part.pk))
    return Recall.objects.create(
        scale=scale,
        calibration=later,
        cause="0.3 g low at 500 g",
        since=START - timedelta(days=1),
        until=START + timedelta(days=400),
        points=[["0", "0", "0.02", "2"], ["500", "-0.3", "0.02", "2"], ["1000", "0", "0.02", "2"]],
        proofs=[["500", (START + timedelta(days=40)).isoformat()]],
        **factory.stamp(),
    )


def test_a_million_weighings_stream_in_constant_memory(recall: Recall) -> None:
    bare_s, bare_rows = _timed(_read_bare)
    ordered_s, _ = _timed(lambda: _read_bare(" ORDER BY build_id, id"))
    before_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    ours_s, (builds, weighings) = _timed(lambda: _followed(recall))
    grown_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before_kb
    peak = _peak(recall)
    print(  # noqa: T201 (what a bench is for)
        f"\n{bare_rows} rows in the window; {weighings} in doubt, of {builds} builds"
        f"\nbare scan {bare_s:.2f} s, in the order of builds {ordered_s:.2f} s"
        f"\nrecall {ours_s:.2f} s: {ours_s / bare_s:.1f} times the bare scan, "
        f"{ours_s / ordered_s:.1f} times the ordered one, {1e6 * ours_s / bare_rows:.1f} µs a row"
        f"\nPython objects at most {peak / 1e6:.2f} MB; the process grew {grown_kb / 1024:.1f} MB"
    )
    assert bare_rows == ROWS
    assert builds == ROWS // A_BUILD
    # half of each build weighs 500 g and was proven good on day 40; the other half 100 g
    assert ROWS // 2 < weighings < ROWS
    assert peak < MOST_MEMORY
    assert ours_s < MOST_TIMES_BARE * bare_s


def _followed(recall: Recall) -> tuple[int, int]:
    counts = [0, 0]
    for touched in touched_builds(recall):
        counts[0] += 1
        counts[1] += touched.weighings
    return counts[0], counts[1]


def _peak(recall: Recall) -> int:
    tracemalloc.start()
    try:
        _followed(recall)
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


def _read_bare(order: str = "") -> int:
    """Fetch the same columns of the same rows with the driver alone."""
    with connection.cursor() as cursor:
        cursor.execute(f"{_BARE}{order}")
        return sum(len(rows) for rows in iter(lambda: cursor.fetchmany(2000), []))


def _timed(do: Callable[[], T]) -> tuple[float, T]:
    began = time.perf_counter()
    result = do()
    return time.perf_counter() - began, result


def _insert(build: str, part: str) -> None:
    """Copy the build many times, then weigh the part for each, 500 and 100 g by turns."""
    names = ", ".join(f for f in _columns("records_build") if f != "number")
    with connection.cursor() as cursor:
        cursor.executemany(
            f"INSERT INTO records_build (number, {names}) "  # noqa: S608 (names of our own columns)
            f"SELECT %s, {names} FROM records_build WHERE number = %s",
            [(f"B-{n:06d}", build) for n in range(ROWS // A_BUILD)],
        )
        cursor.executemany(_WEIGHING, _weighings(part))  # type: ignore[arg-type]  # a stream


def _columns(table: str) -> list[str]:
    with connection.cursor() as cursor:
        found = connection.introspection.get_table_description(cursor, table)
        return [connection.ops.quote_name(column.name) for column in found]


_BARE = (
    "SELECT build_id, part_id, measured_at, mean_g FROM records_weighing WHERE scale_id = 'S-02'"
)
_WEIGHING = (
    "INSERT INTO records_weighing (build_id, part_id, what, how, scale_id, operator_id, source, "
    "purpose, measured_at, late, ahead, mean_g, remark, recorded_at, recorded_by_id) VALUES "
    "(%s, %s, 'whole', 'on the pan', 'S-02', 'P-01', 'typed', 'evidence', %s, %s, %s, %s, '', %s, "
    "'P-01')"
)


def _weighings(part: str) -> Iterator[tuple[object, ...]]:
    """Yield them in time, the builds by turns, so that their order is not that of the builds."""
    many = ROWS // A_BUILD
    step = timedelta(days=390) / ROWS
    for n in range(ROWS):
        at = connection.ops.adapt_datetimefield_value(START + n * step)
        mass = "500.0000000000000" if (n // many) % 2 else "100.0000000000000"
        yield f"B-{n % many:06d}", part, at, False, False, mass, at
