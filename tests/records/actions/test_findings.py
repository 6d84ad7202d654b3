"""Findings: disposed of by an inspector, only in ways that can close them."""

from __future__ import annotations

from typing import Any

import pytest

from records.actions.findings import dispose
from records.actions.parts import Condition, fit_part, note_intake, take_out_part
from records.actions.people import grant_role
from records.actions.releases import release_build
from records.domain.errors import BadValue, Code, Conflict, ManyErrors, NotAllowed
from records.domain.practice.findings import findings_of
from records.models import Disposition, Finding
from records.queries.build_facts import facts_of
from tests.records.actions.bench import (
    BUILD,
    INES,
    MARTA,
    RUTH,
    STREAM,
    Shop,
    book,
    last_entry,
    tables,
)
from tests.records.actions.refusal import refused

TESTS = {"hardness": "38 HRC at both ends", "crack_test": "magnetic, no indication"}


def _cut(shop: Shop, zone: str, heat: str) -> Finding:
    """Cut rod R1 in a zone, with this colour seen, and return what was found."""
    shop.weigh("R1", "620.0", "620.0")
    removal = shop.open_cut("R1", zone, "belt linisher", "all round")
    shop.weigh("R1", "619.5", "619.5")
    shop.close(removal, heat)
    return Finding.objects.latest("pk")


def _dispose(shop: Shop, found: Finding | str, decision: str, **more: Any) -> Disposition:
    key = found if isinstance(found, str) else found.key
    told: dict[str, Any] = {"by": RUTH, "reason": "looked into"} | more
    return dispose(build=BUILD, key=key, decision=decision, clock=shop.clock, **told)


class TestBluedSteel:
    @pytest.fixture
    def blued(self, shop: Shop) -> Finding:
        return _cut(shop, "small-end-eye", "dark blue")

    @pytest.mark.parametrize("decision", ["concession", "looked at", "explained"])
    def test_it_is_never_closed_by_words(self, decision: str, blued: Finding, shop: Shop) -> None:
        with refused(Conflict, Code.CONFLICT, "decision"):
            _dispose(shop, blued, decision)

    def test_a_hardness_and_a_crack_test_close_it(self, blued: Finding, shop: Shop) -> None:
        row = _dispose(shop, blued, "tested", evidence=TESTS)
        assert row.evidence == TESTS
        entry = last_entry(STREAM)
        assert (entry.envelope.kind, entry.envelope.actor) == ("finding disposed of", RUTH)
        assert tables(entry) == ["disposition"]

    @pytest.mark.parametrize("missing", list(TESTS))
    def test_one_test_alone_does_not(self, missing: str, blued: Finding, shop: Shop) -> None:
        only = {name: word for name, word in TESTS.items() if name != missing}
        with refused(BadValue, Code.MISSING, f"evidence/{missing}"):
            _dispose(shop, blued, "tested", evidence=only)

    def test_scrap_closes_it_and_the_part_must_leave(self, finished: Shop) -> None:
        blued = _cut(finished, "small-end-eye", "dark blue")
        _dispose(finished, blued, "scrap")
        with refused(ManyErrors, Code.RELEASE_BLOCKED) as caught:
            release_build(by=RUTH, build=BUILD, no_seals_reason="none", clock=finished.clock)
        many = caught.value
        assert isinstance(many, ManyErrors)
        fields = [error.field for error in many.errors]
        assert "part_scrapped" in fields
        assert "blued" not in fields

    def test_one_seen_at_intake_is_found_with_the_note(self, shop: Shop) -> None:
        note_intake(
            by=MARTA,
            build=BUILD,
            kind="rod",
            condition=Condition(),
            exceptions={"R2": Condition(heat="blue", note="at the big end")},
            clock=shop.clock,
        )
        found = Finding.objects.get()
        assert (found.code, found.part_id) == ("blued", "R2")
        assert tables(last_entry(STREAM)) == ["intakenote", "intakenote", "finding"]


class TestStraw:
    def test_an_inspectors_look_with_a_reason_closes_it(self, shop: Shop) -> None:
        found = _cut(shop, "small-end-eye", "straw")
        _dispose(shop, found, "looked at", reason="polished out, none beneath")
        assert Disposition.objects.get().finding == found

    @pytest.mark.parametrize("reason", ["", "  \n"])
    def test_without_a_reason_it_does_not(self, reason: str, shop: Shop) -> None:
        found = _cut(shop, "small-end-eye", "straw")
        with refused(BadValue, Code.MISSING, "reason"):
            _dispose(shop, found, "looked at", reason=reason)


class TestAConcession:
    def test_an_inspector_who_did_none_of_the_work_may_give_one(self, shop: Shop) -> None:
        found = _cut(shop, "beam", "none")
        assert found.code == "forbidden_zone"
        row = _dispose(shop, found, "concession", reason="a scratch of 0.1 mm,\nblended")
        assert row.reason == "a scratch of 0.1 mm, blended"

    def test_one_who_worked_may_not(self, shop: Shop) -> None:
        found = _cut(shop, "beam", "none")
        grant_role(by=MARTA, person=INES, role="inspector", clock=shop.clock)
        with refused(NotAllowed, Code.NOT_ALLOWED, "decision"):
            _dispose(shop, found, "concession", by=INES)


class TestWhatIsRefused:
    def test_a_finding_that_does_not_stand(self, shop: Shop) -> None:
        with refused(Conflict, Code.CONFLICT, "key"):
            _dispose(shop, "no-such-key", "concession")

    def test_a_decision_that_is_none(self, shop: Shop) -> None:
        found = _cut(shop, "small-end-eye", "straw")
        with refused(BadValue, Code.BAD_VALUE, "decision"):
            _dispose(shop, found, "forget it")

    def test_evidence_that_cannot_be_kept(self, shop: Shop) -> None:
        found = _cut(shop, "small-end-eye", "straw")
        with refused(BadValue, Code.BAD_VALUE, "evidence/hardness"):
            _dispose(shop, found, "looked at", evidence={"hardness": "x" * 2001})

    def test_what_only_new_evidence_closes(self, finished: Shop) -> None:
        finished.open_cut("K1", "skirt-inside-edge", "die grinder", "all round")
        found = findings_of(facts_of(BUILD), today=finished.clock.now().date())
        open_one = next(item for item in found if not item.can_be_disposed)
        with refused(Conflict, Code.CONFLICT, "decision"):
            _dispose(finished, open_one.key, "concession")


class TestFittings:
    def test_a_solid_pulley_is_found_as_it_is_booked_and_goes_with_it(self, shop: Shop) -> None:
        book(shop.clock, "Y1", "pulley", None)
        found = Finding.objects.get()
        assert found.code == "solid_pulley"
        assert tables(last_entry(STREAM)) == ["fitment", "finding"]
        told: dict[str, Any] = {"by": INES, "part": "Y1", "build": BUILD, "clock": shop.clock}
        take_out_part(reason="a damper takes its place", **told)
        with refused(Conflict, Code.CONFLICT, "key"):
            _dispose(shop, found, "concession")
        fit_part(place=None, **told)
        assert Finding.objects.filter(code="solid_pulley").count() == 2
