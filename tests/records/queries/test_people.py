"""People, their roles and names; accounts and tokens."""

from __future__ import annotations

from datetime import timedelta

import pytest

from records import ledger
from records.models import (
    CustomerContact,
    PersonContact,
    PersonEnd,
    RoleEnd,
    RoleGrant,
    Token,
    User,
)
from records.queries.people import (
    customer_names_of,
    names_of,
    people,
    person_of_user,
    roles_of,
    token_by_hash,
    viewer_of_user,
)
from records.queries.viewer import NOBODY, Viewer
from tests.records import factory
from tests.records.factory import START, entered, stamp

pytestmark = pytest.mark.django_db


def _leaves(number: str) -> None:
    end = PersonEnd(person=factory.a_person(number), reason="moved away", **stamp())
    entered(end, stream=ledger.person_stream(number))


def _loses(number: str, role: str) -> None:
    grant = RoleGrant.objects.get(person=number, role=role)
    entered(RoleEnd(grant=grant, reason="no more", **stamp()), stream=ledger.person_stream(number))


def test_roles_are_those_held_now() -> None:
    factory.a_person("P-07", roles=["technician", "inspector"])
    _loses("P-07", "technician")
    assert roles_of("P-07") == {"inspector"}
    assert roles_of("P-99") == frozenset()


def test_who_has_left_holds_no_role_but_stays_known() -> None:
    factory.a_person("P-01")
    factory.a_person("P-07", roles=["inspector"], name="Ruth")
    _leaves("P-07")
    assert roles_of("P-07") == frozenset()
    rows = {row.number: row for row in people()}
    assert (rows["P-07"].roles, rows["P-07"].at_work, rows["P-07"].name) == (
        frozenset(),
        False,
        "Ruth",
    )
    assert (rows["P-01"].roles, rows["P-01"].at_work) == (frozenset({"technician"}), True)


def test_an_erased_name_is_left_out() -> None:
    factory.a_person("P-01")
    factory.a_person("P-02")
    factory.a_customer("C-01")
    PersonContact.objects.filter(person="P-02").delete()
    assert names_of(["P-01", "P-02", "P-99"]) == {"P-01": "Ines"}
    assert customer_names_of(["C-01"]) == {"C-01": "Orla"}
    CustomerContact.objects.all().delete()
    assert customer_names_of(["C-01"]) == {}
    assert {row.number: row.name for row in people()}["P-02"] == ""


def test_an_account_leads_to_who_looks() -> None:
    ines = User.objects.create(username="ines", person=factory.a_person("P-01"))
    orla = User.objects.create(username="orla", customer=factory.a_customer("C-01"))
    assert person_of_user(ines.pk) == "P-01"
    assert person_of_user(orla.pk) is None
    assert viewer_of_user(ines.pk) == Viewer(person="P-01", roles=frozenset({"technician"}))
    assert viewer_of_user(orla.pk) == Viewer(customer="C-01")


def test_a_closed_account_and_one_whose_person_left_see_nothing() -> None:
    closed = User.objects.create(username="tomas", person=factory.a_person("P-02"), is_active=False)
    gone = User.objects.create(username="ines", person=factory.a_person("P-01"))
    _leaves("P-01")
    assert viewer_of_user(closed.pk) == viewer_of_user(404) == NOBODY
    assert not viewer_of_user(gone.pk).of_the_shop


def test_a_token_is_found_by_its_hash_whatever_its_state() -> None:
    ines = User.objects.create(username="ines", person=factory.a_person("P-01"))
    Token.objects.create(
        user=ines,
        name="bridge",
        key_hash="ab" * 32,
        scopes=["readings:write"],
        bench="B-1",
        made_by=ines,
        expires_at=START + timedelta(days=90),
        revoked_at=START,
    )
    token = token_by_hash("ab" * 32)
    assert token is not None
    assert (token.username, token.scopes, token.bench) == ("ines", ("readings:write",), "B-1")
    assert (token.expires_at, token.revoked_at) == (START + timedelta(days=90), START)
    assert token.viewer.person == "P-01"
    assert token_by_hash("cd" * 32) is None
