"""A street twin played through the shop's own deeds until nothing blocks its release.

Its parts weigh nearly the same, so that the plan asks for no cut: the shortest way to a release.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from records.actions.builds import note_detail
from records.actions.clock import SetClock
from records.actions.releases import release_build
from records.management.demo import shop, story
from records.management.demo.bench import Bench, TruePart
from records.management.demo.engines import I4, PER_PLACE, Engine, numbered
from records.management.demo.numbers import FINE, INES, MARTA, RUTH
from records.models import Release

TWIN = replace(
    I4,
    build="26-031",
    name="hill-climb car, parallel twin",
    layout="i2-360",
    mark="T",
    places=2,
    seed=2031,
)
SECOND = replace(TWIN, build="26-032", mark="U", seed=2032)


def ready_to_release(engines: tuple[Engine, ...] = (TWIN,)) -> None:
    """Open the invented shop some days ago, and bring these builds as far as their release."""
    morning = datetime.now(UTC).replace(hour=8, minute=0, second=0, microsecond=0)
    clock = SetClock(morning - timedelta(days=4))
    shop.open_the_shop(clock, "a long one for tests 26")
    for engine in engines:
        clock.forward(hours=1)
        _finish(engine, clock)


def release(build: str = TWIN.build) -> Release:
    """Let Ruth release, by the machine's clock."""
    return release_build(
        by=RUTH, build=build, no_seals_reason="the owner seals it", seen_conditional=True
    )


def _finish(engine: Engine, clock: SetClock) -> None:
    story.take_in(engine, clock, None)
    note_detail(
        by=MARTA,
        build=engine.build,
        key="crank_in_job",
        value="no",
        reason="the owner has the crank at home",
        clock=clock,
    )
    bench = Bench(engine.build, FINE, INES, clock, _alike(engine), hangings=2)
    story.weigh_all(bench, engine)
    story.match_sets(bench)
    story.weigh_sets(bench)
    story.card(bench)
    story.answer_all(bench)


def _alike(engine: Engine) -> dict[str, TruePart]:
    masses = {
        "piston": (engine.piston_g, 0.0),
        "pin": (engine.pin_g, 0.0),
        "ring set": (engine.ring_set_g, 0.0),
        "rod": (engine.big_end_g + engine.small_end_g, engine.big_end_g),
    }
    parts = [
        TruePart(numbered(engine, letter, place), *masses[kind])
        for kind, letter in PER_PLACE
        for place in range(1, engine.places + 1)
    ]
    parts.append(TruePart(numbered(engine, "L", 1), 2.36))
    parts.append(TruePart(numbered(engine, "B", 1), 45.1))
    return {part.number: part for part in parts}
