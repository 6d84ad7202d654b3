"""The zone table and default numbers; common practice, no source: the shop's own list."""

from decimal import Decimal

import pytest

from records.domain.errors import BadValue
from records.domain.practice.default_zones import METHODS, DefaultZone, default_zones
from records.domain.practice.kinds import KINDS

EVERY = [(kind.key, zone) for kind in KINDS for zone in default_zones(kind.key)]


def zone(kind: str, key: str, length: str | None = None) -> DefaultZone:
    zones = default_zones(kind, None if length is None else Decimal(length))
    return next(zone for zone in zones if zone.key == key)


@pytest.mark.parametrize(
    ("kind", "key", "limit_g", "step_g", "spread"),
    [
        ("piston", "skirt-inside-edge", "4.0", "0.5", "all round"),
        ("piston", "pin-boss", "1.0", "0.2", "any"),
        ("pin", "bore-taper", "1.0", "0.2", "any"),
        ("rod", "rod-sides", "6.0", "2.0", "both sides"),
        ("rod", "cap-pad", "6.0", "2.0", "any"),
        ("rod", "small-end-eye", "3.0", "0.5", "all round"),
        ("rod", "small-end-pad", "4.0", "1.0", "any"),
    ],
)
def test_the_default_numbers(kind: str, key: str, limit_g: str, step_g: str, spread: str) -> None:
    got = zone(kind, key)
    assert (got.limit_g, got.step_g, got.spread) == (Decimal(limit_g), Decimal(step_g), spread)


def test_all_else_has_no_number() -> None:
    numbered = {key for _, z in EVERY if z.limit_g is not None for key in [z.key]}
    assert numbered == {
        "skirt-inside-edge",
        "pin-boss",
        "bore-taper",
        "rod-sides",
        "cap-pad",
        "small-end-eye",
        "small-end-pad",
    }


def test_a_pin_gives_nothing_without_its_makers_leave() -> None:
    assert not [z for z in default_zones("pin") if z.rule == "allowed"]
    assert zone("pin", "bore-taper").maker_leave


def test_a_forbidden_zone_says_why_and_takes_no_method() -> None:
    forbidden = [z for _, z in EVERY if z.rule == "forbidden"]
    assert len(forbidden) > len(KINDS)
    assert [z for z in forbidden if z.methods or not z.why or z.limit_g] == []


def test_a_zone_that_may_be_cut_has_a_known_method() -> None:
    cuttable = [z for _, z in EVERY if z.rule != "forbidden"]
    assert [z for z in cuttable if not z.methods or not set(z.methods) <= set(METHODS)] == []


def test_every_kind_has_zones_and_no_key_twice() -> None:
    for kind in KINDS:
        keys = [z.key for z in default_zones(kind.key)]
        assert keys
        assert len(keys) == len(set(keys))
        assert all(len(key) <= 40 for key in keys)


def test_a_rods_pads_lie_past_their_centres() -> None:
    # L = 152.4, pads at -18 and 190.4: a usual rod (checks/balance.md, two-point split)
    assert zone("rod", "small-end-pad", "152.4").x_mm == Decimal(-18)
    assert zone("rod", "small-end-eye", "152.4").x_mm == 0
    assert zone("rod", "rod-sides", "152.4").x_mm == Decimal("152.4")
    assert zone("rod", "cap-pad", "152.4").x_mm == Decimal("190.4")


def test_without_a_length_no_place_is_made_up() -> None:
    assert {z.x_mm for z in default_zones("rod")} == {None}


def test_it_refuses_an_unknown_kind() -> None:
    with pytest.raises(BadValue):
        default_zones("gearbox")
