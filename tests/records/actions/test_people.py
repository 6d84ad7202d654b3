"""People and customers: by number on the record, their names apart from it."""

from __future__ import annotations

from typing import Any

import pytest

from records.actions.deed import roles_now
from records.actions.people import (
    book_customer,
    book_person,
    end_person,
    end_role,
    grant_role,
)
from records.domain.errors import BadValue, Code, Conflict
from records.models import CustomerContact, PersonContact, RoleGrant
from tests.records.actions.bench import INES, MARTA, ORLA, RUTH, Shop, last_entry, tables
from tests.records.actions.refusal import refused


def _book(shop: Shop, **more: Any) -> None:
    told: dict[str, Any] = {"number": "P-09", "name": "Nils", "roles": ["technician"]} | more
    book_person(by=MARTA, clock=shop.clock, **told)


def test_a_person_is_entered_in_a_stream_of_their_own(people: Shop) -> None:
    _book(people, roles=["technician", "inspector"])
    entry = last_entry("person/P-09")
    assert (entry.envelope.seq, entry.envelope.actor) == (1, MARTA)
    assert tables(entry) == ["person", "rolegrant", "rolegrant"]
    assert PersonContact.objects.get(person="P-09").name == "Nils"


def test_a_role_named_twice_is_given_once_and_so_ends_at_once(people: Shop) -> None:
    _book(people, roles=["technician", "technician"])
    assert RoleGrant.objects.filter(person="P-09").count() == 1
    end_role(by=MARTA, person="P-09", role="technician", reason="left", clock=people.clock)
    assert roles_now("P-09") == frozenset()


@pytest.mark.parametrize(
    ("changed", "code", "field"),
    [
        ({"number": ""}, Code.MISSING, "number"),
        ({"number": "P/9"}, Code.BAD_VALUE, "number"),
        ({"name": "\0"}, Code.BAD_VALUE, "name"),
        ({"name": "x" * 201}, Code.BAD_VALUE, "name"),
        ({"roles": ["owner"]}, Code.BAD_VALUE, "role"),
    ],
)
def test_what_does_not_fit_is_refused(
    changed: dict[str, Any], code: Code, field: str, people: Shop
) -> None:
    with refused(BadValue, code, field):
        _book(people, **changed)


def test_a_number_on_record_is_refused(people: Shop) -> None:
    with refused(Conflict, Code.ALREADY_THERE, "number"):
        _book(people, number=INES)


def test_a_role_is_given_once_and_ended_once(people: Shop) -> None:
    told: dict[str, Any] = {"by": MARTA, "person": INES, "clock": people.clock}
    grant_role(role="inspector", **told)
    assert roles_now(INES) == {"technician", "inspector"}
    with refused(Conflict, Code.ALREADY_THERE, "role"):
        grant_role(role="inspector", **told)
    end_role(role="inspector", reason="no longer", **told)
    assert roles_now(INES) == {"technician"}
    with refused(Conflict, Code.CONFLICT, "role"):
        end_role(role="inspector", reason="no longer", **told)


def test_who_left_holds_no_role_and_gets_none(people: Shop) -> None:
    told: dict[str, Any] = {"by": MARTA, "person": RUTH, "clock": people.clock}
    end_person(reason="retired", **told)
    assert last_entry(f"person/{RUTH}").envelope.kind == "person left"
    assert roles_now(RUTH) == frozenset()
    with refused(Conflict, Code.ALREADY_THERE, "person"):
        grant_role(role="manager", **told)
    with refused(Conflict, Code.ALREADY_THERE, "person"):
        end_person(reason="again", **told)


def test_the_last_manager_can_neither_leave_nor_lose_the_role(people: Shop) -> None:
    told: dict[str, Any] = {"by": MARTA, "person": MARTA, "clock": people.clock}
    with refused(Conflict, Code.CONFLICT, "person"):
        end_person(reason="off", **told)
    with refused(Conflict, Code.CONFLICT, "person"):
        end_role(role="manager", reason="off", **told)
    grant_role(by=MARTA, person=RUTH, role="manager", clock=people.clock)
    end_person(reason="off", **told)
    assert roles_now(MARTA) == frozenset()


def test_an_unknown_person_is_refused(people: Shop) -> None:
    with refused(BadValue, Code.UNKNOWN_NUMBER, "person"):
        grant_role(by=MARTA, person="P-99", role="viewer", clock=people.clock)
    with refused(BadValue, Code.UNKNOWN_NUMBER, "person"):
        end_person(by=MARTA, person="P-99", reason="r", clock=people.clock)


def test_a_customer_is_booked_with_an_address_or_none(people: Shop) -> None:
    told: dict[str, Any] = {"by": MARTA, "name": "Nils", "clock": people.clock}
    book_customer(number="K-08", **told)
    book_customer(number="K-09", email=" nils@example.org ", **told)
    assert CustomerContact.objects.get(customer="K-09").email == "nils@example.org"
    with refused(BadValue, Code.BAD_VALUE, "email"):
        book_customer(number="K-10", email="not an address", **told)
    with refused(Conflict, Code.ALREADY_THERE, "number"):
        book_customer(number=ORLA, **told)
