"""Parts: which stand in a build, finding one by its serial, what may still come off."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from records.domain.errors import NotFound
from records.queries.part_history import part_history
from records.queries.parts import find_parts, part_page, parts_of, zones_of
from tests.records import factory
from tests.records.factory import START
from tests.records.queries.people_of_the_shop import INES, NILS, ORLA

pytestmark = pytest.mark.django_db


def _at(minutes: int) -> object:
    return START + timedelta(minutes=minutes)


def test_parts_of_a_build_are_those_that_stand_in_it_now() -> None:
    build = factory.a_build()
    gone, second, first = (factory.a_part(number) for number in ("PA01", "PA02", "PA03"))
    locks = factory.a_part("LA01", spec=factory.a_spec("pin locks"))
    factory.taken_out(factory.fitted(build, gone, 1))
    factory.fitted(build, second, 2)
    factory.fitted(build, first, 1)
    factory.fitted(build, locks)
    fitted = parts_of("26-001", INES)
    assert [(row.part.kind, row.place, row.part.number) for row in fitted] == [
        ("pin locks", None, "LA01"),
        ("piston", 1, "PA03"),
        ("piston", 2, "PA02"),
    ]


def test_a_part_is_found_by_a_piece_of_its_serial_whatever_the_case() -> None:
    spec = factory.a_spec("rod")
    factory.a_part("PA01", spec=spec, serial="XR-7781-B")
    factory.a_part("PA02", spec=spec, serial="XR-9000")
    assert [row.number for row in find_parts(" 781-b", INES)] == ["PA01"]
    assert [row.number for row in find_parts("pa0", INES)] == ["PA01", "PA02"]
    assert find_parts("nothing like it", INES) == ()
    assert find_parts("  ", INES) == ()


@pytest.mark.parametrize("wild", ["%", "_"])
def test_a_wild_card_of_the_database_is_a_plain_letter(wild: str) -> None:
    factory.a_part("PA01", serial="X1")
    assert find_parts(wild, INES) == ()


def test_a_part_knows_its_builds_and_where_it_stands() -> None:
    old, new = factory.a_build("25-001"), factory.a_build("26-001")
    part = factory.a_part("PA01", serial="X1")
    factory.taken_out(factory.fitted(old, part, 3))
    factory.fitted(new, part, 1, at=START + timedelta(days=1))
    (row,) = find_parts("X1", INES)
    assert (row.builds, row.now_in) == (("25-001", "26-001"), "26-001")


def test_a_zone_says_what_was_taken_and_what_is_left() -> None:
    build, part = factory.a_build(), factory.a_part("PA01")
    factory.fitted(build, part, 1)
    before = factory.weighed(part, "446.8", build=build)
    factory.cut(before, factory.weighed(part, "445.6", build=build, at=START + timedelta(hours=1)))
    zones = {left.zone.key: (left.taken_g, left.remaining_g) for left in zones_of("PA01", INES)}
    assert zones == {
        "skirt": (Decimal("1.2"), Decimal("2.8")),
        "boss": (Decimal(0), Decimal("1.0")),
        "crown": (Decimal(0), Decimal(0)),
    }
    page = part_page("PA01", INES)
    assert page.row.now_in == "26-001"
    assert {left.zone.key for left in page.zones} == set(zones)


def test_what_may_come_off_a_part_with_earlier_cuts_is_unknown_until_ruled() -> None:
    build, part = factory.a_build(), factory.a_part("PA01")
    factory.fitted(build, part, 1)
    factory.noted(build, part, earlier_cuts=True)
    factory.a_ruling(part, "boss", "0.4")
    left = {each.zone.key: each.remaining_g for each in zones_of("PA01", INES)}
    assert (left["skirt"], left["boss"]) == (None, Decimal("0.4"))


def test_a_life_is_told_in_the_order_of_time() -> None:
    build, part = factory.a_build(), factory.a_part("PA01")
    factory.noted(build, part, heat="straw", earlier_cuts=True)
    factory.fitted(build, part, 1, at=START + timedelta(minutes=1))
    before = factory.weighed(part, "446.8", "446.7", build=build, at=START + timedelta(minutes=2))
    after = factory.weighed(part, "446.3", build=build, at=START + timedelta(minutes=9))
    factory.cut(before, after, at=START + timedelta(minutes=5), heat="straw")
    lines = part_history("PA01", INES)
    assert [(line.sentence, line.by) for line in lines] == [
        ("came in: heat colour straw, no cracks seen, earlier cuts", "P-04"),
        ("fitted at place 1", "P-01"),
        ("weighed whole, on S-02: 446.8 g, 446.7 g", "P-01"),
        (
            "cut at skirt by die grinder, both sides: 0.45 g off (U 0.15 g), heat colour straw",
            "P-02",
        ),
        ("weighed whole, on S-02: 446.3 g", "P-01"),
    ]
    assert [line.at for line in lines] == [_at(minutes) for minutes in (0, 1, 2, 5, 9)]
    assert {line.build for line in lines} == {"26-001"}


def test_a_correction_shows_in_the_life_with_what_it_corrected() -> None:
    build, part = factory.a_build(), factory.a_part("PA01")
    factory.fitted(build, part, 1)
    wrong = factory.weighed(part, "464.8", build=build, at=START + timedelta(minutes=1))
    factory.corrected(wrong, reason="digits swapped")
    factory.cut_taken_back(factory.cut(factory.weighed(part, "446.8", build=build), None))
    lines = {line.sentence: line for line in part_history("PA01", INES)}
    assert not lines["weighed whole, on S-02: 464.8 g"].stands
    assert "weighing of 464.8" in "".join(lines) and "digits swapped" in "".join(lines)
    assert not lines["cut at skirt by die grinder, both sides: not weighed again yet"].stands
    assert "cut taken back: never made" in lines


def test_a_set_findings_and_decisions_are_part_of_the_life() -> None:
    build, part = factory.a_build(), factory.a_part("PA01")
    factory.fitted(build, part, 1)
    factory.weighed(None, "701.0", build=build, what="set", place=1, members=[part])
    factory.decided(factory.a_finding(build, part=part))
    told = [line.sentence for line in part_history("PA01", INES)]
    assert "set of place 1 weighed together, on S-02: 701.0 g" in told
    assert "finding: cut in the crown" in told
    assert "finding decided, concession: seen, and shallow" in told


def test_a_customer_sees_of_a_part_what_was_done_in_their_builds() -> None:
    theirs = factory.a_build("26-001", customer=factory.a_customer("C-01"))
    others = factory.a_build("25-001", customer=factory.a_customer("C-02", name="Nils"))
    part, foreign = factory.a_part("PA01", serial="X1"), factory.a_part("PA02", serial="X2")
    factory.taken_out(factory.fitted(others, part, 1))
    factory.fitted(theirs, part, 1)
    factory.fitted(others, foreign, 2)
    factory.weighed(part, "446.8", build=others)
    factory.weighed(part, "446.7", build=theirs)
    told = [line.sentence for line in part_history("PA01", ORLA)]
    assert told == ["fitted at place 1", "weighed whole, on S-02: 446.7 g"]
    (row,) = find_parts("X", ORLA)
    assert (row.number, row.builds) == ("PA01", ("26-001",))
    assert len(find_parts("X", NILS)) == 2


def test_a_foreign_part_is_not_found() -> None:
    factory.fitted(
        factory.a_build("26-001", customer=factory.a_customer("C-01")), factory.a_part("PA01")
    )
    factory.a_part("PA02")
    for viewer, number in ((NILS, "PA01"), (ORLA, "PA02"), (INES, "PA03")):
        for ask in (part_history, part_page, zones_of):
            with pytest.raises(NotFound):
                ask(number, viewer)
    for viewer, build in ((NILS, "26-001"), (INES, "26-404")):
        with pytest.raises(NotFound):
            parts_of(build, viewer)
