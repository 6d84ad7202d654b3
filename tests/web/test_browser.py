"""The pages in a real browser: no console or policy error, no foreign request, at every width."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import pytest

from tests.records.small_engine import TWIN
from tests.web.conftest import PASSWORD

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PAGES = ("", "parts/", "weigh/", "match/", "cut/", "bob-weight/", "checklist/", "findings/")
BUILD = f"/builds/{TWIN.build}/"


class Watched:
    """A browser's page, and what it complained of or asked for elsewhere."""

    def __init__(self, browser: Browser, base: str, **options: Any) -> None:
        self.base, self.said = base, list[str]()
        self.page: Page = browser.new_context(**options).new_page()
        self.page.on("console", lambda message: self.said.append(message.text))
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("request", lambda request: self._asked(request.url))

    def _asked(self, url: str) -> None:
        if not url.startswith(self.base):
            self.said.append(f"asked for {url}")

    def sign_in(self, name: str) -> None:
        self.page.goto(f"{self.base}/sign-in")
        self.page.fill("[name=username]", name)
        self.page.fill("[name=password]", PASSWORD)
        self.page.click("main button")
        self.page.wait_for_url("**/builds/")

    def overflow(self) -> int:
        wide: int = self.page.evaluate(
            "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        )
        return wide


@pytest.fixture
def base(ready: None, live_server: Any) -> Iterator[str]:
    # the browser of the tests looks up no name
    yield live_server.url.replace("localhost", "127.0.0.1")


def test_a_weighing_is_recorded_in_place(browser: Browser, base: str) -> None:
    seen = Watched(browser, base)
    seen.sign_in("ines")
    page = seen.page
    page.goto(f"{base}{BUILD}weigh/?target=whole|PT01")
    page.select_option("[name=scale]", "S-02")
    page.fill("[name=readings]", "heavy")
    page.click("text=Record this weighing")
    page.wait_for_selector("#id_readings_error")
    assert page.input_value("[name=readings]") == "heavy"
    page.fill("[name=readings]", "318.2\n318.1")
    page.click("text=Record this weighing")
    page.wait_for_selector("[role=status]")
    assert "Recorded: PT01 whole" in page.inner_text("[role=status]")
    # a refused form is answered with 422, which a browser notes; nothing else was amiss
    assert [said for said in seen.said if "422" not in said] == []


def test_without_javascript_the_same_form_records(browser: Browser, base: str) -> None:
    seen = Watched(browser, base, java_script_enabled=False)
    seen.sign_in("ines")
    seen.page.goto(f"{base}{BUILD}weigh/?target=whole|PT01")
    seen.page.fill("[name=readings]", "318.2\n318.1")
    seen.page.click("text=Record this weighing")
    assert "Recorded: PT01 whole" in seen.page.inner_text("[role=status]")
    assert seen.said == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_page_complains_or_overflows_a_narrow_screen(
    scheme: Any, browser: Browser, base: str
) -> None:
    narrow = {"width": 320, "height": 640}
    seen = Watched(browser, base, color_scheme=scheme, viewport=narrow)
    seen.sign_in("ruth")
    addresses = [BUILD + step for step in PAGES]
    addresses += [BUILD + "release/", "/parts/?serial=T0", "/parts/PT01/", "/scales/S-02/"]
    addresses += ["/builds/", "/scales/", "/certificates/", "/check/"]
    for address in addresses:
        seen.page.goto(base + address)
        assert seen.overflow() <= 0, address
    assert seen.said == []
