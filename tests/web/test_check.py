"""The public page: genuine, replaced, withdrawn, in doubt, changed, unknown; nobody is named."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from records.actions.certificates import issue_certificate
from records.actions.releases import change_certificate_state
from records.management.demo.numbers import RUTH
from records.models import Certificate
from shop.web.views.check import MOST_A_MINUTE
from tests.records.small_engine import TWIN, release
from tests.web.reading import body, errors_at, title


@pytest.fixture
def paper(ready: None) -> Certificate:
    return issue_certificate(release=release().pk)


def _by_file(client: Client, raw: bytes) -> Any:
    file = SimpleUploadedFile("paper.pdf", raw)
    return client.post("/check/", {"by": "file", "paper": file})


def _put(paper: Certificate, state: str) -> None:
    number, revision = paper.release.certificate_number, paper.release.revision
    change_certificate_state(
        by=RUTH, certificate=number, revision=revision, state=state, reason="S-02 was wrong"
    )


def test_the_file_as_issued_is_genuine(client: Client, paper: Certificate) -> None:
    answer = _by_file(client, bytes(paper.pdf))
    assert title(answer) == "This certificate is genuine, and it stands"
    assert paper.pdf_sha256 in body(answer)


@pytest.mark.parametrize("harm", ["one byte", "appended"])
def test_a_changed_file_is_told_from_a_foreign_one(
    harm: str, client: Client, paper: Certificate
) -> None:
    raw = bytes(paper.pdf)
    middle = len(raw) // 2
    flipped = raw[:middle] + bytes([raw[middle] ^ 1]) + raw[middle + 1 :]
    answer = _by_file(client, flipped if harm == "one byte" else raw + b"\n% and one more line")
    assert title(answer) == "This file is not as it was signed"


def test_any_other_file_is_unknown(client: Client, paper: Certificate) -> None:
    for raw in (b"%PDF-1.7 nothing of ours", b"hello"):
        assert title(_by_file(client, raw)) == "This is no certificate of this shop"


@pytest.mark.parametrize(
    ("state", "words"),
    [
        ("in doubt", "This certificate is genuine, but it is in doubt"),
        ("withdrawn", "This certificate was withdrawn"),
    ],
)
def test_a_later_state_is_told(state: str, words: str, client: Client, paper: Certificate) -> None:
    _put(paper, state)
    assert title(_by_file(client, bytes(paper.pdf))) == words
    number, code = paper.release.certificate_number, paper.release.check_code
    assert title(client.get(f"/check/{number}/{code}")) == words


def test_the_number_and_code_on_the_paper_are_enough(client: Client, paper: Certificate) -> None:
    number, code = paper.release.certificate_number, paper.release.check_code
    typed = {"by": "code", "number": number.lower(), "code": f"{code[:4]}-{code[4:]}".lower()}
    answer = client.post("/check/", typed)
    assert title(answer).endswith("is genuine, and it stands")
    # a code copied from another paper proves nothing about the paper in hand
    assert "only its file can say" in body(answer)


def test_a_number_without_its_code_says_nothing(client: Client, paper: Certificate) -> None:
    number = paper.release.certificate_number
    answer = client.get(f"/check/{number}/AAAAAAAA")
    unknown = client.get("/check/C1999-00001/AAAAAAAA")
    assert title(answer) == title(unknown) == "This is no certificate of this shop"


def test_nobody_is_named(client: Client, paper: Certificate) -> None:
    _put(paper, "in doubt")
    main = body(_by_file(client, bytes(paper.pdf))).split("<main")[1]
    for private in ("Ruth", "Ines", "Orla", RUTH, TWIN.build, TWIN.name, "S-02 was wrong"):
        assert private not in main


def test_a_file_too_large_is_refused_unread(client: Client, ready: None) -> None:
    answer = _by_file(client, b"%PDF" + bytes(5 * 1024 * 1024))
    assert answer.status_code == 422
    assert errors_at(answer, "paper") == ["expected at most 5 MB, got 5.0 MB"]


def test_who_asks_too_often_waits(client: Client, ready: None) -> None:
    for _ in range(MOST_A_MINUTE):
        assert client.get("/check/C2026-00001/AAAAAAAA").status_code == 200
    answer = client.get("/check/C2026-00001/AAAAAAAA")
    assert answer.status_code == 429
    assert answer["Retry-After"] == "60"
    # the page itself is there for all
    assert client.get("/check/").status_code == 200
