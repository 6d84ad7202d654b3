"""What tests of the JSON front share: an open shop, and throttles that start afresh."""

from collections.abc import Iterator

import pytest
from django.core.cache import cache

from tests.api.caller import Caller, open_the_shop, signed_in


@pytest.fixture(autouse=True)
def _throttles_afresh() -> Iterator[None]:
    cache.clear()
    yield
    cache.clear()


@pytest.fixture
def shop(db: None) -> None:
    open_the_shop()


@pytest.fixture
def ines(shop: None) -> Caller:
    return signed_in("ines")


@pytest.fixture
def ruth(shop: None) -> Caller:
    return signed_in("ruth")


@pytest.fixture
def marta(shop: None) -> Caller:
    return signed_in("marta")


@pytest.fixture
def orla(shop: None) -> Caller:
    return signed_in("orla")
