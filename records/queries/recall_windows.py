"""What a recalled scale touched: its window from the row, and a stream of all that lies in it.

The weighings are read as they come, in the order of their builds, so that a scale's whole life
passes through in the memory of a few rows.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from itertools import groupby

from django.db.models import QuerySet

from records.domain.practice.facts import RecalledFacts, WeighingFacts
from records.domain.practice.facts_of_scales import Point
from records.domain.practice.recall_window import EVER, FoundOut, Proof
from records.domain.practice.shop_day import shop_day
from records.models import Fitment, Recall, RecallClearing, Weighing

ROWS_AT_ONCE = 2000
PARTS_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class Touched:
    """A build, and how many weighings made for it the scale touched."""

    build: str
    weighings: int


def window_of(recall: Recall) -> FoundOut:
    """Return the window that a recall keeps."""
    return FoundOut(
        scale=recall.scale_id,
        points=tuple(Point(*(Decimal(text) for text in point)) for point in recall.points),
        since=recall.since or EVER,
        until=recall.until,
        proofs=tuple(
            Proof(Decimal(load), datetime.fromisoformat(moment)) for load, moment in recall.proofs
        ),
        calibration=recall.calibration_id,
        # a check that a wrong weight let pass was part of what was known, and stays so
        check=None if recall.check_weight_id else recall.scale_check_id,
    )


def plain_points(found: FoundOut) -> list[list[str]]:
    """Return the points as the row keeps them."""
    return [[_plain(x) for x in (p.load_g, p.error_g, p.U_g, p.k)] for p in found.points]


def plain_proofs(found: FoundOut) -> list[list[str]]:
    """Return the proofs as the row keeps them."""
    return [[_plain(proof.load_g), proof.at.isoformat()] for proof in found.proofs]


def touched_builds(recall: Recall) -> Iterator[Touched]:
    """Yield each build with a touched weighing.

    A part weighed for no build is followed to every build that it ever stood in, with a count of
    0; such a build may come again.
    """
    found = window_of(recall)
    for build, weighings in groupby(touched_weighings(found), key=lambda row: row[0]):
        if build is None:
            yield from _builds_of_loose(row[1] for row in weighings)
        else:
            yield Touched(build, sum(1 for _ in weighings))


def touched_weighings(found: FoundOut) -> Iterator[tuple[str | None, str | None]]:
    """Yield build and part of each weighing that a scale touched, in the order of the builds."""
    rows = in_window(found).order_by("build_id", "pk")
    streamed = rows.values_list("build_id", "part_id", "measured_at", "mean_g")
    for build, part, measured_at, mean_g in streamed.iterator(chunk_size=ROWS_AT_ONCE):
        if found.touches(found.scale, measured_at, mean_g):
            yield build, part


def in_window(found: FoundOut) -> QuerySet[Weighing]:
    """Return the standing weighings on the scale from its last calibration to its withdrawal."""
    rows = Weighing.objects.filter(
        scale=found.scale, measured_at__lt=found.until, correction__isnull=True
    )
    return rows if found.since == EVER else rows.filter(measured_at__gte=found.since)


def builds_in_window(found: FoundOut) -> int:
    """Count the builds weighed for in the window: at least those that are touched."""
    return in_window(found).exclude(build=None).values("build").distinct().count()


def recalled(
    weighings: Sequence[WeighingFacts], build: str, timezone: str
) -> Mapping[int, RecalledFacts]:
    """Return which of these weighings are in doubt for a build, and by which recall.

    A build that an inspector cleared of a recall is free of it.
    """
    scales = {weighing.scale for weighing in weighings if weighing.scale}
    cleared = RecallClearing.objects.filter(
        case__build=build, outcome=RecallClearing.Outcome.CLEARED
    )
    standing = Recall.objects.filter(scale__in=scales).exclude(
        pk__in=cleared.values("case__recall")
    )
    windows = [
        (window_of(recall), RecalledFacts(recall.pk, recall.scale_id, last_day(recall, timezone)))
        for recall in standing.order_by("pk")
    ]
    return {
        weighing.id: said
        for weighing in weighings
        for found, said in windows
        if found.touches(weighing.scale, weighing.measured_at, weighing.mean_g)
    }


def last_day(recall: Recall, timezone: str) -> date:
    """Return the shop's day on which the scale was withdrawn; its end belongs to it."""
    return shop_day(recall.until - timedelta(microseconds=1), timezone)


def _builds_of_loose(parts: Iterable[str | None]) -> Iterator[Touched]:
    """Follow parts weighed for no build to the builds they stood in, some hundred at a time."""
    several: set[str] = set()
    for part in parts:
        if part is not None:
            several.add(part)
        if len(several) == PARTS_AT_ONCE:
            yield from _builds_with(several)
            several.clear()
    yield from _builds_with(several)


def _builds_with(parts: set[str]) -> Iterator[Touched]:
    builds = Fitment.objects.filter(part__in=parts).order_by("build").values_list("build")
    for (build,) in builds.distinct():
        yield Touched(build, 0)


def _plain(value: Decimal) -> str:
    return format(value.normalize(), "f") if value else "0"
