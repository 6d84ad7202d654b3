"""The page of a build: what was judged, what blocks, what is next, and for whose eyes."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from records.domain.errors import NotFound
from records.models import Build, Part
from records.queries.build_page import FindingShown, build_page
from tests.records import factory
from tests.records.factory import START
from tests.records.queries.people_of_the_shop import INES, NILS, ORLA

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 2, 15, 0, tzinfo=UTC)
HEAVY, LIGHT = "446.8", "446.3"
LETTERS = {"piston": "K", "pin": "N", "ring set": "G", "rod": "R"}
MASSES = {"pin": "116.3", "ring set": "37.5"}


def _an_inline_four() -> tuple[Build, dict[str, Part]]:
    """An in-line four on one checked scale; piston 2 is heavier than the rest by 0.5 g."""
    build = factory.a_build(
        layout="i4", customer=factory.a_customer(), rod_length_mm="152.4", stroke_mm="88.0"
    )
    factory.checked(factory.a_scale(), at=START)
    specs = {kind: factory.a_spec(kind) for kind in ("piston", "rod", *MASSES)}
    parts = {}
    for place in range(1, 5):
        for kind, spec in specs.items():
            part = factory.a_part(f"{LETTERS[kind]}{place}", spec=spec)
            factory.fitted(build, part, place)
            factory.noted(build, part)
            parts[part.number] = part
            _weigh(build, part, kind, place)
    return build, parts


def _weigh(build: Build, part: Part, kind: str, place: int) -> None:
    at = START + timedelta(minutes=place)
    if kind == "rod":
        factory.weighed(part, "620.0", "620.0", build=build, at=at)
        hung = ("446.4", "446.4")
        factory.weighed(part, *hung, build=build, at=at, what="big end", how="hung")
        return
    mass = MASSES.get(kind) or (HEAVY if place == 2 else LIGHT)
    factory.weighed(part, mass, mass, build=build, at=at)


def test_a_build_without_parts_says_what_is_missing() -> None:
    factory.a_build(layout="i4")
    page = build_page("26-001", NOW, INES)
    codes = {block.code for block in page.blocks}
    assert {"detail_missing", "not_answered", "evidence_missing"} <= codes
    assert not page.may_be_released
    assert not page.card_state.needed and not page.card_state.exists
    assert page.row.number == page.facts.number == "26-001"
    assert page.today.isoformat() == "2026-03-02"
    assert page.next_step.key == "book_in"
    assert page.waits["match"].refused
    assert page.certificates == ()


def test_the_evidence_is_judged_and_the_plan_names_what_to_do() -> None:
    _an_inline_four()
    page = build_page("26-001", NOW, INES)
    sets = page.judgements[0]
    assert [str(place.difference_g.normalize()) for place in sets.places] == ["0", "0.5", "0", "0"]
    assert all(kind.matches for kind in page.judgements)
    assert page.plan.step is None
    assert page.next_step.key == "checklist"
    assert page.waits["issue card"].refused and "match" not in page.waits
    assert {shown.standing.counts for shown in page.weighings} == {True}
    assert page.scales["S-02"].may_weigh
    assert page.workers["P-01"] == {"weighed", "fitted"}
    assert page.names == {"P-01": "Ines", "P-04": "Marta", "C-01": "Orla"}


def test_a_weighing_that_does_not_count_says_why() -> None:
    build, parts = _an_inline_four()
    factory.weighed(parts["K1"], LIGHT, build=build, at=NOW + timedelta(days=1))
    page = build_page("26-001", NOW + timedelta(days=1), INES)
    last = page.weighings[-1]
    assert [code for code, _ in last.standing.reasons] == ["no_check"]
    assert str(page.scales["S-02"].word) == "not checked today"


def test_a_finding_shows_what_an_inspector_may_decide_and_what_was_decided() -> None:
    build, parts = _an_inline_four()
    before = factory.weighed(parts["K1"], LIGHT, LIGHT, build=build, at=START + timedelta(hours=1))
    after = factory.weighed(parts["K1"], "446.1", build=build, at=START + timedelta(hours=2))
    factory.cut(before, after, zone="crown")
    (shown,) = _forbidden(build_page("26-001", NOW, INES).findings)
    assert shown.finding.part == "K1" and not shown.closed and shown.raised_at is None
    assert ("concession", ()) in shown.decisions
    factory.decided(factory.a_finding(build, shown.finding.key, part=parts["K1"]))
    page = build_page("26-001", NOW, INES)
    (shown,) = _forbidden(page.findings)
    assert shown.closed and shown.raised_at == START
    assert shown.disposition is not None and shown.disposition.decision == "concession"
    assert "forbidden_zone" not in {block.code for block in page.blocks}
    assert page.names["P-03"] == "Ruth"


def _forbidden(findings: tuple[FindingShown, ...]) -> list[FindingShown]:
    return [each for each in findings if each.finding.code == "forbidden_zone"]


def test_a_finding_that_no_longer_stands_is_told_apart() -> None:
    build, _ = _an_inline_four()
    factory.a_finding(build, "of something since undone")
    page = build_page("26-001", NOW, INES)
    assert [found.key for found in page.gone] == ["of something since undone"]
    assert "of something since undone" not in {shown.finding.key for shown in page.findings}


def test_a_customer_sees_their_build_without_what_its_parts_did_elsewhere() -> None:
    _, parts = _an_inline_four()
    other = factory.a_build("25-001", customer=factory.a_customer("C-02", name="Nils"))
    factory.weighed(parts["K1"], "447.9", build=other, at=START - timedelta(days=300), by="P-02")
    assert len(build_page("26-001", NOW, INES).weighings) == 21
    page = build_page("26-001", NOW, ORLA)
    assert len(page.weighings) == len(page.facts.weighings) == 20
    assert "P-02" not in page.names
    with pytest.raises(NotFound):
        build_page("26-001", NOW, NILS)
    with pytest.raises(NotFound):
        build_page("26-404", NOW, INES)


def test_a_released_build_shows_its_certificates() -> None:
    build, _ = _an_inline_four()
    factory.released(build, number="C2026-00001")
    page = build_page("26-001", NOW, INES)
    assert page.next_step.key == "released"
    assert [(row.number, row.revision) for row in page.certificates] == [("C2026-00001", 1)]


def test_the_page_asks_a_bounded_number_of_queries() -> None:
    _an_inline_four()
    with CaptureQueriesContext(connection) as asked:
        build_page("26-001", NOW, INES)
    assert len(asked) <= 38
