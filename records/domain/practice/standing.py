"""Whether a weighing counts for release, and if not, why and what to do.

It counts on a scale in calibration, with a passed check on the same shop day whose largest load
reaches the mass on the scale, and with no failed check between that and the last good one. A check
passed after the weighing lets it count from then on; one that failed after it takes it back. On a
scale withdrawn, or changed since its calibration, nothing counts.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from records.domain.practice.facts import BuildFacts, WeighingFacts
from records.domain.practice.facts_of_scales import CalibrationFacts, ScaleFacts
from records.domain.practice.scale_doubt import Said, doubts_of
from records.domain.practice.scale_model import calibration_at, checks_of, shows, step_g
from records.domain.practice.shop_day import shop_day

COARSEST_STEP_G = Decimal("0.1")  # for matching parts: common practice, no source

_HOW = {
    "whole": ("on the pan",),
    "set": ("on the pan",),
    "big end": ("hung", "by difference"),
    "small end": ("hung", "by difference"),
}


@dataclass(frozen=True, slots=True)
class Standing:
    """Whether a weighing counts; the reasons where it doesn't; what to know even where it does."""

    counts: bool
    reasons: tuple[Said, ...]
    warnings: tuple[Said, ...]


def standing_of(weighing: WeighingFacts, facts: BuildFacts) -> Standing:
    """Judge one weighing by the scales, checks and promise of its build.

    Codes of reasons: declared, progress, ahead, no_readings, wrong_how, unknown_scale,
    unit_not_shown, over_capacity, not_calibrated, calibration_expired, calibration_incomplete,
    beyond_certificate, no_check, check_too_light, recalled, and those of scale_doubt.
    Of warnings: step_too_coarse, by_difference, too_few_readings, too_few_hangings.
    """
    reasons = [*_by_itself(weighing), *_recalled(weighing, facts)]
    scale = None if weighing.scale is None else facts.scales.get(weighing.scale)
    if weighing.scale is not None and scale is None:
        text = f"scale {weighing.scale} is not on record; enter it with its certificate"
        reasons.append(("unknown_scale", text))
    warnings = [*_by_rule(weighing, facts)]
    if scale is not None:
        unshown = [*_units_unshown(weighing, scale)]
        reasons += unshown
        reasons += _on_scale(weighing, scale, facts.shop.timezone)
        if not unshown:
            warnings += _too_coarse(weighing, scale)
    return Standing(not reasons, tuple(reasons), tuple(warnings))


def _by_itself(weighing: WeighingFacts) -> Iterable[Said]:
    if weighing.source == "declared" or weighing.scale is None:
        yield (
            "declared",
            "the mass was declared, expected one weighed here; weigh it on a scale of the shop",
        )
    if weighing.purpose == "progress":
        yield (
            "progress",
            "a quick reading between passes is progress, expected a weighing for evidence; "
            "weigh again when the cut is done",
        )
    if weighing.ahead:
        yield (
            "ahead",
            f"measured at {weighing.measured_at:%Y-%m-%d %H:%M} UTC, ahead of the time it was "
            "recorded; set the device's clock and weigh again",
        )
    if not weighing.readings:
        yield ("no_readings", "expected one reading or more, got none; weigh again")
    allowed = _HOW.get(weighing.what, ())
    if weighing.how not in allowed:
        wanted = " or ".join(allowed) or "whole, set, big end or small end"
        yield (
            "wrong_how",
            f"{weighing.what} taken {weighing.how}, expected {wanted}; weigh it again so",
        )


def _recalled(weighing: WeighingFacts, facts: BuildFacts) -> Iterable[Said]:
    """A recalled scale touched it, and no inspector cleared that for this build."""
    recalled = facts.recalled.get(weighing.id)
    if recalled is not None:
        yield (
            "recalled",
            f"scale {recalled.scale} was recalled, withdrawn on {recalled.on}, and this lies after "
            "the last good evidence for it; weigh it again, or an inspector clears the build",
        )


def _by_rule(weighing: WeighingFacts, facts: BuildFacts) -> Iterable[Said]:
    asked = facts.promise
    hung = weighing.what.endswith("end")
    if hung and weighing.how == "by difference":
        yield (
            "by_difference",
            "this end is the whole less the other end, so that both ends close by making; "
            "hang it itself where the fixture allows",
        )
    # An end is hung anew for each reading, so that the rule for ends asks for hangings alone.
    hangings = hangings_of(weighing)
    if hung and hangings < asked.hangings:
        text = f"hung {hangings} times, expected {asked.hangings}; hang it anew for each reading"
        yield ("too_few_hangings", text)
    if not hung and len(weighing.readings) < asked.readings:
        text = f"{len(weighing.readings)} reading, expected {asked.readings}; read it again"
        yield ("too_few_readings", text)


def hangings_of(weighing: WeighingFacts) -> int:
    """Count how often an end was hung anew; unmarked readings count as one hanging."""
    return max(1, len({r.hanging for r in weighing.readings}))


def _units_unshown(weighing: WeighingFacts, scale: ScaleFacts) -> Iterable[Said]:
    shown = ", ".join(dict.fromkeys(step.unit for step in scale.steps))
    for unit in sorted({r.unit for r in weighing.readings}):
        if not shows(scale, unit):
            yield (
                "unit_not_shown",
                f"read in {unit}, expected {shown}, which scale {scale.number} shows; read again",
            )


def _too_coarse(weighing: WeighingFacts, scale: ScaleFacts) -> Iterable[Said]:
    units = {r.unit for r in weighing.readings}
    if not units:
        return
    step = step_g(scale, units, weighing.mean_g)
    if step > COARSEST_STEP_G:
        yield (
            "step_too_coarse",
            f"scale {scale.number} reads in steps of {step:.3g} g here, expected "
            f"{COARSEST_STEP_G} g or finer for matching; use a finer scale or unit",
        )


def _on_scale(weighing: WeighingFacts, scale: ScaleFacts, timezone: str) -> Iterable[Said]:
    if weighing.mean_g > scale.capacity_g:
        yield (
            "over_capacity",
            f"{weighing.mean_g:.10g} g on scale {scale.number}, expected at most its capacity of "
            f"{scale.capacity_g:.10g} g; use a larger scale",
        )
    day = shop_day(weighing.measured_at, timezone)
    calibration = calibration_at(scale, day)
    yield from _calibrated(weighing, scale, calibration, day)
    yield from _checked(weighing, scale, day, timezone)
    yield from doubts_of(scale, weighing.measured_at, timezone)


def _calibrated(
    weighing: WeighingFacts, scale: ScaleFacts, calibration: CalibrationFacts | None, day: date
) -> Iterable[Said]:
    if calibration is None:
        yield (
            "not_calibrated",
            f"scale {scale.number}: expected a calibration on or before {day}, got none; "
            "book one and weigh again",
        )
        return
    if day > calibration.due_on:
        yield (
            "calibration_expired",
            f"scale {scale.number}: calibration expired {calibration.due_on}, weighing dated "
            f"{day}; use another scale or book a calibration",
        )
    if not calibration.as_left or not calibration.repeatability:
        yield (
            "calibration_incomplete",
            f"scale {scale.number}: expected points as left and a repeatability in calibration "
            f"{calibration.certificate_number}, which lacks them; enter them",
        )
        return
    last_g = calibration.as_left[-1].load_g
    if weighing.mean_g > last_g:
        yield (
            "beyond_certificate",
            f"{weighing.mean_g:.10g} g on scale {scale.number}, expected at most {last_g:.10g} g, "
            f"the last point of {calibration.certificate_number}; have it calibrated higher",
        )


def _checked(
    weighing: WeighingFacts, scale: ScaleFacts, day: date, timezone: str
) -> Iterable[Said]:
    passed = [check for check in checks_of(scale, day, timezone) if check.passed]
    if not passed:
        yield (
            "no_check",
            f"scale {scale.number}: expected a passed check on {day}, got none; put check weights "
            "on it the same day, before or after, or weigh again",
        )
        return
    reached = max((load.load_g for check in passed for load in check.loads), default=Decimal(0))
    if reached < weighing.mean_g:
        yield (
            "check_too_light",
            f"scale {scale.number}: checked up to {reached:.10g} g on {day}, expected at least "
            f"the part's {weighing.mean_g:.10g} g; check it with a heavier weight the same day, "
            "or weigh again",
        )
