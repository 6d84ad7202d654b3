"""Play the demo once: each chapter is there whole, or not at all."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from pathlib import Path

from django.db import transaction

from records.actions.certificates import issue_certificate
from records.actions.clock import SetClock
from records.actions.releases import Seal
from records.management.demo import found_out, numbers, past, shop, story
from records.management.demo.bench import Bench, CutMade
from records.management.demo.engines import I4, V8, Engine, at_each_place, parts_of
from records.models import Build, Certificate, Recall, Release, ShopSettings

PAST = timedelta(days=102)  # from the shop's first day to the sprint boat's


@dataclass(frozen=True, slots=True)
class Played:
    """What the demo left: the finished build and its certificate."""

    build: str
    certificate: str
    revision: int
    pdf: bytes


def play(password: str, today: datetime) -> Played:
    """Play what is not there yet; days are counted back from the first run."""
    opened = _opening(today)
    first = opened + PAST
    if not ShopSettings.objects.exists():
        with transaction.atomic():
            shop.open_the_shop(SetClock(opened), password)
    _chapter(past.LATE.engine, lambda: past.three_months(opened))
    _chapter(V8, lambda: _sprint_boat(first))
    _chapter(I4, lambda: _hill_climb(first))
    if not Recall.objects.exists():
        with transaction.atomic():
            found_out.found_out(opened, first + timedelta(days=11))
    release = Release.objects.get(build_id=V8.build)
    paper = issue_certificate(release=release.pk, clock=SetClock(release.released_at))
    return _played(release, paper)


def write_certificate(played: Played, folder: Path) -> Path:
    """Put the signed paper where a user finds it."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{played.certificate}-r{played.revision}.pdf"
    path.write_bytes(played.pdf)
    return path


def _played(release: Release, paper: Certificate) -> Played:
    return Played(release.build_id, release.certificate_number, release.revision, bytes(paper.pdf))


def _opening(today: datetime) -> datetime:
    opened = ShopSettings.objects.order_by("version").first()
    if opened:
        return opened.recorded_at
    morning = datetime.combine(today.date(), time(8, 0), UTC)
    return morning - timedelta(days=16) - PAST


def _clock(first: datetime, day: int, hour: int = 0) -> SetClock:
    return SetClock(first + timedelta(days=day, hours=hour))


def _chapter(engine: Engine, tell: Callable[[], None]) -> None:
    if Build.objects.filter(number=engine.build).exists():
        return
    with transaction.atomic():
        tell()


def _sprint_boat(first: datetime) -> None:
    """A competition V8 with a rated damper, from take-in to release."""
    event_day = (first + timedelta(days=40)).date()
    office = _clock(first, 1)
    story.take_in(V8, office, event_day)
    story.take_in_crank(V8, office, (first + timedelta(days=300)).date())
    bench = _bench(V8, numbers.FINE, _clock(first, 2))
    story.weigh_all(bench, V8)
    story.match_sets(bench)
    bench.clock.at = first + timedelta(days=3)
    bench.check_scale()
    story.weigh_sets(bench)
    story.bring_sets_together(bench, together=True)
    bench.clock.at = first + timedelta(days=6)
    bench.check_scale()
    story.bring_rods_together(bench)
    story.card(bench)
    story.answer_all(bench)
    review = _clock(first, 8, 2)
    story.look_at_heat(V8.build, review)
    story.release(V8.build, review, [Seal("FL-2231", "sump rail"), Seal("FL-2232", "front cover")])


def _hill_climb(first: datetime) -> None:
    """A street four under way: one piston was cut where it must not be, and Ruth has to decide."""
    story.take_in(I4, _clock(first, 9), None)
    bench = _bench(I4, numbers.COARSE, _clock(first, 10))
    story.weigh_all(bench, I4)
    story.match_sets(bench)
    heavy = max(at_each_place(I4, "P"), key=lambda number: bench.parts[number].mass_g)
    bench.cut(CutMade(heavy, "skirt-outside", "lathe", "one spot", 0.4, "not too hot"))


def _bench(engine: Engine, scale: str, clock: SetClock) -> Bench:
    hangings = 3 if engine.use == "competition" else 2
    return Bench(engine.build, scale, numbers.INES, clock, parts_of(engine), hangings)
