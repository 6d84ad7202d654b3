"""The demo's past: a scale checked for three months with 1 kg only, found 0.3 g low at 500 g.

Five street builds went out on it. Four twins, and a 60 degree V6 rebuilt after one season; of one
twin and of the V6 a piston had been weighed on another scale, so that the error doesn't cancel.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from records.actions.builds import note_detail
from records.actions.certificates import issue_certificate
from records.actions.clock import SetClock
from records.management.demo import story
from records.management.demo.bench import Bench, TruePart
from records.management.demo.engines import I4, PER_PLACE, SHARED, Engine, at_each_place, numbered
from records.management.demo.numbers import BLACK_REACH, FINE, INES, MARTA, ORLA, WORN
from records.models import Release

ONE_KILOGRAM = {"W-1000": "1000"}
DAYS_OF_CHECKS = 100
REASON = "the owner has the crank at home, and hangs the weights from our card"
NO_SEALS = "the owner seals it"


@dataclass(frozen=True, slots=True)
class PastBuild:
    """An engine, the day it was weighed, its sets by what each is above the lightest, in g.

    `elsewhere` tells that the first place's piston was weighed on another scale.
    """

    engine: Engine
    day: int
    above_g: tuple[float, ...]
    elsewhere: bool = False


_TWIN = replace(
    I4,
    layout="i2-360",
    name="hill-climb car, parallel twin",
    places=2,
    piston_g=480.0,
    customer=ORLA,
)


def _twin(number: str, mark: str) -> Engine:
    return replace(_TWIN, build=number, mark=mark, seed=3000 + ord(mark))


V6 = replace(
    I4,
    build="26-009",
    name="sprint boat, 60 degree V6, rebuilt after one season",
    layout="v6-60",
    customer=BLACK_REACH,
    mark="V",
    places=6,
    piston_g=480.0,
    seed=3009,
)
EARLY = PastBuild(_twin("26-004", "B"), 16, (0.0, 0.85), elsewhere=True)
LATE = PastBuild(V6, 93, (0.0, 1.12, 0.45, 0.62, 0.31, 0.54), elsewhere=True)
WHOLLY = (
    PastBuild(_twin("26-003", "A"), 9, (0.0, 0.42)),
    PastBuild(_twin("26-006", "C"), 44, (0.0, 0.71)),
    PastBuild(_twin("26-008", "E"), 72, (0.0, 0.93)),
)
BUILDS = tuple(sorted((*WHOLLY, EARLY, LATE), key=lambda past: past.day))


def three_months(opened: datetime) -> None:
    """Check S-04 with 1 kg on every working day, and let five builds go out on it."""
    by_day = {past.day: past for past in BUILDS}
    for day in range(1, DAYS_OF_CHECKS):
        morning = opened + timedelta(days=day)
        if day in by_day:
            _went_out(by_day[day], opened, morning)
        elif morning.weekday() < 5:
            bench_of(LATE, opened, morning).check_scale(ONE_KILOGRAM)


def bench_of(past: PastBuild, opened: datetime, moment: datetime, scale: str = WORN) -> Bench:
    """Put Ines at a scale with a past build's parts as they came."""
    return Bench(
        past.engine.build, scale, INES, SetClock(moment), parts_of(past), 2, worn_since=opened
    )


def parts_of(past: PastBuild) -> dict[str, TruePart]:
    """Give the true masses: pistons apart as the build says, all else alike."""
    engine = past.engine
    alike = {"pin": engine.pin_g, "ring set": engine.ring_set_g}
    alike |= {"rod": engine.big_end_g + engine.small_end_g}
    found = [
        TruePart(numbered(engine, "P", place), engine.piston_g + above_g)
        for place, above_g in enumerate(past.above_g, start=1)
    ]
    for kind, letter in PER_PLACE[1:]:
        big_g = engine.big_end_g if kind == "rod" else 0.0
        found += [TruePart(n, alike[kind], big_g) for n in at_each_place(engine, letter)]
    found += [
        TruePart(numbered(engine, letter, 1), mass_g)
        for (_, letter), mass_g in zip(SHARED, (2.36, 45.1), strict=True)
    ]
    return {part.number: part for part in found}


def weigh_apart(bench: Bench, past: PastBuild, *, but: str = "") -> None:
    """Weigh every part but one, rods by big end and whole; the sets are not weighed together."""
    engine = past.engine
    for _, letter in PER_PLACE[:3]:
        for number in at_each_place(engine, letter):
            if number != but:
                bench.weigh(number)
    for number in at_each_place(engine, "R"):
        bench.hang(number)
        bench.weigh(number)
    for _, letter in SHARED:
        bench.weigh(numbered(engine, letter, 1))


def released(build: str) -> Release:
    """Give the newest release of a build."""
    return Release.objects.filter(build=build).latest("revision")


def _went_out(past: PastBuild, opened: datetime, morning: datetime) -> None:
    clock = SetClock(morning - timedelta(hours=1))
    story.take_in(past.engine, clock, None)
    note_detail(
        by=MARTA,
        build=past.engine.build,
        key="crank_in_job",
        value="no",
        reason=REASON,
        clock=clock,
    )
    bench = bench_of(past, opened, morning)
    bench.check_scale(ONE_KILOGRAM)
    first = numbered(past.engine, "P", 1) if past.elsewhere else ""
    weigh_apart(bench, past, but=first)
    if first:
        _weigh_elsewhere(bench, first)
    if past.engine.layout == V6.layout:
        story.card(bench)
    story.answer_all(bench)
    bench.clock.forward(hours=1)
    release = story.release(past.engine.build, bench.clock, [], no_seals_reason=NO_SEALS)
    issue_certificate(release=release.pk, clock=bench.clock)


def _weigh_elsewhere(bench: Bench, number: str) -> None:
    """Weigh a part on the fine scale, since the one at the window was taken."""
    bench.scale = FINE
    bench.check_scale()
    bench.weigh(number)
    bench.scale = WORN
