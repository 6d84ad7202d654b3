"""The shop's own rules: opened once, changed as new versions."""

from __future__ import annotations

from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db import models, transaction

from records import ledger
from records.actions.clock import SYSTEM, Clock
from records.actions.deed import Act, deed
from records.actions.lookup import text
from records.domain.errors import BadValue, Code, Conflict
from records.domain.practice import default_rules
from records.domain.practice.checklist import QUESTIONS
from records.models import (
    BalanceRule,
    Checklist,
    ChecklistQuestion,
    Person,
    PersonContact,
    RodFixture,
    RoleGrant,
    ShopSettings,
    ToleranceClass,
)

FIRST_FIXTURE = "F-1"


def open_shop(
    *,
    name: str,
    first_person: str,
    first_name: str,
    place: str = "",
    timezone: str = "UTC",
    demo: bool = False,
    self_release_street: bool = False,
    clock: Clock = SYSTEM,
) -> ShopSettings:
    """Open the shop with its first manager and the default rules.

    Errors: Conflict when it is open already, BadValue for an unknown time zone.
    """
    _check_timezone(timezone)
    with transaction.atomic():
        ledger.lock([ledger.SHOP_STREAM, ledger.person_stream(first_person)])
        if ShopSettings.objects.exists():
            raise Conflict(Code.ALREADY_THERE, "expected a shop not yet opened, got an open one")
        act = _first_act(text(first_person, "first_person", 20), clock)
        PersonContact.objects.create(person=act.person, name=text(first_name, "first_name", 200))
        grant = RoleGrant.objects.create(person=act.person, role="manager", **act.stamp)
        act.enter(ledger.person_stream(act.person.number), "person booked", [act.person, grant])
        settings = ShopSettings.objects.create(
            version=1,
            name=text(name, "name", 200),
            place=place.strip(),
            timezone=timezone,
            demo=demo,
            self_release_street=self_release_street,
            **act.stamp,
        )
        act.enter(ledger.SHOP_STREAM, "shop opened", [settings, *_first_rules(act)])
        return settings


def change_settings(
    *,
    by: str,
    name: str,
    place: str,
    timezone: str,
    self_release_street: bool,
    clock: Clock = SYSTEM,
) -> ShopSettings:
    """Record a new version of the shop's settings; whether it is a demo never changes."""
    _check_timezone(timezone)
    with deed(by=by, name="set rules", streams=[ledger.SHOP_STREAM], clock=clock) as act:
        last = ShopSettings.objects.latest("version")
        row = ShopSettings.objects.create(
            version=last.version + 1,
            name=text(name, "name", 200),
            place=place.strip(),
            timezone=timezone,
            demo=last.demo,
            self_release_street=self_release_street,
            **act.stamp,
        )
        act.enter(ledger.SHOP_STREAM, "settings changed", [row])
        return row


def set_tolerance_class(
    *,
    by: str,
    name: str,
    set_g: Decimal,
    big_end_g: Decimal,
    whole_rod_g: Decimal,
    guard_r: Decimal,
    readings: int,
    hangings: int,
    clock: Clock = SYSTEM,
) -> ToleranceClass:
    """Record a new version of a tolerance class; builds opened before keep theirs."""
    for field, value in (("set_g", set_g), ("big_end_g", big_end_g), ("whole_rod_g", whole_rod_g)):
        _above_zero(field, value)
    with deed(by=by, name="set rules", streams=[ledger.SHOP_STREAM], clock=clock) as act:
        last = ToleranceClass.objects.filter(name=name).order_by("-version").first()
        row = ToleranceClass.objects.create(
            name=text(name, "name", 40),
            version=last.version + 1 if last else 1,
            set_g=set_g,
            big_end_g=big_end_g,
            whole_rod_g=whole_rod_g,
            guard_r=guard_r,
            readings=readings,
            hangings=hangings,
            **act.stamp,
        )
        act.enter(ledger.SHOP_STREAM, "tolerance class set", [row])
        return row


def set_fixture(
    *, by: str, number: str, big_mm: Decimal, small_mm: Decimal, clock: Clock = SYSTEM
) -> RodFixture:
    """Record a new version of a rod fixture's contact uncertainty (mm, standard, per hanging)."""
    _above_zero("big_mm", big_mm)
    _above_zero("small_mm", small_mm)
    with deed(by=by, name="set rules", streams=[ledger.SHOP_STREAM], clock=clock) as act:
        last = RodFixture.objects.filter(number=number).order_by("-version").first()
        row = RodFixture.objects.create(
            number=text(number, "number", 20),
            version=last.version + 1 if last else 1,
            big_mm=big_mm,
            small_mm=small_mm,
            **act.stamp,
        )
        act.enter(ledger.SHOP_STREAM, "rod fixture set", [row])
        return row


def _first_act(number: str, clock: Clock) -> Act:
    at = clock.now()
    person = Person.objects.create(number=number, recorded_at=at)
    return Act(person, frozenset({"manager"}), at, clock.is_set)


def _first_rules(act: Act) -> list[models.Model]:
    classes = [
        ToleranceClass.objects.create(
            name=default.name,
            version=1,
            set_g=default.set_g,
            big_end_g=default.big_end_g,
            whole_rod_g=default.whole_rod_g,
            guard_r=default.guard_r,
            readings=default.readings,
            hangings=default.hangings,
            **act.stamp,
        )
        for default in default_rules.TOLERANCES
    ]
    balance = BalanceRule.objects.create(
        version=1,
        oil_g=default_rules.OIL_G,
        fraction=default_rules.FRACTION,
        range_g=default_rules.BOB_RANGE_G,
        **act.stamp,
    )
    fixture = RodFixture.objects.create(
        number=FIRST_FIXTURE,
        version=1,
        big_mm=default_rules.CONTACT_MM,
        small_mm=default_rules.CONTACT_MM,
        **act.stamp,
    )
    return [*classes, balance, fixture, *_first_checklist(act)]


def _first_checklist(act: Act) -> list[models.Model]:
    checklist = Checklist.objects.create(version=1, **act.stamp)
    questions = [
        ChecklistQuestion.objects.create(
            checklist=checklist, key=question.key, text=question.text, order=order, **act.stamp
        )
        for order, question in enumerate(QUESTIONS, start=1)
    ]
    return [checklist, *questions]


def _check_timezone(name: str) -> None:
    try:
        ZoneInfo(name)
    except (OSError, ValueError) as error:
        raise BadValue(
            Code.BAD_VALUE,
            f"expected a time zone such as Europe/Zurich, got {name!r}",
            field="timezone",
            expected="the name of a time zone",
            got=name,
        ) from error


def _above_zero(field: str, value: Decimal) -> None:
    if not value.is_finite() or value <= 0:
        raise BadValue(
            Code.OUT_OF_RANGE,
            f"expected more than 0, got {value}",
            field=field,
            expected="more than 0",
            got=str(value),
        )
