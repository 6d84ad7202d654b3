"""Scale checks: check weights put on, judged against their limit, pass or fail."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal

from records import ledger
from records.actions.clock import SYSTEM, Clock, check_not_ahead
from records.actions.deed import deed
from records.actions.lookup import found, optional_text
from records.actions.reading import ReadingGiven, as_given, grams_of
from records.domain.errors import BadValue, Code
from records.domain.measure import check_weights, scale_check
from records.domain.measure.scale import Scale as Model
from records.domain.practice.facts_of_scales import ScaleFacts
from records.domain.practice.scale_model import calibration_at, scale_model, shows
from records.domain.practice.shop_day import shop_day
from records.models import CheckWeight, Scale, ScaleCheck, ScaleCheckLoad, ShopSettings
from records.queries.check_weights import weights_at_hand
from records.queries.scale_facts import scale_facts


@dataclass(frozen=True, slots=True)
class Load:
    """Weights put on together, by number, and what the scale showed."""

    weights: Sequence[str]
    reading: ReadingGiven


@dataclass(frozen=True, slots=True)
class _Judged:
    load: Load
    load_g: Decimal
    grams: Decimal
    result: scale_check.ScaleCheck


def record_scale_check(
    *,
    by: str,
    scale: str,
    loads: Sequence[Load],
    measured_at: datetime | None = None,
    remark: str = "",
    clock: Clock = SYSTEM,
) -> ScaleCheck:
    """Record a check of a scale: each load within √(U_scale² + U_weight²) of its mass passes.

    A failed check is recorded like any other; what it puts in doubt is judged from it. Errors:
    BadValue for a scale never calibrated, an unknown weight, a unit that the scale doesn't show.
    """
    stream = ledger.scale_stream(scale)
    with deed(by=by, name="check scale", streams=[stream], clock=clock) as act:
        row = found(Scale, scale, "scale")
        at = measured_at or act.at
        check_not_ahead(at, act.at, "measured_at")
        facts = scale_facts()[scale]
        timezone = ShopSettings.objects.latest("version").timezone
        if not loads:
            raise BadValue(Code.MISSING, "expected a load, got none", field="loads")
        judged = [
            _judged(facts, at, timezone, load, f"loads/{index}") for index, load in enumerate(loads)
        ]
        calibration = calibration_at(facts, shop_day(at, timezone))
        check = ScaleCheck.objects.create(
            scale=row,
            calibration_id=calibration.id if calibration else None,
            operator=act.person,
            measured_at=at,
            passed=all(one.result.passed for one in judged),
            remark=optional_text(remark, "remark", 400),
            **act.stamp,
        )
        rows = [_load(check, one) for one in judged]
        act.enter(stream, "scale checked", [check, *rows])
        return check


def _judged(facts: ScaleFacts, at: datetime, timezone: str, load: Load, field: str) -> _Judged:
    if not load.weights or len(set(load.weights)) < len(load.weights):
        raise BadValue(
            Code.BAD_VALUE,
            f"expected each weight on the pan once, got {', '.join(load.weights) or 'none'}",
            field=f"{field}/weights",
        )
    known = weights_at_hand(shop_day(at, timezone))
    for number in load.weights:
        found(CheckWeight, number, f"{field}/weights")
    weights = [known[number].weight for number in load.weights]
    _refuse_too_heavy(facts, sum(one.nominal_g for one in weights), f"{field}/weights")
    together = check_weights.build_up(weights)
    grams = grams_of(load.reading, f"{field}/reading")
    _refuse_unshown(facts, load.reading.unit, f"{field}/reading/unit")
    model = scale_model(
        facts,
        [load.reading.unit],
        shop_day(at, timezone),
        timezone,
        load_g=grams,
        with_drift=False,
    )
    reaching = _reaching(model, float(together.mass_g), float(grams))
    result = scale_check.check_scale(reaching, float(grams), together)
    return _Judged(load, together.mass_g, grams, result)


def _refuse_too_heavy(facts: ScaleFacts, nominal_g: Decimal | int, field: str) -> None:
    if nominal_g > facts.capacity_g:
        raise BadValue(
            Code.OUT_OF_RANGE,
            f"expected check weights of at most {facts.capacity_g:.10g} g, what scale "
            f"{facts.number} carries, got {nominal_g:.10g} g; use lighter ones",
            field=field,
            expected=f"at most {facts.capacity_g:.10g} g",
            got=f"{nominal_g:.10g} g",
        )


def _refuse_unshown(facts: ScaleFacts, unit: str, field: str) -> None:
    if not shows(facts, unit):
        units = ", ".join(step.unit for step in facts.steps)
        raise BadValue(
            Code.UNKNOWN_UNIT,
            f"expected a unit that {facts.number} shows, {units}; got {unit}",
            field=field,
            expected=units,
            got=unit,
        )


def _reaching(model: Model, load_g: float, reading_g: float) -> Model:
    """Let the last point of the certificate hold for what a scale shows of a weight within it.

    A scale that shows 2000.1 g for 2000 g, its last point, is off; that must not go unrecorded.
    """
    if not model.certificate:
        return model
    last = model.certificate[-1]
    if load_g > last.load_g or reading_g <= last.load_g:
        return model
    further = replace(last, load_g=reading_g)
    return replace(model, certificate=(*model.certificate, further))


def _load(check: ScaleCheck, one: _Judged) -> ScaleCheckLoad:
    return ScaleCheckLoad.objects.create(
        scale_check=check,
        weights=list(one.load.weights),
        load_g=one.load_g,
        text=as_given(one.load.reading),
        unit=one.load.reading.unit,
        grams=one.grams,
        # kept to a tenth of a milligram: far below any step of these scales
        error_g=round(Decimal(one.result.error_g), 4),
        limit_g=round(Decimal(one.result.limit_g), 4),
        passed=one.result.passed,
    )
