"""The shop's check weights: what each weighs by its class or its newest certificate."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Prefetch

from records.domain.measure.check_weights import CheckWeight as Model
from records.domain.practice.check_advice import WeightAtHand
from records.models import CheckWeight, CheckWeightCertificate


@dataclass(frozen=True, slots=True)
class WeightCertificateRow:
    """A certificate of a check weight."""

    certificate_number: str
    calibrated_on: date
    due_on: date
    laboratory: str
    mass_g: Decimal
    U_g: Decimal
    k: Decimal


@dataclass(frozen=True, slots=True)
class CheckWeightRow:
    """A check weight of the shop, its certificates newest first; without one, its class speaks."""

    number: str
    nominal_g: Decimal
    accuracy_class: str
    certificates: tuple[WeightCertificateRow, ...]


def check_weights() -> tuple[CheckWeightRow, ...]:
    """Return the shop's check weights, lightest first."""
    return tuple(
        CheckWeightRow(
            row.number,
            row.nominal_g,
            row.accuracy_class,
            tuple(_certificate(one) for one in row.certificates.all()),
        )
        for row in _with_certificates()
    )


def weights_at_hand(day: date) -> dict[str, WeightAtHand]:
    """Return the check weights by number as the rules reckon with them on a day, lightest first."""
    return {row.number: WeightAtHand(row.number, _model(row, day)) for row in _with_certificates()}


def _with_certificates() -> list[CheckWeight]:
    newest = CheckWeightCertificate.objects.order_by("-calibrated_on", "-id")
    rows = CheckWeight.objects.order_by("nominal_g", "number")
    return list(rows.prefetch_related(Prefetch("certificates", newest)))


def _model(row: CheckWeight, day: date) -> Model:
    made = (one for one in row.certificates.all() if one.calibrated_on <= day)
    newest = next(made, None)
    if newest is None:
        return Model(row.nominal_g, row.accuracy_class)
    return Model(
        row.nominal_g, row.accuracy_class, newest.mass_g, float(newest.U_g), float(newest.k)
    )


def _certificate(row: CheckWeightCertificate) -> WeightCertificateRow:
    return WeightCertificateRow(
        row.certificate_number,
        row.calibrated_on,
        row.due_on,
        row.laboratory,
        row.mass_g,
        row.U_g,
        row.k,
    )
