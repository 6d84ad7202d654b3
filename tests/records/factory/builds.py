"""Part specs, parts, builds, and which part stands where."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.db import models

from records import ledger
from records.domain.balance.layout import named
from records.models import (
    BalanceRule,
    Build,
    BuildCylinder,
    BuildDetail,
    BuildFixture,
    Checklist,
    Customer,
    Fitment,
    FitmentEnd,
    IntakeNote,
    Part,
    PartSpec,
    RodFixture,
    ToleranceClass,
    Zone,
)
from tests.records.factory.shop import START, a_person, a_shop, entered, grams, stamp

METALS = {"piston": ("aluminium", "2.70"), "rod": ("steel", "7.85")}


def a_spec(kind: str = "piston", *, number: str | None = None, version: int = 1) -> PartSpec:
    """Return a new spec of a kind, with an allowed, a limited and a forbidden zone."""
    metal, density = METALS.get(kind, ("steel", "7.85"))
    spec = PartSpec(
        number=number or f"SP-{kind.replace(' ', '-')}",
        version=version,
        kind=kind,
        name=f"a {kind}",
        metal=metal,
        density_g_cm3=grams(density),
        **stamp(),
    )
    zones = [
        Zone(spec=spec, key=key, name=key, rule=rule, methods=["die grinder"], why=why, **numbers)
        for key, rule, why, numbers in (
            ("skirt", "allowed", "plain metal", _limit("4.0", "0.5")),
            ("boss", "limited", "never so that it weakens", _limit("1.0", "0.2")),
            ("crown", "forbidden", "burns or collapses", {}),
        )
    ]
    entered(spec, *zones)
    return spec


def _limit(limit_g: str, step_g: str) -> dict[str, Decimal]:
    return {"limit_g": grams(limit_g), "step_g": grams(step_g)}


def a_part(number: str, *, spec: PartSpec | None = None, serial: str = "") -> Part:
    """Return a new part, of a spec of pistons unless one is given."""
    if spec is None:
        spec = PartSpec.objects.filter(kind="piston").first() or a_spec("piston")
    part = Part(number=number, spec=spec, serial=serial, **stamp())
    entered(part, stream=ledger.part_stream(number))
    return part


def a_build(
    number: str = "26-001",
    *,
    use: str = "street",
    layout: str = "v8-90",
    customer: Customer | None = None,
    **details: str,
) -> Build:
    """Return a new build under the newest rules; `details` such as rod_length_mm="152.4"."""
    settings = a_shop()
    promised = ToleranceClass.objects.get(name=use, version=1)
    build = Build(
        number=number,
        customer=customer,
        engine=f"engine of {number}",
        layout=layout,
        use=use,
        balance="neutral",
        set_g=promised.set_g,
        big_end_g=promised.big_end_g,
        whole_rod_g=promised.whole_rod_g,
        guard_r=promised.guard_r,
        settings=settings,
        tolerance_class=promised,
        balance_rule=BalanceRule.objects.get(version=1),
        checklist=Checklist.objects.get(version=1),
        **stamp(),
    )
    rows = [build, *_cylinders(build)]
    rows += [
        BuildDetail(build=build, key=key, value=value, **stamp()) for key, value in details.items()
    ]
    entered(*rows, stream=ledger.build_stream(number))
    return build


def _cylinders(build: Build) -> list[models.Model]:
    return [
        BuildCylinder(
            build=build,
            place=cylinder.place,
            throw_deg=grams(str(cylinder.throw_deg)),
            bank_deg=grams(str(cylinder.bank_deg)),
            z_mm=grams(str(cylinder.z_mm)),
            pin=cylinder.pin,
        )
        for cylinder in named(build.layout)
    ]


def a_detail(build: Build, key: str, value: str, *, reason: str = "") -> BuildDetail:
    """Return a new detail of a build."""
    detail = BuildDetail(build=build, key=key, value=value, reason=reason, **stamp())
    entered(detail, stream=ledger.build_stream(build.number))
    return detail


def hung_in(build: Build, fixture: RodFixture) -> BuildFixture:
    """Return the row that says in which fixture a build's rods hang."""
    row = BuildFixture(build=build, fixture=fixture, **stamp())
    entered(row, stream=ledger.build_stream(build.number))
    return row


def noted(
    build: Build, part: Part, *, heat: str = "none", earlier_cuts: bool = False
) -> IntakeNote:
    """Return a new note of a part's condition at intake."""
    note = IntakeNote(part=part, build=build, heat=heat, earlier_cuts=earlier_cuts, **stamp())
    entered(note, stream=ledger.build_stream(build.number))
    return note


def fitted(build: Build, part: Part, place: int | None = None, *, at: datetime = START) -> Fitment:
    """Return a new fitment of a part."""
    fitment = Fitment(
        build=build, part=part, place=place, fitted_at=at, operator=a_person("P-01"), **stamp(at)
    )
    entered(fitment, stream=ledger.build_stream(build.number), at=at)
    return fitment


def taken_out(fitment: Fitment, *, at: datetime = START, reason: str = "another pin") -> FitmentEnd:
    """Return a new end of a fitment."""
    end = FitmentEnd(
        fitment=fitment, ended_at=at, operator=a_person("P-01"), reason=reason, **stamp(at)
    )
    entered(end, stream=ledger.build_stream(fitment.build_id), at=at)
    return end
