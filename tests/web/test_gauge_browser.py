"""A small gauge study read through in a real browser, narrow as a phone and dark."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest

from records.actions.gauge_studies import plan_study
from records.management.demo.numbers import INES, MARTA, TOMAS
from tests.web.test_browser import Watched

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
AT = "/gauge-studies/G-01/"


@pytest.fixture
def base(ready: None, live_server: Any) -> Iterator[str]:
    plan_study(
        by=MARTA,
        number="G-01",
        scale="S-02",
        parts=["K1", "K2"],
        people=[INES, TOMAS],
        trials=2,
        tolerance_g=Decimal("0.5"),
    )
    yield live_server.url.replace("localhost", "127.0.0.1")


@pytest.mark.parametrize("javascript", [True, False])
def test_a_study_is_read_closed_and_drawn(javascript: bool, browser: Browser, base: str) -> None:
    narrow = {"width": 320, "height": 640}
    seen = Watched(
        browser, base, viewport=narrow, color_scheme="dark", java_script_enabled=javascript
    )
    seen.sign_in("ines")
    page = seen.page
    page.goto(base + AT)
    for index in range(8):
        assert f"Turn {index + 1} of 8" in page.inner_text("main")
        assert seen.overflow() <= 0
        page.fill("[name=reading]", f"{450 + index * index / 10:.1f}")
        page.click("text=Record this reading")
        page.wait_for_load_state()
    page.click("text=Close this study")
    page.wait_for_load_state()
    assert page.inner_text("h1") == "Gauge study G-01 of S-02 is closed"
    assert page.locator("svg.chart").count() == 3
    assert seen.overflow() <= 0
    for address in ("/gauge-studies/", "/repeatability/"):
        page.goto(base + address)
        assert seen.overflow() <= 0, address
    assert seen.said == []
