"""The frame of every deed: who may, by which clock, and that it is entered."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import pytest

from records.actions.builds import note_detail
from records.actions.cards import issue_card
from records.actions.checklist import answer_question
from records.actions.clock import SYSTEM, SetClock
from records.actions.findings import dispose
from records.actions.matching import accept_match
from records.actions.parts import (
    Condition,
    book_part,
    fit_part,
    note_intake,
    rate_damper,
    rule_allowance,
    take_out_part,
)
from records.actions.people import (
    book_customer,
    book_person,
    end_person,
    end_role,
    grant_role,
)
from records.actions.reading import ReadingGiven
from records.actions.releases import release_build
from records.actions.removals import (
    Cut,
    close_removal,
    note_pass,
    open_removal,
    record_late_removal,
)
from records.actions.scale_checks import Load, record_scale_check
from records.actions.scales import Step, book_check_weight, book_scale
from records.actions.shop import (
    change_settings,
    set_balance_rule,
    set_fixture,
    set_tolerance_class,
)
from records.actions.weighings import WeighingGiven, correct_weighing, record_weighing
from records.domain.errors import Code, NotAllowed
from records.models import Person
from tests.records.actions.bench import (
    BUILD,
    INES,
    MARTA,
    MONDAY,
    ORLA,
    RUTH,
    SCALE,
    VERA,
    Shop,
    last_entry,
    open_ferrow_lane,
)
from tests.records.actions.refusal import refused

Do = Callable[..., Any]
GRAM = Decimal(1)
READING = ReadingGiven("450.0")
CUT = Cut("K1", ["skirt-inside-edge"], "die grinder", "all round")
WEIGHED = WeighingGiven(what="whole", part="K1", readings=[READING], scale=SCALE)

BENCH: dict[str, Do] = {
    "weigh": lambda **d: record_weighing(build=BUILD, given=WEIGHED, **d),
    "correct a weighing anew": lambda **d: correct_weighing(
        build=BUILD, weighing=1, reason="wrong", given=WEIGHED, **d
    ),
    "open a cut": lambda **d: open_removal(build=BUILD, cut=CUT, **d),
    "note a pass": lambda **d: note_pass(build=BUILD, removal=1, reading=READING, **d),
    "close a cut": lambda **d: close_removal(build=BUILD, removal=1, heat="not too hot", **d),
    "record a cut late": lambda **d: record_late_removal(
        build=BUILD, cut=CUT, before=1, after=2, heat="not too hot", **d
    ),
    "match": lambda **d: accept_match(build=BUILD, aim="spread", **d),
    "fit": lambda **d: fit_part(part="K1", build=BUILD, place=1, **d),
    "take out": lambda **d: take_out_part(part="K1", build=BUILD, reason="worn", **d),
    "answer": lambda **d: answer_question(build=BUILD, question="clean", answer="yes", **d),
    "issue a card": lambda **d: issue_card(build=BUILD, **d),
}
BENCH_OR_OFFICE: dict[str, Do] = {
    "note a detail": lambda **d: note_detail(build=BUILD, key="stroke_mm", value="80", **d),
    "book a part": lambda **d: book_part(number="K9", spec="piston", build=BUILD, place=1, **d),
    "note the intake": lambda **d: note_intake(build=BUILD, kind="pin", condition=Condition(), **d),
    "rate a damper": lambda **d: rate_damper(
        part="D1", label="L-1", body="a body", spec="a spec", expires_on=MONDAY.date(), **d
    ),
    "book a customer": lambda **d: book_customer(number="K-09", name="Nils", **d),
    "check a scale": lambda **d: record_scale_check(
        scale=SCALE, loads=[Load(["W-500"], ReadingGiven("500.0"))], **d
    ),
}
INSPECTION: dict[str, Do] = {
    "verify": lambda **d: record_weighing(
        build=BUILD,
        given=WeighingGiven(
            what="whole", part="K1", readings=[READING], scale=SCALE, purpose="verification"
        ),
        **d,
    ),
    "dispose": lambda **d: dispose(build=BUILD, key="k", decision="rework", reason="r", **d),
    "rule": lambda **d: rule_allowance(part="K1", zone=1, remaining_g=GRAM, reason="r", **d),
    "release": lambda **d: release_build(build=BUILD, no_seals_reason="none asked", **d),
}
OFFICE: dict[str, Do] = {
    "book a person": lambda **d: book_person(number="P-09", name="Nils", roles=["viewer"], **d),
    "grant a role": lambda **d: grant_role(person=VERA, role="manager", **d),
    "end a role": lambda **d: end_role(person=VERA, role="viewer", reason="r", **d),
    "end a person": lambda **d: end_person(person=VERA, reason="r", **d),
    "book a scale": lambda **d: book_scale(
        number="S-09", capacity_g=GRAM, steps=[Step("g", Decimal("0.1"))], **d
    ),
    "book a weight": lambda **d: book_check_weight(
        number="W-9", nominal_g=Decimal(500), accuracy_class="M1", **d
    ),
    "change settings": lambda **d: change_settings(
        name="Another", place="", timezone="UTC", self_release_street=True, **d
    ),
    "set tolerances": lambda **d: set_tolerance_class(
        name="street",
        set_g=GRAM,
        big_end_g=GRAM,
        whole_rod_g=GRAM,
        guard_r=GRAM,
        readings=2,
        hangings=2,
        **d,
    ),
    "set a fixture": lambda **d: set_fixture(number="F-1", big_mm=GRAM, small_mm=GRAM, **d),
    "set the balance rule": lambda **d: set_balance_rule(
        oil_g=GRAM, fraction=GRAM, range_g=GRAM, **d
    ),
}
EVERY = BENCH | BENCH_OR_OFFICE | INSPECTION | OFFICE


def _refused_to(by: str, deeds: dict[str, Do], clock: SetClock) -> None:
    for name, do in deeds.items():
        try:
            with refused(NotAllowed, Code.NOT_ALLOWED):
                do(by=by, clock=clock)
        except AssertionError as error:
            raise AssertionError(f"{name}: {error}") from error


@pytest.mark.parametrize("by", [VERA, ORLA, "P-99", ""])
def test_a_viewer_a_customer_and_a_stranger_may_do_nothing(by: str, shop: Shop) -> None:
    _refused_to(by, EVERY, shop.clock)


def test_a_technician_neither_inspects_nor_manages(shop: Shop) -> None:
    _refused_to(INES, INSPECTION | OFFICE, shop.clock)


def test_an_inspector_neither_works_at_the_bench_nor_manages(shop: Shop) -> None:
    _refused_to(RUTH, BENCH | OFFICE, shop.clock)


def test_a_manager_neither_works_at_the_bench_nor_inspects(shop: Shop) -> None:
    _refused_to(MARTA, BENCH | INSPECTION, shop.clock)


def test_who_has_left_does_nothing_more(shop: Shop) -> None:
    end_person(by=MARTA, person=INES, reason="moved away", clock=shop.clock)
    _refused_to(INES, BENCH, shop.clock)


def test_who_lost_the_role_does_nothing_more(shop: Shop) -> None:
    end_role(by=MARTA, person=INES, role="technician", reason="moved on", clock=shop.clock)
    _refused_to(INES, BENCH, shop.clock)


def test_a_set_clock_is_marked_in_the_entry(people: Shop) -> None:
    people.clock.at = datetime(2026, 3, 4, 9, 30, tzinfo=UTC)
    book_customer(by=MARTA, number="K-09", name="Nils", clock=people.clock)
    entry = last_entry("shop").envelope
    assert entry.data["clock"] == "set"
    assert entry.recorded_at == "2026-03-04T09:30:00.000000Z"


def test_the_machines_clock_is_not_marked(people: Shop) -> None:
    book_customer(by=MARTA, number="K-09", name="Nils")
    assert "clock" not in last_entry("shop").envelope.data


def test_a_set_clock_is_refused_where_the_shop_is_no_demo() -> None:
    with refused(NotAllowed, Code.NOT_ALLOWED):
        open_ferrow_lane(SetClock(MONDAY), demo=False)
    assert not Person.objects.exists()


def test_a_shop_that_is_no_demo_works_by_the_machines_clock_alone() -> None:
    open_ferrow_lane(SYSTEM, demo=False)  # type: ignore[arg-type]
    with refused(NotAllowed, Code.NOT_ALLOWED):
        book_customer(by=MARTA, number="K-09", name="Nils", clock=SetClock(MONDAY))


def test_names_and_addresses_stay_out_of_the_ledger(people: Shop) -> None:
    book_customer(
        by=MARTA, number="K-09", name="Nils", email="nils@example.org", clock=people.clock
    )
    for stream in ("shop", f"person/{INES}"):
        raw = last_entry(stream).raw
        assert b"Nils" not in raw
        assert b"Ines" not in raw
        assert b"example.org" not in raw
