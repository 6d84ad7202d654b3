"""The scale is found out, all it touched is recalled, and what each build comes to."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal

from records.actions.certificates import issue_certificate
from records.actions.clock import SetClock
from records.actions.recall_clearings import clear_case
from records.actions.recalls import FoundBy, recall, reckon_recall
from records.actions.scales import PointGiven, Repeatability, record_calibration
from records.management.demo import story
from records.management.demo.numbers import FINE, MARTA, RUTH, WORN
from records.management.demo.past import (
    EARLY,
    LATE,
    NO_SEALS,
    WHOLLY,
    PastBuild,
    bench_of,
    weigh_apart,
)
from records.management.demo.scales import WORN_POINTS
from records.models import Recall

CERTIFICATE = "FL-CAL-131"
CAUSE = (
    "as found at calibration 0.3 g low at 500 g; for three months it was checked with 1 kg only, "
    "where it is right"
)
AS_FOUND_G = {"0": "0", "200": "-0.12", "500": "-0.3", "1000": "0", "2000": "0"}


def found_out(opened: datetime, morning: datetime) -> Recall:
    """Enter the calibration, recall, and end every case but one, which is left to be cleared."""
    clock = SetClock(morning)
    calibrated(clock)
    row = recalled(clock)
    for past in WHOLLY[:-1]:
        clear_wholly(row, past, clock)
    measured_again(row, opened, morning + timedelta(days=1))
    replaced(row, opened, morning + timedelta(days=2))
    return row


def calibrated(clock: SetClock) -> None:
    """Enter the certificate: found low around 500 g, adjusted, left right."""
    day = clock.now().date() - timedelta(days=1)
    left = [PointGiven(Decimal(load), Decimal(error), Decimal(U)) for load, error, U in WORN_POINTS]
    record_calibration(
        by=MARTA,
        scale=WORN,
        certificate_number=CERTIFICATE,
        calibrated_on=day,
        due_on=day + timedelta(days=365),
        laboratory="an invented laboratory",
        adjusted=True,
        as_found=[
            PointGiven(Decimal(load), Decimal(AS_FOUND_G[load]), Decimal(U))
            for load, _, U in WORN_POINTS
        ],
        as_left=left,
        repeatability=[Repeatability(Decimal(1000), Decimal("0.006"))],
        repeatability_nu=9,
        clock=clock,
    )


def recalled(clock: SetClock) -> Recall:
    """Marta recalls all that S-04 touched, and waits for the reckoning."""
    clock.forward(minutes=20)
    row = recall(
        by=MARTA, scale=WORN, found_by=FoundBy(certificate=CERTIFICATE), cause=CAUSE, clock=clock
    )
    clock.forward(minutes=1)
    reckon_recall(recall=row.pk, clock=clock)
    return row


def clear_wholly(row: Recall, past: PastBuild, clock: SetClock) -> None:
    """Ruth clears a build whose parts were all weighed on S-04 on one day."""
    clock.forward(minutes=10)
    clear_case(
        by=RUTH,
        recall=row.pk,
        build=past.engine.build,
        outcome="cleared",
        reason="all its parts were weighed on S-04 on one day: the error cancels in every match",
        clock=clock,
    )


def measured_again(row: Recall, opened: datetime, morning: datetime) -> None:
    """The twin comes back to be weighed on a good scale, and matches as it was certified."""
    bench = bench_of(EARLY, opened, morning, FINE)
    bench.check_scale()
    weigh_apart(bench, EARLY)
    clear_case(
        by=RUTH,
        recall=row.pk,
        build=EARLY.engine.build,
        outcome="re-measured",
        reason="all parts weighed again on S-01: the sets match as certified",
        clock=bench.clock,
    )


def replaced(row: Recall, opened: datetime, morning: datetime) -> None:
    """The V6 does not match on a good scale: a piston is cut, and a new revision goes out."""
    build = LATE.engine.build
    bench = bench_of(LATE, opened, morning, FINE)
    bench.check_scale()
    weigh_apart(bench, LATE)
    story.bring_sets_together(bench, together=False)
    story.card(bench)
    story.answer_all(bench)
    bench.clock.forward(hours=1)
    release = story.release(build, bench.clock, [], no_seals_reason=NO_SEALS, replaces=True)
    issue_certificate(release=release.pk, clock=SetClock(release.released_at))
    bench.clock.forward(minutes=5)
    clear_case(
        by=RUTH,
        recall=row.pk,
        build=build,
        outcome="replaced",
        reason="a piston was cut, all weighed again on S-01; a new bob-weight card went with it",
        clock=bench.clock,
    )
