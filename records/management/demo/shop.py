"""Open the demo shop: its people, scales and specs. All of it is invented."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from records.actions.accounts import make_account
from records.actions.clock import SetClock
from records.actions.people import book_customer, book_person
from records.actions.scales import (
    PointGiven,
    Repeatability,
    Step,
    book_check_weight,
    book_scale,
    record_calibration,
)
from records.actions.shop import open_shop
from records.actions.specs import set_part_spec
from records.domain.practice.default_zones import default_zones
from records.domain.practice.kinds import DENSITIES, KINDS

MARTA, INES, TOMAS, RUTH = "P-01", "P-02", "P-03", "P-04"
BLACK_REACH, ORLA = "K-01", "K-02"
FINE, COARSE = "S-01", "S-02"
CHECK_WEIGHTS = {"W-500": "500", "W-1000": "1000", "W-2000": "2000"}
ROD_LENGTH_MM = Decimal("152.4")


@dataclass(frozen=True, slots=True)
class SignIn:
    """A name to sign in with, and what it is for."""

    username: str
    role: str


SIGN_INS = (
    SignIn("ines", "technician, weighs and cuts"),
    SignIn("tomas", "machinist"),
    SignIn("ruth", "inspector, releases"),
    SignIn("marta", "manager"),
    SignIn("orla", "customer, sees her own builds"),
)


def open_the_shop(clock: SetClock, password: str) -> None:
    """Open Ferrow Lane Balancing with its people, scales and part specs."""
    open_shop(
        name="Ferrow Lane Balancing",
        place="Ferrow Lane",
        timezone="Europe/London",
        demo=True,
        first_person=MARTA,
        first_name="Marta",
        clock=clock,
    )
    _people(clock)
    _accounts(password)
    _scales(clock)
    _specs(clock)


def _people(clock: SetClock) -> None:
    for number, name, role in (
        (INES, "Ines", "technician"),
        (TOMAS, "Tomas", "technician"),
        (RUTH, "Ruth", "inspector"),
    ):
        book_person(by=MARTA, number=number, name=name, roles=[role], clock=clock)
    book_customer(by=MARTA, number=BLACK_REACH, name="Black Reach Boats", clock=clock)
    book_customer(by=MARTA, number=ORLA, name="Orla", clock=clock)


def _accounts(password: str) -> None:
    for username, number in (("marta", MARTA), ("ines", INES), ("tomas", TOMAS), ("ruth", RUTH)):
        make_account(username=username, password=password, person=number)
    make_account(username="orla", password=password, customer=ORLA)


def _scales(clock: SetClock) -> None:
    book_scale(
        by=MARTA,
        number=FINE,
        capacity_g=Decimal(3200),
        steps=[Step("g", Decimal("0.01"))],
        note="rods and sets",
        clock=clock,
    )
    book_scale(
        by=MARTA,
        number=COARSE,
        capacity_g=Decimal(2000),
        steps=[Step("g", Decimal("0.1")), Step("oz", Decimal("0.001"))],
        note="2 kg, on the bench by the door",
        clock=clock,
    )
    for number, nominal in CHECK_WEIGHTS.items():
        book_check_weight(
            by=MARTA,
            number=number,
            nominal_g=Decimal(nominal),
            accuracy_class="M1",
            clock=clock,
        )
    for days_ago, numbers in (
        (410, ("FL-CAL-088", "FL-CAL-089")),
        (46, ("FL-CAL-117", "FL-CAL-118")),
    ):
        day = clock.now().date() - timedelta(days=days_ago)
        _calibrate(clock, (FINE, numbers[0], day), FINE_POINTS, "0.006")
        _calibrate(clock, (COARSE, numbers[1], day), COARSE_POINTS, "0.04")


FINE_POINTS = (
    ("0", "0", "0.006"),
    ("200", "0.00", "0.008"),
    ("500", "-0.01", "0.012"),
    ("1000", "-0.01", "0.015"),
    ("2000", "-0.02", "0.025"),
    ("3200", "-0.03", "0.040"),
)
COARSE_POINTS = (
    ("0", "0", "0.05"),
    ("200", "0.0", "0.06"),
    ("500", "0.0", "0.07"),
    ("1000", "-0.1", "0.08"),
    ("2000", "-0.1", "0.10"),
)


def _calibrate(
    clock: SetClock,
    certificate: tuple[str, str, date],
    points: tuple[tuple[str, str, str], ...],
    s_g: str,
) -> None:
    scale, number, day = certificate
    record_calibration(
        by=MARTA,
        scale=scale,
        certificate_number=number,
        calibrated_on=day,
        due_on=day + timedelta(days=365),
        laboratory="an invented laboratory",
        as_left=[
            PointGiven(Decimal(load), Decimal(error), Decimal(expanded))
            for load, error, expanded in points
        ],
        repeatability=[Repeatability(Decimal(1000), Decimal(s_g))],
        repeatability_nu=9,
        clock=clock,
    )


def spec_of(kind: str) -> str:
    """Return the number under which the shop keeps its default spec of a kind."""
    return f"default-{kind.replace(' ', '-')}"


def _specs(clock: SetClock) -> None:
    for kind in KINDS:
        set_part_spec(
            by=MARTA,
            number=spec_of(kind.key),
            kind=kind.key,
            name=f"{kind.key}, as the shop starts with it",
            metal=kind.metal,
            density_g_cm3=DENSITIES[kind.metal],
            zones=default_zones(kind.key, ROD_LENGTH_MM),
            clock=clock,
        )
