"""The browsable page in a real browser: it draws under the shop's content security policy."""

from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_it_lists_the_addresses_and_nothing_is_refused(
    browser: "Browser", live_server: Any
) -> None:
    page = browser.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    # the browser of the tests looks up no name
    page.goto(f"{live_server.url.replace('localhost', '127.0.0.1')}/api/docs")
    page.wait_for_selector(".opblock")
    assert page.locator(".opblock").count() > 60
    assert said == []
    page.close()
