"""Open the demo shop: its people, scales and specs. All of it is invented."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from records.actions.accounts import make_account
from records.actions.clock import SetClock
from records.actions.people import book_customer, book_person
from records.actions.shop import open_shop
from records.actions.specs import set_part_spec
from records.domain.practice.default_zones import default_zones
from records.domain.practice.kinds import DENSITIES, KINDS
from records.management.demo.numbers import BLACK_REACH, INES, MARTA, ORLA, RUTH, TOMAS
from records.management.demo.scales import book_the_scales

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
    book_the_scales(clock)
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
