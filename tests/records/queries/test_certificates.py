"""Certificates: whose they are, and what anyone who holds a paper may learn."""

from __future__ import annotations

import dataclasses
from hashlib import sha256

import pytest

from records.domain.errors import NotFound
from records.ledger import build_stream, head
from records.models import Release
from records.queries.certificates import (
    certificate_bytes,
    certificate_page,
    certificates,
    public_by_sha256,
    public_certificate,
    verify_address,
)
from records.queries.viewer import NOBODY
from tests.records import factory
from tests.records.queries.people_of_the_shop import INES, NILS, ORLA

pytestmark = pytest.mark.django_db
NUMBER, CODE = "C2026-00001", "7QK2M9XA"
PAPER = b"%PDF of the first revision"


@pytest.fixture
def release() -> Release:
    build = factory.a_build("26-001", customer=factory.a_customer("C-01"))
    row = factory.released(build, number=NUMBER, check_code=CODE)
    factory.issued(row, PAPER)
    return row


@pytest.mark.usefixtures("release")
def test_the_shop_and_the_customer_see_it_and_nobody_else() -> None:
    for viewer in (INES, ORLA):
        assert [(row.number, row.revision) for row in certificates(viewer)] == [(NUMBER, 1)]
        assert certificate_bytes(NUMBER, 1, viewer) == PAPER
    for viewer in (NILS, NOBODY):
        assert certificates(viewer) == ()
        with pytest.raises(NotFound):
            certificate_page(NUMBER, viewer)
        with pytest.raises(NotFound):
            certificate_bytes(NUMBER, 1, viewer)


def test_a_page_tells_revisions_seals_states_and_the_place_in_the_ledger(release: Release) -> None:
    receipt = head(build_stream("26-001"))
    assert receipt is not None
    factory.put_in_state(release, "replaced", reason="replaced by revision 2")
    second = factory.released(
        release.build, number=NUMBER, revision=2, check_code="ABCDEFGH", replaces=release, seals=()
    )
    page = certificate_page(NUMBER, INES)
    assert [revision.row.revision for revision in page.revisions] == [2, 1]
    new, old = page.revisions
    assert (new.row.state, new.row.sha256, new.row.issued_at, new.signer) == (
        "stands",
        "",
        None,
        "",
    )
    assert (new.seals, new.no_seals_reason) == ((), "the team seals it")
    assert (old.row.state, old.row.reason) == ("replaced", "replaced by revision 2")
    assert [(state.state, state.by) for state in old.states] == [("replaced", "P-03")]
    assert old.seals == (("SEAL-7", "sump bolt"),)
    assert old.row.sha256 == sha256(PAPER).hexdigest()
    # the release's entry came just before the paper's
    assert (old.receipt.stream, old.receipt.seq) == (receipt.stream, receipt.seq - 1)
    assert old.facts == {"number": NUMBER, "revision": 1}
    assert new.facts_sha256 == second.facts_sha256


def test_a_paper_that_is_not_issued_yet_is_not_found(release: Release) -> None:
    factory.released(release.build, number=NUMBER, revision=2, replaces=release)
    for revision in (2, 3):
        with pytest.raises(NotFound):
            certificate_bytes(NUMBER, revision, INES)


@pytest.mark.usefixtures("release")
def test_number_and_check_code_together_show_a_genuine_certificate() -> None:
    state = public_certificate(" c2026-00001 ", "7qk2m9xa")
    assert state is not None
    assert (state.state, state.number, state.revision) == ("genuine", NUMBER, 1)
    assert state.replaced_by is None


@pytest.mark.usefixtures("release")
@pytest.mark.parametrize(
    ("number", "code"),
    [(NUMBER, "7QK2M9XB"), (NUMBER, ""), ("C2026-00002", CODE), ("", CODE), (NUMBER, "é" * 8)],
)
def test_a_wrong_number_or_code_shows_nothing(number: str, code: str) -> None:
    assert public_certificate(number, code) is None


@pytest.mark.usefixtures("release")
def test_a_file_is_known_by_its_bytes() -> None:
    state = public_by_sha256(sha256(PAPER).hexdigest().upper())
    assert state is not None and state.state == "genuine"
    assert public_by_sha256(sha256(PAPER + b" ").hexdigest()) is None
    assert public_by_sha256("") is None


@pytest.mark.parametrize("state", ["in doubt", "withdrawn"])
def test_doubt_and_withdrawal_are_public(release: Release, state: str) -> None:
    factory.put_in_state(release, state)
    shown = public_certificate(NUMBER, CODE)
    assert shown is not None and shown.state == state


def test_a_doubt_that_was_cleared_is_gone(release: Release) -> None:
    factory.put_in_state(release, "in doubt")
    factory.put_in_state(release, "stands")
    shown = public_certificate(NUMBER, CODE)
    assert shown is not None and shown.state == "genuine"


def test_a_replaced_paper_names_its_newest_revision(release: Release) -> None:
    factory.put_in_state(release, "replaced")
    factory.released(
        release.build, number=NUMBER, revision=2, check_code="ABCDEFGH", replaces=release
    )
    shown = public_certificate(NUMBER, CODE)
    assert shown is not None
    assert (shown.state, shown.revision, shown.replaced_by) == ("replaced", 1, 2)
    newer = public_certificate(NUMBER, "ABCDEFGH")
    assert newer is not None
    assert (newer.state, newer.revision, newer.replaced_by) == ("genuine", 2, None)


def test_what_is_public_names_no_one(release: Release) -> None:
    factory.put_in_state(release, "in doubt", reason="Orla asked about scale S-02")
    shown = public_certificate(NUMBER, CODE)
    assert shown is not None
    told = " ".join(str(value) for value in dataclasses.asdict(shown).values())
    for hidden in ("Orla", "C-01", "P-03", "engine", "26-001 ", "S-02"):
        assert hidden not in told
    assert set(dataclasses.asdict(shown)) == {
        "state", "number", "revision", "released_on", "replaced_by", "demo",
    }  # fmt: skip


def test_the_address_on_the_paper_leads_to_number_and_code() -> None:
    assert verify_address(NUMBER, CODE).endswith("/check/C2026-00001/7QK2M9XA")
