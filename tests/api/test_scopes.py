"""What a token may: its scopes, and nothing that no scope names."""

import re
from typing import Any

import pytest
from rest_framework.views import APIView

from api.v1 import urlpatterns
from records.actions.accounts import make_account
from records.actions.people import book_person
from records.models import Token, Weighing
from tests.api.caller import PASSWORDS, Caller, NothingWritten, signed_in
from tests.records import factory

BRIDGE = "a long password of the bridge"


def routes() -> list[tuple[str, str, type[APIView]]]:
    """Return each address below /api/v1 with each method it knows, and its view."""
    found = []
    for pattern in urlpatterns:
        view: Any = pattern.callback
        path = re.sub(r"<int:\w+>", "1", re.sub(r"<str:\w+>", "B-1", str(pattern.pattern)))
        found += [
            (method, path, view.cls)
            for method in ("get", "post", "delete")
            if hasattr(view.cls, method)
        ]
    return found


def asked(caller: Caller, method: str, path: str) -> Any:
    if method == "post":
        return caller.post(path)
    return getattr(caller.client, method)(f"/api/v1/{path}")


@pytest.fixture
def bridge(marta: Caller) -> Caller:
    """A scale bridge: a service with a token that writes readings and does nothing else."""
    book_person(by="P-04", number="S-90", name="bridge", roles=["technician"], service=True)
    make_account(username="bridge", password=BRIDGE, person="S-90")
    made = marta.done(
        "tokens",
        {"name": "bench 1", "scopes": ["readings:write"], "username": "bridge", "days": 90},
    )
    return Caller(made["key"])


@pytest.fixture
def engine(shop: None) -> None:
    factory.fitted(factory.a_build("B-1"), factory.a_part("P-PA01"), place=1)
    factory.checked(factory.a_scale("S-02"))


def test_the_walk_over_the_addresses_finds_them() -> None:
    assert len(routes()) > 60


def test_nobody_gets_in_without_a_token_but_where_it_is_said(shop: None) -> None:
    shut = [
        (method, path)
        for method, path, view in routes()
        if not getattr(view, "open_to_all", False)
        if asked(Caller(), method, path).status_code != 401
    ]
    assert shut == []
    assert {path for _, path, view in routes() if getattr(view, "open_to_all", False)} == {
        "sign-in",
        "public/certificates",
        "public/certificates/by-sha256/B-1",
    }


def test_a_bridge_writes_readings_and_is_refused_everywhere_else(
    bridge: Caller, engine: None
) -> None:
    with NothingWritten():
        let_in = [
            (method, path)
            for method, path, view in routes()
            if not getattr(view, "open_to_all", False) and path != "sign-out"
            if asked(bridge, method, path).status_code != 403
        ]
    assert let_in == [("post", "builds/B-1/weighings")]


def test_a_bridge_says_who_stood_at_the_scale(bridge: Caller, engine: None) -> None:
    given = {
        "part": "P-PA01",
        "what": "whole",
        "scale": "S-02",
        "readings": [{"value": "445.9"}],
        "source": "bridge",
        "operator": "P-01",
    }
    bridge.done("builds/B-1/weighings", given)
    row = Weighing.objects.get()
    assert (row.operator_id, row.recorded_by_id) == ("P-01", "S-90")


def test_a_person_cannot_say_that_another_weighed(shop: None, engine: None) -> None:
    given = {
        "part": "P-PA01",
        "what": "whole",
        "scale": "S-02",
        "readings": [{"value": "445.9"}],
        "source": "bridge",
        "operator": "P-02",
    }
    ines = signed_in("ines")
    right = {"reason": "x", "right": given}
    with NothingWritten():
        assert ines.post("builds/B-1/weighings", given).status_code == 403
        assert ines.post("builds/B-1/weighings/1/corrections", right).status_code == 403


def test_a_token_that_reads_records_nothing(ines: Caller) -> None:
    reader = Caller(ines.done("tokens", {"name": "wall", "scopes": ["read"]})["key"])
    with NothingWritten():
        answer = reader.post("customers", {"number": "C-09", "name": "x"})
    assert answer.status_code == 403
    assert answer.json()["code"] == "not_allowed"


def test_a_technician_cannot_release(ines: Caller, engine: None) -> None:
    with NothingWritten():
        answer = ines.post("builds/B-1/release", {"password": PASSWORDS["ines"]})
    assert answer.status_code == 403
    assert "may not release" in answer.json()["detail"]


def test_a_release_asks_for_the_password_again(ruth: Caller, engine: None) -> None:
    with NothingWritten():
        wrong = ruth.post("builds/B-1/release", {"password": PASSWORDS["ines"]})
        missing = ruth.post("builds/B-1/release", {})
    assert (wrong.status_code, wrong.json()["errors"][0]["pointer"]) == (403, "#/password")
    assert (missing.status_code, missing.json()["errors"][0]["pointer"]) == (422, "#/password")


def test_a_token_without_the_scope_releases_nothing(ruth: Caller, engine: None) -> None:
    made = ruth.done("tokens", {"name": "desk", "scopes": ["read", "record"]})
    with NothingWritten():
        answer = Caller(made["key"]).post("builds/B-1/release", {"password": PASSWORDS["ruth"]})
    assert answer.status_code == 403
    assert Token.objects.count() == 2
