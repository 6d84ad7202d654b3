"""A part spec for each kind that came in with none of its own: the default zones, once."""

from __future__ import annotations

from decimal import Decimal

from records import ledger
from records.actions.deed import Act
from records.actions.specs import written_spec
from records.domain.practice.default_zones import default_zones
from records.domain.practice.kinds import DENSITIES, Kind
from records.models import BuildDetail, PartSpec


def rod_length_of(build: str) -> Decimal | None:
    """Return the rod length of a build as last noted (mm)."""
    key = BuildDetail.Key.ROD_LENGTH
    newest = BuildDetail.objects.filter(build=build, key=key).order_by("-pk").first()
    return Decimal(newest.value) if newest else None


def default_spec(act: Act, kind: Kind, rod_length_mm: Decimal | None) -> PartSpec:
    """Return the newest `default-<kind>`, written and entered when there is none.

    A rod's zones stand at places that follow from its length, so that each length has a spec of
    its own (`default-rod-152.4`). The shop's stream is locked last, as its name sorts last.
    """
    number = _number(kind, rod_length_mm)
    if there := _newest(number):
        return there
    ledger.lock([ledger.SHOP_STREAM])
    # another bench may have written it while this one waited
    if there := _newest(number):
        return there
    spec, rows = written_spec(
        act,
        number=number,
        kind=kind.key,
        name=f"{kind.key}, default zones",
        metal=kind.metal,
        density_g_cm3=DENSITIES[kind.metal],
        zones=default_zones(kind.key, rod_length_mm),
    )
    act.enter(ledger.SHOP_STREAM, "part spec set", rows)
    return spec


def _newest(number: str) -> PartSpec | None:
    return PartSpec.objects.filter(number=number).order_by("-version").first()


def _number(kind: Kind, rod_length_mm: Decimal | None) -> str:
    plain = f"default-{kind.key.replace(' ', '-')}"
    if kind.key != "rod" or rod_length_mm is None:
        return plain
    return f"{plain}-{rod_length_mm.normalize():f}"
