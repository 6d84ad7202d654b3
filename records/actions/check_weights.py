"""Certificates of check weights."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from records import ledger
from records.actions.calibration_checks import check_days
from records.actions.clock import SYSTEM, Clock
from records.actions.deed import deed, today
from records.actions.figure import figure
from records.actions.lookup import found, optional_text, text
from records.domain.errors import BadValue, Code, Conflict
from records.models import CheckWeight, CheckWeightCertificate

# A weight further from its nominal mass is another weight, or its certificate in another unit.
FARTHEST_SHARE = Decimal("0.001")  # common practice, no source


def record_weight_certificate(
    *,
    by: str,
    weight: str,
    certificate_number: str,
    calibrated_on: date,
    due_on: date,
    mass_g: Decimal,
    U_g: Decimal,
    k: Decimal = Decimal(2),
    laboratory: str = "",
    clock: Clock = SYSTEM,
) -> CheckWeightCertificate:
    """Record what a check weight weighs by its certificate; checks from that day on reckon so.

    Masses in g, conventional. Errors: BadValue at the field; Conflict for one on record already.
    """
    with deed(by=by, name="keep scales", streams=[ledger.SHOP_STREAM], clock=clock) as act:
        row = found(CheckWeight, weight, "weight")
        check_days(calibrated_on, due_on, today(act.at))
        _check_mass(row, mass_g, U_g, k)
        number = text(certificate_number, "certificate_number", 80)
        if row.certificates.filter(certificate_number=number).exists():
            message = f"certificate {number} of {weight} is on record already"
            raise Conflict(Code.ALREADY_THERE, message, field="certificate_number", got=number)
        certificate = CheckWeightCertificate.objects.create(
            weight=row,
            certificate_number=number,
            calibrated_on=calibrated_on,
            due_on=due_on,
            laboratory=optional_text(laboratory, "laboratory", 200),
            mass_g=mass_g,
            U_g=U_g,
            k=k,
            **act.stamp,
        )
        act.enter(ledger.SHOP_STREAM, "check weight calibrated", [certificate])
        return certificate


def _check_mass(weight: CheckWeight, mass_g: Decimal, U_g: Decimal, k: Decimal) -> None:
    figure(mass_g, "mass_g", above=0)
    figure(k, "k", above=0, most=10, places=3, unit="")
    most = FARTHEST_SHARE * weight.nominal_g
    figure(U_g, "U_g", above=0, most=most)
    if abs(mass_g - weight.nominal_g) > most:
        expected = f"within {most:.10g} g of its nominal {weight.nominal_g:.10g} g"
        raise BadValue(
            Code.OUT_OF_RANGE,
            f"expected a mass {expected}, got {mass_g:.10g} g; is it in grams?",
            field="mass_g",
            expected=expected,
            got=str(mass_g),
        )
