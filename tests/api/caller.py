"""People of the invented shop as they call the JSON front: each with a token of their own."""

from __future__ import annotations

from itertools import count
from typing import Any

from rest_framework.test import APIClient

from records.actions.accounts import make_account
from records.actions.people import book_customer, book_person
from records.actions.shop import open_shop
from records.models import ShopSettings
from tests.records.keeper import counts

PASSWORDS = {
    name: f"a long password of {name} 26" for name in ("ines", "tomas", "ruth", "marta", "orla")
}
PEOPLE = {
    "ines": ("P-01", "technician"),
    "tomas": ("P-02", "technician"),
    "ruth": ("P-03", "inspector"),
}
_keys = count(1)


def open_the_shop() -> None:
    """Open Ferrow Lane with Marta, book the others, and give each an account."""
    open_shop(name="Ferrow Lane Balancing", first_person="P-04", first_name="Marta")
    for name, (number, role) in PEOPLE.items():
        book_person(by="P-04", number=number, name=name.capitalize(), roles=[role])
        make_account(username=name, password=PASSWORDS[name], person=number)
    make_account(username="marta", password=PASSWORDS["marta"], person="P-04")
    for number, name in (("C-01", "orla"), ("C-02", "nils")):
        book_customer(by="P-04", number=number, name=name.capitalize())
    make_account(username="orla", password=PASSWORDS["orla"], customer="C-01")
    assert ShopSettings.objects.count() == 1


class Caller:
    """Someone with a token, or nobody; every POST gets a key of its own unless one is given."""

    def __init__(self, token: str | None = None) -> None:
        self.token = token
        self.client = APIClient()
        if token:
            self.client.credentials(HTTP_AUTHORIZATION=f"Bearer {token}")

    def get(self, path: str, **query: Any) -> Any:
        return self.client.get(f"/api/v1/{path}", query)

    def post(self, path: str, body: Any = None, *, key: str | None = None, **options: Any) -> Any:
        headers = {"Idempotency-Key": key or f"key-{next(_keys)}"}
        given = {} if body is None else body
        return self.client.post(f"/api/v1/{path}", given, headers=headers, **options)

    def done(self, path: str, body: Any = None, **options: Any) -> Any:
        """POST and return the answer, which must be a success."""
        answer = self.post(path, body, **options)
        assert answer.status_code in (200, 201), (path, answer.json())
        return answer.json()

    def seen(self, path: str, **query: Any) -> Any:
        """GET and return the answer, which must be a success."""
        answer = self.get(path, **query)
        assert answer.status_code == 200, (path, answer.json())
        return answer.json()


def signed_in(name: str) -> Caller:
    """Sign in by name and password, and return who calls with the token."""
    answer = Caller().post("sign-in", {"username": name, "password": PASSWORDS[name]})
    assert answer.status_code == 201, answer.json()
    return Caller(answer.json()["key"])


class NothingWritten:
    """Prove that nothing entered the ledger between entry and exit."""

    def __enter__(self) -> None:
        self.before = counts()

    def __exit__(self, *_: object) -> None:
        assert counts() == self.before
