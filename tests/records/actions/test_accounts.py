"""Accounts and tokens: changeable, so without entries, and never with a key in the clear."""

from __future__ import annotations

from datetime import timedelta
from hashlib import sha256
from typing import Any

import pytest

from records.actions.accounts import (
    key_hash,
    make_account,
    make_token,
    note_token_use,
    revoke_token,
)
from records.actions.people import end_person
from records.domain.errors import BadValue, Code, Conflict, NotAllowed, NotFound
from records.models import Token, User
from records.models.ledger import Entry
from records.queries.people import token_by_hash
from tests.records.actions.bench import INES, MARTA, ORLA, RUTH, Shop
from tests.records.actions.refusal import refused

PASSWORD = "seven lathes and a kettle"


@pytest.fixture
def accounts(people: Shop) -> Shop:
    for name, number in (("marta", MARTA), ("ines", INES)):
        make_account(username=name, password=PASSWORD, person=number)
    make_account(username="orla", password=PASSWORD, customer=ORLA)
    return people


def _token(shop: Shop, **more: Any) -> tuple[Token, str]:
    told: dict[str, Any] = {
        "made_by": "ines",
        "username": "ines",
        "name": "bench 1",
        "scopes": ["record"],
    }
    return make_token(clock=shop.clock, **(told | more))


class TestAnAccount:
    def test_it_keeps_no_password_and_writes_no_entry(self, people: Shop) -> None:
        before = Entry.objects.count()
        user = make_account(username="ines", password=PASSWORD, person=INES)
        assert user.check_password(PASSWORD)
        assert PASSWORD not in user.password
        assert Entry.objects.count() == before

    @pytest.mark.parametrize(
        ("changed", "code", "field"),
        [
            ({"person": None}, Code.BAD_VALUE, ""),
            ({"customer": ORLA}, Code.BAD_VALUE, ""),
            ({"person": "P-99"}, Code.UNKNOWN_NUMBER, "person"),
            ({"username": " "}, Code.MISSING, "username"),
            ({"password": "short"}, Code.BAD_VALUE, "password"),
            (
                {"password": "ruth ruth ruth ruth", "username": "ruth ruth ruth ruth"},
                Code.BAD_VALUE,
                "password",
            ),
        ],
    )
    def test_what_does_not_fit_is_refused(
        self, changed: dict[str, Any], code: Code, field: str, people: Shop
    ) -> None:
        told: dict[str, Any] = {"username": "ruth", "password": PASSWORD, "person": RUTH}
        with refused(BadValue, code, field):
            make_account(**(told | changed))

    @pytest.mark.parametrize("name", ["ines", "Ines"])
    def test_a_name_that_is_taken_is_refused(self, name: str, accounts: Shop) -> None:
        with refused(Conflict, Code.ALREADY_THERE, "username"):
            make_account(username=name, password=PASSWORD, person=RUTH)

    def test_a_person_has_one_account_and_who_left_gets_none(self, accounts: Shop) -> None:
        with refused(Conflict, Code.ALREADY_THERE, "person"):
            make_account(username="ines2", password=PASSWORD, person=INES)
        end_person(by=MARTA, person=RUTH, reason="retired", clock=accounts.clock)
        with refused(Conflict, Code.CONFLICT, "person"):
            make_account(username="ruth", password=PASSWORD, person=RUTH)


class TestAToken:
    def test_its_key_is_shown_once_and_kept_as_a_hash(self, accounts: Shop) -> None:
        token, key = _token(accounts)
        assert key.startswith("tare_")
        assert token.key_hash == sha256(key.encode()).hexdigest() == key_hash(key)
        kept = {str(value) for value in Token.objects.values().get().values()}
        assert not any(key in value for value in kept)
        row = token_by_hash(key_hash(key))
        assert row is not None
        assert row.id == token.pk

    def test_no_two_are_alike(self, accounts: Shop) -> None:
        assert _token(accounts)[1] != _token(accounts)[1]

    def test_it_expires(self, accounts: Shop) -> None:
        now = accounts.clock.now()
        assert _token(accounts, days=30)[0].expires_at == now + timedelta(days=30)
        assert _token(accounts, hours=12)[0].expires_at == now + timedelta(hours=12)

    @pytest.mark.parametrize(
        ("changed", "code", "field"),
        [
            ({"scopes": []}, Code.BAD_VALUE, "scopes"),
            ({"scopes": ["record", "everything"]}, Code.BAD_VALUE, "scopes"),
            ({"days": 0}, Code.OUT_OF_RANGE, "days"),
            ({"days": 366}, Code.OUT_OF_RANGE, "days"),
            ({"hours": 0}, Code.OUT_OF_RANGE, "hours"),
            ({"hours": -1}, Code.OUT_OF_RANGE, "hours"),
            ({"hours": 10_000}, Code.OUT_OF_RANGE, "hours"),
            ({"username": "nils"}, Code.UNKNOWN_NUMBER, "username"),
            ({"name": ""}, Code.MISSING, "name"),
            ({"bench": "x" * 41}, Code.BAD_VALUE, "bench"),
        ],
    )
    def test_what_does_not_fit_is_refused(
        self, changed: dict[str, Any], code: Code, field: str, accounts: Shop
    ) -> None:
        with refused(BadValue, code, field):
            _token(accounts, **changed)

    def test_a_manager_makes_one_for_another_and_nobody_else_does(self, accounts: Shop) -> None:
        token, _ = _token(accounts, made_by="marta")
        assert (token.user.username, token.made_by.username) == ("ines", "marta")
        for maker in ("ines", "orla"):
            with refused(NotAllowed, Code.NOT_ALLOWED):
                _token(accounts, made_by=maker, username="marta")

    def test_it_is_revoked_by_its_owner_or_a_manager_and_stays(self, accounts: Shop) -> None:
        first, second = _token(accounts)[0], _token(accounts)[0]
        with refused(NotFound, Code.NOT_FOUND):
            revoke_token(by="orla", token=first.pk, clock=accounts.clock)
        revoke_token(by="ines", token=first.pk, clock=accounts.clock)
        revoke_token(by="marta", token=second.pk, clock=accounts.clock)
        assert Token.objects.filter(revoked_at=accounts.clock.now()).count() == 2
        with refused(NotFound, Code.NOT_FOUND):
            revoke_token(by="ines", token=first.pk, clock=accounts.clock)

    def test_it_ends_with_the_account_when_its_person_leaves(self, accounts: Shop) -> None:
        _token(accounts)
        end_person(by=MARTA, person=INES, reason="moved away", clock=accounts.clock)
        assert Token.objects.get().revoked_at == accounts.clock.now()
        assert not User.objects.get(username="ines").is_active
        with refused(BadValue, Code.UNKNOWN_NUMBER, "username"):
            _token(accounts)

    def test_its_last_use_is_noted(self, accounts: Shop) -> None:
        token, _ = _token(accounts)
        note_token_use(token=token.pk, clock=accounts.clock)
        assert Token.objects.get().last_used_at == accounts.clock.now()
