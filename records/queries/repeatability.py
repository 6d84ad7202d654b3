"""What everyday double weighings say of who weighs: pooled s beside the scale's own."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal

from django.db.models import OuterRef, Subquery

from records.domain.measure.pooled import FEWEST, Pool, interval
from records.domain.measure.scale import Scale
from records.domain.practice.double_weighings import Pools, Seen, Work, pooled
from records.domain.practice.facts_of_scales import ScaleFacts
from records.domain.practice.scale_model import calibration_at, scale_model
from records.domain.practice.shop_day import shop_day
from records.models import Reading, Removal, Weighing
from records.queries.scale_facts import facts_of_scales
from records.queries.shop import shop_now
from records.queries.viewer import Viewer

CHUNK = 2000
EVERYONE = ""
ON_PAN = (Weighing.What.WHOLE, Weighing.What.SET)


@dataclass(frozen=True, slots=True)
class Scatter:
    """A pooled s with its 95 % interval, from so many groups; None where there are too few."""

    groups: int
    freedom: int
    s_g: float | None
    low_g: float | None
    high_g: float | None


@dataclass(frozen=True, slots=True)
class RepeatabilityRow:
    """How one person (or everyone, "") repeats a kind of work on a scale.

    `within` is from readings of one weighing, `again` from weighings made again on one day.
    `scale_s_g` is the scale's own s at the mean load, from its newest certificate, `with_step_g`
    that with its rounding, √(s² + d²/12). `wider` tells where the whole interval lies above that;
    never of a hung end, whose contact scatters too.
    """

    person: str
    what: str
    scale: str
    within: Scatter
    again: Scatter
    scale_s_g: float | None
    with_step_g: float | None
    wider: bool


@dataclass(frozen=True, slots=True)
class Repeatability:
    """The rows that a viewer may see, and how many degrees of freedom it takes to show one."""

    rows: tuple[RepeatabilityRow, ...]
    fewest: int = field(default=FEWEST)


def repeatability(viewer: Viewer, now: datetime) -> Repeatability:
    """Return the repeatability of everyone together and, to a manager, of each person.

    Others see their own beside everyone's. Reads every weighing once, in constant memory.
    """
    shop = shop_now()
    timezone = shop.timezone if shop else "UTC"
    pools = pooled(_seen(timezone))
    everyone = _together(pools)
    mine = {
        work: each
        for work, each in pools.items()
        if viewer.may("keep scales") or work.person == viewer.person
    }
    scales = facts_of_scales({work.scale for work in pools})
    return Repeatability(
        tuple(
            _row(work, each, scales[work.scale], now, timezone)
            for work, each in sorted(
                (everyone | mine).items(),
                key=lambda one: (one[0].scale, one[0].what, one[0].person),
            )
        )
    )


def _seen(timezone: str) -> Iterator[Seen]:
    """Yield the shop's readings as pairs are made of them, a chunk at a time."""
    cut = Removal.objects.filter(
        part=OuterRef("weighing__part"),
        cut_at__lt=OuterRef("weighing__measured_at"),
        correction__isnull=True,
    ).order_by("-cut_at", "-pk")
    counted = Reading.objects.filter(
        weighing__correction__isnull=True,
        weighing__scale__isnull=False,
        weighing__ahead=False,
        weighing__how__in=[Weighing.How.ON_PAN, Weighing.How.HUNG],
    ).exclude(weighing__purpose=Weighing.Purpose.PROGRESS)
    rows = (
        counted.annotate(last_cut=Subquery(cut.values("pk")[:1]))
        .order_by(
            "weighing__part",
            "weighing__what",
            "weighing__scale",
            "weighing__operator",
            "weighing__measured_at",
            "weighing",
            "order",
        )
        .values_list(
            "weighing",
            "weighing__part",
            "weighing__what",
            "weighing__scale",
            "weighing__calibration",
            "weighing__operator",
            "last_cut",
            "weighing__measured_at",
            "grams",
        )
    )
    for row in rows.iterator(chunk_size=CHUNK):
        weighing, part, what, scale, calibration, person, last_cut, measured_at, grams = row
        day = shop_day(measured_at, timezone)
        yield Seen(weighing, part, what, scale, calibration, person, last_cut, day, float(grams))


def _together(pools: dict[Work, Pools]) -> dict[Work, Pools]:
    together: dict[Work, Pools] = {}
    for work, each in pools.items():
        both = together.setdefault(Work(EVERYONE, work.what, work.scale), Pools())
        both.within.join(each.within)
        both.again.join(each.again)
    return together


def _row(
    work: Work, pools: Pools, scale: ScaleFacts, now: datetime, timezone: str
) -> RepeatabilityRow:
    within, again = _scatter(pools.within), _scatter(pools.again)
    load_g = pools.within.load_g or pools.again.load_g
    model = _model(scale, Decimal(str(load_g)), now, timezone)
    own = None if model is None else model.s_at(load_g)
    with_step = None if model is None or own is None else math.hypot(own, model.u_round_g)
    lows = [one.low_g for one in (within, again) if one.low_g is not None]
    return RepeatabilityRow(
        person=work.person,
        what=work.what,
        scale=work.scale,
        within=within,
        again=again,
        scale_s_g=own,
        with_step_g=with_step,
        wider=with_step is not None and work.what in ON_PAN and any(x > with_step for x in lows),
    )


def _scatter(pool: Pool) -> Scatter:
    if not pool.tells:
        return Scatter(pool.groups, pool.freedom, None, None, None)
    low_g, high_g = interval(pool.s_g, pool.freedom)
    return Scatter(pool.groups, pool.freedom, pool.s_g, low_g, high_g)


def _model(scale: ScaleFacts, load_g: Decimal, now: datetime, timezone: str) -> Scale | None:
    day = shop_day(now, timezone)
    calibration = calibration_at(scale, day)
    if calibration is None or not calibration.repeatability or not calibration.as_left:
        return None
    return scale_model(scale, ["g"], day, timezone, load_g=load_g)
