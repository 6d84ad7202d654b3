"""The invented shop with a twin ready for release, and its people at their browsers."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.contrib.auth import get_user_model
from django.core.cache import cache
from django.test import Client

from records.actions.accounts import make_account
from records.actions.people import book_customer
from records.management.demo.numbers import MARTA
from tests.records.conftest import _shelf, ready

__all__ = ["_shelf", "ready"]

PASSWORD = "a long one for tests 26"
SignedIn = Callable[[str], Client]


@pytest.fixture(autouse=True)
def _nobody_asked_before() -> None:
    """Forget who asked how often: the counts outlive a test's transaction."""
    cache.clear()


@pytest.fixture
def at_work(ready: None) -> SignedIn:
    """Return who is signed in by name: ines, tomas, ruth, marta, orla, or nils of another team."""
    book_customer(by=MARTA, number="C-09", name="Nils")
    make_account(username="nils", password=PASSWORD, customer="C-09")

    def signed_in(name: str) -> Client:
        client = Client()
        client.force_login(get_user_model().objects.get_by_natural_key(name))
        return client

    return signed_in
