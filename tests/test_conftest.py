"""What tests rely on: a closed network, and a flush that leaves the triggers up."""

import socket
from datetime import UTC, datetime

import pytest
from django.db import connection
from playwright.sync_api import Browser, Error

from records import triggers
from records.models import Person


def test_the_network_is_off() -> None:
    with socket.socket() as way_out, pytest.raises(OSError, match="network off"):
        way_out.connect(("192.0.2.1", 80))  # a documentation address, RFC 5737
    with pytest.raises(OSError, match="network off"):
        socket.getaddrinfo("shop.example", 443)


def test_this_machine_answers() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        socket.create_connection(server.getsockname(), timeout=5).close()


@pytest.mark.services
def test_a_redis_of_our_own_answers(redis_url: str) -> None:
    from redis import Redis

    assert Redis.from_url(redis_url).ping() is True


@pytest.mark.browser
def test_the_browser_reaches_this_machine_only(browser: Browser) -> None:
    page = browser.new_page()
    page.set_content("<title>Eight pistons</title>")
    assert page.title() == "Eight pistons"
    with pytest.raises(Error, match="ERR_NAME_NOT_RESOLVED"):
        page.goto("http://shop.example/")
    page.close()


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("turn", ["first", "after a flush"])
def test_a_flush_empties_and_the_triggers_stay(turn: str) -> None:
    assert Person.objects.count() == 0
    assert triggers.missing(connection) == []
    Person.objects.create(number="P-01", recorded_at=datetime(2026, 3, 2, tzinfo=UTC))
