"""Each page answers who may see it, says its question in a sentence, and needs no script."""

from __future__ import annotations

import re

import pytest
from django.test import Client
from django.urls import reverse

from shop.web.urls import urlpatterns
from tests.records.small_engine import TWIN
from tests.web.conftest import SignedIn
from tests.web.reading import body, title

BUILD = f"/builds/{TWIN.build}/"
OF_THE_BUILD = (
    "parts/",
    "weigh/",
    "match/",
    "cut/",
    "cut/?part=PT01",
    "bob-weight/",
    "checklist/",
    "findings/",
    "release/",
    "ledger/",
)
OF_THE_SCALES = ("/scales/", "/scales/S-02/", "/gauge-studies/", "/repeatability/")
OF_THE_SHOP = ("/open-build/", "/take-in/", *OF_THE_SCALES)
OF_ALL = ("/builds/", BUILD, "/parts/", "/parts/?serial=T0", "/parts/PT01/", "/certificates/")
PUBLIC = ("/check/", "/check/C2026-00001/AAAAAAAA", "/sign-in")


@pytest.mark.parametrize("name", ["ines", "tomas", "ruth", "marta"])
def test_the_shop_sees_every_page(name: str, at_work: SignedIn) -> None:
    client = at_work(name)
    for address in (*OF_ALL, *OF_THE_SHOP, *(BUILD + step for step in OF_THE_BUILD)):
        answer = client.get(address)
        assert answer.status_code == 200, address
        assert title(answer), address
        assert "Demo: an invented shop" in body(answer), address


def test_a_customer_sees_their_own_build_and_none_of_the_benches(at_work: SignedIn) -> None:
    orla = at_work("orla")
    for address in OF_ALL:
        assert orla.get(address).status_code == 200, address
    for address in (*OF_THE_SHOP, *(BUILD + step for step in OF_THE_BUILD)):
        assert orla.get(address).status_code == 404, address
    page = body(orla.get(BUILD))
    assert "<form" not in page.split("<main")[1]


def test_what_is_not_theirs_looks_like_what_is_not_there(at_work: SignedIn) -> None:
    nils = at_work("nils")
    assert body(nils.get("/builds/")).count(TWIN.build) == 0
    for address in (BUILD, "/parts/PT01/", *(BUILD + step for step in OF_THE_BUILD)):
        assert nils.get(address).status_code == 404, address
    foreign, absent = nils.get(BUILD), nils.get("/builds/26-999/")
    assert foreign.status_code == absent.status_code == 404
    assert title(foreign) == title(absent)


def test_nobody_gets_in_without_signing_in(client: Client, ready: None) -> None:
    for address in (*OF_ALL, *OF_THE_SHOP, BUILD + "weigh/"):
        answer = client.get(address)
        assert answer.status_code == 302
        assert answer["Location"].startswith("/sign-in?next=")
    for address in PUBLIC:
        assert client.get(address).status_code == 200


def test_the_bundle_is_for_who_may_see_the_build(at_work: SignedIn, client: Client) -> None:
    for name in ("ines", "orla"):
        answer = at_work(name).get(BUILD + "bundle/")
        assert (answer.status_code, answer["Content-Type"]) == (200, "application/zip")
        assert answer["Cache-Control"] == "no-store"
    assert at_work("nils").get(BUILD + "bundle/").status_code == 404
    assert client.get(BUILD + "bundle/").status_code == 302


def test_every_address_of_the_pages_is_in_these_tests() -> None:
    """Hold the list above to what there is: a new page must say who may see it."""
    tried: set[str | None] = {
        "first",
        "sign-out",
        "take-back",
        "sweep",
        "certificate",
        "certificate-pdf",
    }
    tried |= {None, "check-code", "check", "sign-in", "builds", "build", "parts", "part"}
    tried |= {"certificates", "open-build", "take-in", "scales", "scale"}
    tried |= {"build-parts", "weigh", "match", "cut", "card", "checklist", "findings"}
    tried |= {"release", "build-history", "build-bundle"}
    # of a recall, in test_recalls.py
    tried |= {"recalls", "recall", "recall-scale", "recall-pdf", "recall-csv"}
    tried |= {"scale-file"}  # test_scales
    tried |= {"gauge-studies", "gauge-study", "gauge-study-csv", "repeatability"}  # and test_gauge
    assert {pattern.name for pattern in urlpatterns} == tried


def test_no_page_carries_a_style_or_a_script_of_its_own(at_work: SignedIn) -> None:
    client = at_work("ines")
    for address in (*OF_ALL, *OF_THE_SHOP, *PUBLIC, *(BUILD + step for step in OF_THE_BUILD)):
        page = body(client.get(address, follow=True))
        assert not re.search(r"<style|\sstyle=|\son\w+=|javascript:", page), address
        assert all("src=" in tag for tag in re.findall(r"<script[^>]*>", page)), address
        assert not re.search(r'(?:src|href|action)="(?:https?:)?//', page), address


def test_every_form_goes_without_a_script(at_work: SignedIn) -> None:
    client = at_work("ruth")
    for step in OF_THE_BUILD:
        main = body(client.get(BUILD + step)).split("<main")[1]
        for form in re.findall(r"<form.*?</form>", main, re.DOTALL):
            assert "<button" in form
            assert 'method="get"' in form or "csrfmiddlewaretoken" in form


def test_a_page_is_kept_by_nobody(at_work: SignedIn) -> None:
    answer = at_work("ines").get(BUILD)
    assert answer["Cache-Control"] == "no-store"
    assert "script-src 'self'" in answer["Content-Security-Policy"]


def test_the_build_says_what_is_next(at_work: SignedIn) -> None:
    page = at_work("ruth").get(BUILD)
    assert title(page) == f"Nothing blocks the release of build {TWIN.build}"
    assert "Release it" in body(page)


def test_a_number_with_dots_still_has_an_address() -> None:
    assert reverse("web:build", args=[".."]) == "/builds/~2E./"
