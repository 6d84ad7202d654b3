"""Kinds of part and their names on bench sheets; common practice, no source."""

import pytest

from records.domain.errors import BadValue
from records.domain.practice.kinds import (
    BOB_WEIGHT_KINDS,
    DENSITIES,
    KINDS,
    METALS,
    SET_KINDS,
    check_place,
    kind_named,
)


def test_the_kinds_of_the_sheet_are_known() -> None:
    # the words of the part column of tests/data/sheet_v8.csv
    words = ("piston", "pin", "pin locks", "ring set", "rod", "bearing shells")
    assert [kind_named(word).key for word in words] == list(words)


@pytest.mark.parametrize(
    ("said", "kind"),
    [
        ("Wrist-Pin", "pin"),
        ("GUDGEON PIN", "pin"),
        ("circlips", "pin locks"),
        ("rings", "ring set"),
        ("connecting_rod", "rod"),
        ("  shells ", "bearing shells"),
        ("crank", "crankshaft"),
        ("pressure plate", "clutch cover"),
    ],
)
def test_it_knows_the_names_that_sheets_use(said: str, kind: str) -> None:
    assert kind_named(said).key == kind


def test_it_refuses_an_unknown_kind_and_names_those_there_are() -> None:
    with pytest.raises(BadValue, match="expected one of piston") as refused:
        kind_named("gearbox", field="part")
    assert refused.value.field == "part"
    assert refused.value.got == "gearbox"


def test_no_name_means_two_kinds() -> None:
    names = [name for kind in KINDS for name in (kind.key, *kind.aliases)]
    assert len(names) == len(set(names))


def test_a_set_is_piston_pin_locks_and_rings() -> None:
    assert SET_KINDS == ("piston", "pin", "pin locks", "ring set")  # job.md, match pistons


def test_rod_and_shells_are_on_the_card_too() -> None:
    assert set(BOB_WEIGHT_KINDS) == {*SET_KINDS, "rod", "bearing shells"}


def test_every_default_metal_is_one_and_has_a_density() -> None:
    assert {kind.metal for kind in KINDS} <= set(METALS)
    assert set(DENSITIES) == set(METALS) - {"other"}


def test_a_crank_has_no_place() -> None:
    check_place(kind_named("crankshaft"), None, (1, 2))
    with pytest.raises(BadValue, match="no place for a crankshaft"):
        check_place(kind_named("crankshaft"), 1, (1, 2))


def test_one_lock_may_stand_for_every_place_but_one_piston_may_not() -> None:
    check_place(kind_named("pin locks"), None, (1, 2))
    with pytest.raises(BadValue, match="each place has its own"):
        check_place(kind_named("piston"), None, (1, 2))


def test_it_refuses_a_place_that_the_engine_has_not() -> None:
    check_place(kind_named("rod"), 2, (1, 2))
    with pytest.raises(BadValue, match="a place from 1 to 2; got 3"):
        check_place(kind_named("rod"), 3, (1, 2))
