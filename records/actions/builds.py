"""Builds: opened with what was promised, and the details that are learnt later."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import models

from records import ledger
from records.actions.clock import SYSTEM, Clock
from records.actions.deed import Act, deed
from records.actions.figure import counted, figure
from records.actions.lookup import found, new_number, one_of, optional_text, refuse_taken, text
from records.domain.balance.layout import Cylinder, named
from records.domain.errors import BadValue, Code
from records.models import (
    BalanceRule,
    Build,
    BuildCylinder,
    BuildDetail,
    BuildFixture,
    Checklist,
    Customer,
    RodFixture,
    ShopSettings,
    ToleranceClass,
)

__all__ = ["Cylinder", "Promise", "note_detail", "open_build"]

MOST_TOLERANCE_G = 1000
MOST_CYLINDERS = 48


@dataclass(frozen=True, slots=True)
class Promise:
    """Tolerances promised for one build; what is None follows the tolerance class.

    With `promised_as` "plus or minus" the figures are half widths and are doubled.
    """

    set_g: Decimal | None = None
    big_end_g: Decimal | None = None
    whole_rod_g: Decimal | None = None
    guard_r: Decimal | None = None
    promised_as: str = Build.PromisedAs.SPREAD


def open_build(
    *,
    by: str,
    number: str,
    engine: str,
    layout: str,
    use: str,
    balance: str = Build.Balance.NEUTRAL,
    customer: str | None = None,
    cylinders: Sequence[Cylinder] | None = None,
    promise: Promise | None = None,
    rod_length_mm: Decimal | None = None,
    stroke_mm: Decimal | None = None,
    event_day: date | None = None,
    clock: Clock = SYSTEM,
) -> Build:
    """Open a build under the newest rules.

    `layout` is a known name, or any name when `cylinders` are given. Lengths in mm.
    Errors: Conflict for a number on record, BadValue at the field.
    """
    places = _checked_cylinders(cylinders) if cylinders else named(layout)
    stream = ledger.build_stream(new_number(number, "number", 30))
    with deed(by=by, name="open build", streams=[stream], clock=clock) as act:
        refuse_taken(Build, number, "number")
        build = Build.objects.create(
            number=number,
            customer=found(Customer, customer, "customer") if customer else None,
            engine=text(engine, "engine", 200),
            layout=text(layout, "layout", 40),
            use=one_of(use, "use", Build.Use.values),
            balance=one_of(balance, "balance", Build.Balance.values),
            **_promised(use, promise or Promise()),
            **_newest_rules(),
            **act.stamp,
        )
        cylinder_rows = [_cylinder(build, cylinder) for cylinder in places]
        details = _first_details(act, build, rod_length_mm, stroke_mm, event_day)
        act.enter(stream, "build opened", [build, *cylinder_rows, *details, *_fixture(act, build)])
        return build


def note_detail(
    *, by: str, build: str, key: str, value: str, reason: str = "", clock: Clock = SYSTEM
) -> BuildDetail:
    """Record a detail of a build: rod length, stroke, event day, or whether the crank is here.

    The newest of a key holds. Errors: BadValue when the value doesn't fit the key.
    """
    one_of(key, "key", BuildDetail.Key.values)
    stream = ledger.build_stream(build)
    with deed(by=by, name="open build", streams=[stream], clock=clock) as act:
        row = _detail(act, found(Build, build, "build"), key, value, reason)
        act.enter(stream, "detail noted", [row])
        return row


def _promised(use: str, promise: Promise) -> dict[str, object]:
    rule = ToleranceClass.objects.filter(name=use).latest("version")
    one_of(promise.promised_as, "promised_as", Build.PromisedAs.values)
    # a promise of plus or minus t is a spread of 2 t
    factor = 2 if promise.promised_as == Build.PromisedAs.PLUS_MINUS else 1
    tolerances = {
        field: value * factor if value is not None else getattr(rule, field)
        for field, value in (
            ("set_g", promise.set_g),
            ("big_end_g", promise.big_end_g),
            ("whole_rod_g", promise.whole_rod_g),
        )
    }
    for field, value in tolerances.items():
        figure(value, field, above=0, most=MOST_TOLERANCE_G)
    guard_r = rule.guard_r if promise.guard_r is None else promise.guard_r
    figure(guard_r, "guard_r", least=0, most=10, places=3, unit="")
    return {
        **tolerances,
        "promised_as": promise.promised_as,
        "guard_r": guard_r,
        "tolerance_class": rule,
    }


def _checked_cylinders(cylinders: Sequence[Cylinder]) -> Sequence[Cylinder]:
    """Refuse cylinders that can't stand in a row: two at a place, angles without number."""
    if len(cylinders) > MOST_CYLINDERS:
        raise _bad("cylinders", f"at most {MOST_CYLINDERS} cylinders", str(len(cylinders)))
    places = [cylinder.place for cylinder in cylinders]
    for index, one in enumerate(cylinders):
        field = f"cylinders/{index}"
        if places.index(one.place) < index:
            raise _bad(f"{field}/place", "a place of its own", str(one.place))
        counted(one.place, f"{field}/place", most=999)
        counted(one.pin, f"{field}/pin", most=999)
        for name, value in (("throw_deg", one.throw_deg), ("bank_deg", one.bank_deg)):
            figure(Decimal(str(value)), f"{field}/{name}", most=360, places=99, unit="degrees")
        figure(Decimal(str(one.z_mm)), f"{field}/z_mm", most=100_000, places=99, unit="mm")
    return cylinders


def _newest_rules() -> dict[str, models.Model]:
    return {
        "settings": ShopSettings.objects.latest("version"),
        "balance_rule": BalanceRule.objects.latest("version"),
        "checklist": Checklist.objects.latest("version"),
    }


def _fixture(act: Act, build: Build) -> list[models.Model]:
    """Hang the build's ends in the fixture recorded last, if the shop has one."""
    newest = RodFixture.objects.order_by("-pk").first()
    if newest is None:
        return []
    return [BuildFixture.objects.create(build=build, fixture=newest, **act.stamp)]


def _cylinder(build: Build, cylinder: Cylinder) -> BuildCylinder:
    return BuildCylinder.objects.create(
        build=build,
        place=cylinder.place,
        throw_deg=_exact(cylinder.throw_deg, 3),
        bank_deg=_exact(cylinder.bank_deg, 3),
        z_mm=_exact(cylinder.z_mm, 4),
        pin=cylinder.pin,
    )


def _exact(value: float, places: int) -> Decimal:
    return round(Decimal(str(value)), places)


def _first_details(
    act: Act,
    build: Build,
    rod_length_mm: Decimal | None,
    stroke_mm: Decimal | None,
    event_day: date | None,
) -> list[BuildDetail]:
    given = {
        BuildDetail.Key.ROD_LENGTH: rod_length_mm,
        BuildDetail.Key.STROKE: stroke_mm,
        BuildDetail.Key.EVENT_DAY: event_day,
    }
    return [
        _detail(act, build, key, str(value), "")
        for key, value in given.items()
        if value is not None
    ]


def _detail(act: Act, build: Build, key: str, value: str, reason: str) -> BuildDetail:
    return BuildDetail.objects.create(
        build=build,
        key=key,
        value=_checked(key, value, reason),
        reason=optional_text(reason, "reason", 400),
        **act.stamp,
    )


def _checked(key: str, value: str, reason: str) -> str:
    if key in (BuildDetail.Key.ROD_LENGTH, BuildDetail.Key.STROKE):
        return _length(key, value)
    if key == BuildDetail.Key.EVENT_DAY:
        return _day(key, value)
    one_of(value, "value", ["yes", "no"])
    if value == "no":
        text(reason, "reason", 400)
    return value


def _length(key: str, value: str) -> str:
    try:
        length = Decimal(value)
    except ArithmeticError as error:
        raise _bad(key, "a length in mm", value) from error
    return format(figure(length, key, least=1, most=2000, places=4, unit="mm"), "f")


def _day(key: str, value: str) -> str:
    try:
        return date.fromisoformat(value).isoformat()
    except ValueError as error:
        raise _bad(key, "a day such as 2026-03-06", value) from error


def _bad(field: str, expected: str, got: str) -> BadValue:
    return BadValue(
        Code.BAD_VALUE,
        f"expected {expected}, got {got!r}",
        field=field,
        expected=expected,
        got=got,
    )
