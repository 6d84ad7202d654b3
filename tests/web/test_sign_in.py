"""Signing in: errors say what to do, and guessing has to wait."""

from __future__ import annotations

from django.test import Client

from shop.web.views.sign_in import MOST_TRIES
from tests.web.conftest import PASSWORD, SignedIn
from tests.web.reading import body


def test_a_name_and_its_password_lead_to_the_builds(client: Client, at_work: SignedIn) -> None:
    given = {"username": "ines", "password": PASSWORD, "next": "/scales/"}
    assert client.post("/sign-in", given)["Location"] == "/scales/"
    assert "Ines" in body(client.get("/builds/"))


def test_a_foreign_address_is_not_followed(client: Client, at_work: SignedIn) -> None:
    given = {"username": "ines", "password": PASSWORD, "next": "https://elsewhere.example/"}
    assert client.post("/sign-in", given)["Location"] == "/"


def test_a_wrong_password_is_refused_and_says_what_to_do(client: Client, at_work: SignedIn) -> None:
    answer = client.post("/sign-in", {"username": "ines", "password": "not hers"})
    assert answer.status_code == 422
    assert "Look at capital letters and try again" in body(answer)
    assert "not hers" not in body(answer)
    assert client.get("/builds/").status_code == 302


def test_guessing_has_to_wait_even_with_the_right_one(client: Client, at_work: SignedIn) -> None:
    for _ in range(MOST_TRIES):
        client.post("/sign-in", {"username": "ines", "password": "guess"})
    answer = client.post("/sign-in", {"username": "ines", "password": PASSWORD})
    assert answer.status_code == 429
    assert answer["Retry-After"] == "300"
    assert client.get("/builds/").status_code == 302


def test_a_password_may_be_kept_and_pasted(client: Client, db: None) -> None:
    page = body(client.get("/sign-in"))
    assert 'autocomplete="username"' in page
    assert 'autocomplete="current-password"' in page
    assert "onpaste" not in page


def test_signing_out_is_a_form(at_work: SignedIn) -> None:
    ines = at_work("ines")
    assert ines.get("/sign-out").status_code == 405
    assert ines.post("/sign-out").status_code == 302
    assert ines.get("/builds/").status_code == 302
