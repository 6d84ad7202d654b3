"""The shop's own rules: opened once, changed as new versions."""

from __future__ import annotations

from decimal import Decimal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.db import models, transaction

from records import ledger
from records.actions.clock import SYSTEM, Clock
from records.actions.deed import Act, deed, refuse_set_clock
from records.actions.figure import counted, figure
from records.actions.lookup import new_number, optional_text, text
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
MOST_TOLERANCE_G = 1000


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

    Errors: Conflict when it is open already, BadValue for an unknown time zone, NotAllowed for a
    set clock where it is no demo.
    """
    _check_timezone(timezone)
    new_number(first_person, "first_person", 20)
    if clock.is_set and not demo:
        refuse_set_clock()
    with transaction.atomic():
        ledger.lock([ledger.SHOP_STREAM, ledger.person_stream(first_person)])
        if ShopSettings.objects.exists():
            raise Conflict(Code.ALREADY_THERE, "expected a shop not yet opened, got an open one")
        act = _first_act(first_person, clock)
        PersonContact.objects.create(person=act.person, name=text(first_name, "first_name", 200))
        grant = RoleGrant.objects.create(person=act.person, role="manager", **act.stamp)
        act.enter(ledger.person_stream(act.person.number), "person booked", [act.person, grant])
        settings = ShopSettings.objects.create(
            version=1,
            name=text(name, "name", 200),
            place=optional_text(place, "place", 200),
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
            place=optional_text(place, "place", 200),
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
    new_number(name, "name", 40)
    for field, value in (("set_g", set_g), ("big_end_g", big_end_g), ("whole_rod_g", whole_rod_g)):
        figure(value, field, above=0, most=MOST_TOLERANCE_G)
    figure(guard_r, "guard_r", least=0, most=10, places=3, unit="")
    counted(readings, "readings", most=99)
    counted(hangings, "hangings", most=99)
    with deed(by=by, name="set rules", streams=[ledger.SHOP_STREAM], clock=clock) as act:
        last = ToleranceClass.objects.filter(name=name).order_by("-version").first()
        row = ToleranceClass.objects.create(
            name=name,
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


def set_balance_rule(
    *, by: str, oil_g: Decimal, fraction: Decimal, range_g: Decimal, clock: Clock = SYSTEM
) -> BalanceRule:
    """Record a new version of oil per pin (g), fraction, and range of made-up weights (g)."""
    figure(oil_g, "oil_g", least=0, most=MOST_TOLERANCE_G)
    figure(fraction, "fraction", least=0, most=1, places=4, unit="")
    figure(range_g, "range_g", above=0, most=MOST_TOLERANCE_G)
    with deed(by=by, name="set rules", streams=[ledger.SHOP_STREAM], clock=clock) as act:
        row = BalanceRule.objects.create(
            version=BalanceRule.objects.latest("version").version + 1,
            oil_g=oil_g,
            fraction=fraction,
            range_g=range_g,
            **act.stamp,
        )
        act.enter(ledger.SHOP_STREAM, "balance rule set", [row])
        return row


def set_fixture(
    *, by: str, number: str, big_mm: Decimal, small_mm: Decimal, clock: Clock = SYSTEM
) -> RodFixture:
    """Record a new version of a rod fixture's contact uncertainty (mm, standard, per hanging)."""
    new_number(number, "number", 20)
    figure(big_mm, "big_mm", above=0, most=10, places=4, unit="mm")
    figure(small_mm, "small_mm", above=0, most=10, places=4, unit="mm")
    with deed(by=by, name="set rules", streams=[ledger.SHOP_STREAM], clock=clock) as act:
        last = RodFixture.objects.filter(number=number).order_by("-version").first()
        row = RodFixture.objects.create(
            number=number,
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
    except (OSError, ValueError, ZoneInfoNotFoundError) as error:
        raise BadValue(
            Code.BAD_VALUE,
            f"expected a time zone such as Europe/Zurich, got {name!r}",
            field="timezone",
            expected="the name of a time zone",
            got=name,
        ) from error
