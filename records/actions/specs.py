"""Part specs and their zone maps, in versions."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from django.db import models

from records import ledger
from records.actions.clock import SYSTEM, Clock
from records.actions.deed import Act, deed
from records.actions.figure import figure
from records.actions.lookup import new_number, one_of, text
from records.domain.errors import BadValue, Code, Conflict
from records.domain.practice.default_zones import DefaultZone
from records.domain.practice.kinds import kind_named
from records.models import PartSpec, Zone

KEY = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")

__all__ = ["DefaultZone", "set_part_spec", "written_spec"]


def set_part_spec(
    *,
    by: str,
    number: str,
    kind: str,
    name: str,
    metal: str,
    density_g_cm3: Decimal,
    zones: Sequence[DefaultZone],
    clock: Clock = SYSTEM,
) -> PartSpec:
    """Record a part spec, or a new version of it, with its zones.

    What was judged under an older version stays as it was. Errors: BadValue at the field, Conflict
    for the spec of another kind.
    """
    with deed(by=by, name="set rules", streams=[ledger.SHOP_STREAM], clock=clock) as act:
        spec, rows = written_spec(
            act,
            number=number,
            kind=kind,
            name=name,
            metal=metal,
            density_g_cm3=density_g_cm3,
            zones=zones,
        )
        act.enter(ledger.SHOP_STREAM, "part spec set", rows)
        return spec


def written_spec(
    act: Act,
    *,
    number: str,
    kind: str,
    name: str,
    metal: str,
    density_g_cm3: Decimal,
    zones: Sequence[DefaultZone],
) -> tuple[PartSpec, list[models.Model]]:
    """Write a spec's next version with its zones; the caller enters the rows it returns."""
    new_number(number, "number", 40)
    one_of(metal, "metal", PartSpec.Metal.values)
    figure(density_g_cm3, "density_g_cm3", above=0, most=30, places=4, unit="g/cm³")
    _check_zones(zones)
    key = kind_named(kind).key
    last = PartSpec.objects.filter(number=number).order_by("-version").first()
    if last and last.kind != key:
        raise Conflict(
            Code.CONFLICT,
            f"{number} is the spec of a {last.kind}; give that of a {key} another number",
            field="kind",
        )
    spec = PartSpec.objects.create(
        number=number,
        version=last.version + 1 if last else 1,
        kind=key,
        name=text(name, "name", 200),
        metal=metal,
        density_g_cm3=density_g_cm3,
        **act.stamp,
    )
    return spec, [spec, *(_zone(spec, zone) for zone in zones)]


def _check_zones(zones: Sequence[DefaultZone]) -> None:
    keys = [zone.key for zone in zones]
    for index, zone in enumerate(zones):
        field = f"zones/{index}"
        if not KEY.fullmatch(zone.key) or keys.index(zone.key) < index:
            raise BadValue(
                Code.BAD_VALUE,
                f"expected a key of its own, small letters, digits and hyphens, got {zone.key!r}",
                field=f"{field}/key",
                expected="small letters, digits and hyphens, once",
                got=zone.key[:40],
            )
        one_of(zone.rule, f"{field}/rule", Zone.Rule.values)
        one_of(zone.spread, f"{field}/spread", Zone.Spread.values)
        if zone.limit_g is not None:
            figure(zone.limit_g, f"{field}/limit_g", least=0)
        if zone.step_g is not None:
            figure(zone.step_g, f"{field}/step_g", above=0)
        if zone.x_mm is not None:
            figure(zone.x_mm, f"{field}/x_mm", most=10_000, places=4, unit="mm")


def _zone(spec: PartSpec, zone: DefaultZone) -> Zone:
    return Zone.objects.create(
        spec=spec,
        key=zone.key,
        name=text(zone.name, "zones/name", 120),
        rule=zone.rule,
        methods=[text(method, "zones/methods", 40) for method in zone.methods],
        limit_g=zone.limit_g,
        step_g=zone.step_g,
        spread=zone.spread,
        x_mm=zone.x_mm,
        maker_leave=zone.maker_leave,
        why=text(zone.why, "zones/why", 400),
    )
