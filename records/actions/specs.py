"""Part specs and their zone maps, in versions."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from django.db import models

from records import ledger
from records.actions.clock import SYSTEM, Clock
from records.actions.deed import Act, deed
from records.actions.lookup import text
from records.domain.errors import BadValue, Code
from records.domain.practice.default_zones import DefaultZone
from records.domain.practice.kinds import kind_named
from records.models import PartSpec, Zone

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

    What was judged under an older version stays as it was. Errors: BadValue at the field.
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
    if metal not in PartSpec.Metal.values:
        raise BadValue(
            Code.BAD_VALUE,
            f"expected one of {', '.join(PartSpec.Metal.values)}, got {metal!r}",
            field="metal",
            expected=", ".join(PartSpec.Metal.values),
            got=metal,
        )
    last = PartSpec.objects.filter(number=number).order_by("-version").first()
    spec = PartSpec.objects.create(
        number=text(number, "number", 40),
        version=last.version + 1 if last else 1,
        kind=kind_named(kind).key,
        name=text(name, "name", 200),
        metal=metal,
        density_g_cm3=density_g_cm3,
        **act.stamp,
    )
    return spec, [spec, *(_zone(spec, zone) for zone in zones)]


def _zone(spec: PartSpec, zone: DefaultZone) -> Zone:
    return Zone.objects.create(
        spec=spec,
        key=zone.key,
        name=zone.name,
        rule=zone.rule,
        methods=list(zone.methods),
        limit_g=zone.limit_g,
        step_g=zone.step_g,
        spread=zone.spread,
        x_mm=zone.x_mm,
        maker_leave=zone.maker_leave,
        why=zone.why,
    )
