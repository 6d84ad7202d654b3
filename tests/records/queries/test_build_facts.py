"""A build's facts are what stands on the record now, in a bounded number of queries."""

from __future__ import annotations

from datetime import UTC, date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from records.domain.errors import NotFound
from records.models import PartSpec
from records.queries.build_facts import facts_of
from records.queries.verification import verify_record
from tests.records import factory
from tests.records.factory import START

pytestmark = pytest.mark.django_db
LATER = START + timedelta(hours=1)
LAST = START + timedelta(hours=2)
MOST_QUERIES = 36


def test_it_says_what_was_promised_and_under_which_versions() -> None:
    factory.a_build("26-001", use="competition")
    facts = facts_of("26-001")
    assert (facts.number, facts.use, facts.balance) == ("26-001", "competition", "neutral")
    assert facts.promise.set_g == Decimal("0.5")
    assert (facts.promise.guard_r, facts.promise.hangings) == (Decimal(1), 3)
    assert (facts.promise.tolerance_class, facts.promise.tolerance_version) == ("competition", 1)
    assert (facts.rule_version, facts.oil_g, facts.fraction) == (1, Decimal(5), Decimal("0.5"))
    assert facts.shop.name == "Ferrow Lane Balancing"
    assert [question.key for question in facts.questions] == list(factory.QUESTIONS)
    assert (facts.opened_at, facts.opened_by) == (START, "P-04")
    assert not facts.released


def test_it_keeps_the_cylinders_as_entered() -> None:
    factory.a_build(layout="v8-90")
    cylinders = facts_of("26-001").cylinders
    assert [cylinder.place for cylinder in cylinders] == list(range(1, 9))
    assert (cylinders[0].throw_deg, cylinders[0].bank_deg, cylinders[7].pin) == (0.0, -45.0, 4)


def test_an_unknown_build_is_not_found() -> None:
    with pytest.raises(NotFound, match="26-404"):
        facts_of("26-404")


def test_the_newest_detail_of_a_key_holds() -> None:
    build = factory.a_build(rod_length_mm="150", event_day="2026-05-02")
    factory.a_detail(build, "rod_length_mm", "152.4")
    factory.a_detail(build, "crank_in_job", "no", reason="it stays in the car")
    facts = facts_of(build.number)
    assert facts.rod_length_mm == Decimal("152.4")
    assert facts.event_day == date(2026, 5, 2)
    assert (facts.crank_in_job, facts.no_crank_reason) == (False, "it stays in the car")
    assert facts.stroke_mm is None


def test_what_was_not_said_is_unknown() -> None:
    facts = facts_of(factory.a_build().number)
    assert facts.rod_length_mm is None
    assert facts.event_day is None
    assert facts.crank_in_job is None
    assert facts.fixture is None
    assert facts.card is None


def test_the_newest_fixture_holds() -> None:
    build = factory.a_build()
    factory.hung_in(build, factory.a_fixture(version=1))
    second = factory.a_fixture(version=2)
    factory.hung_in(build, second)
    fixture = facts_of(build.number).fixture
    assert fixture is not None
    assert (fixture.id, fixture.number, fixture.version) == (second.pk, "F-01", 2)


def test_a_part_taken_out_stays_in_the_facts_with_its_end() -> None:
    build, first, second = factory.a_build(), factory.a_part("PA01"), factory.a_part("PA02")
    factory.taken_out(factory.fitted(build, first, 1), at=LATER)
    factory.fitted(build, second, 1, at=LAST)
    facts = facts_of(build.number)
    assert [(f.part, f.place, f.ended_at) for f in facts.fitments] == [
        ("PA01", 1, LATER),
        ("PA02", 1, None),
    ]
    assert set(facts.parts) == {"PA01", "PA02"}


def test_a_corrected_weighing_is_left_out_and_what_stands_for_it_stays() -> None:
    build, part = factory.a_build(), factory.a_part("PA01")
    factory.fitted(build, part, 1)
    wrong = factory.weighed(part, "464.8", build=build)
    right = factory.weighed(part, "446.8", "446.7", build=build, at=LATER)
    factory.corrected(wrong, right=right)
    (weighing,) = facts_of(build.number).weighings
    assert (weighing.id, weighing.mean_g) == (right.pk, Decimal("446.75"))
    assert [(r.text, r.unit, r.grams) for r in weighing.readings] == [
        ("446.8", "g", Decimal("446.8")),
        ("446.7", "g", Decimal("446.7")),
    ]
    assert (weighing.scale, weighing.operator) == ("S-02", "P-01")
    assert weighing.measured_at == LATER and weighing.measured_at.tzinfo is UTC


def test_a_corrected_removal_is_left_out() -> None:
    build, part = factory.a_build(), factory.a_part("PA01")
    factory.fitted(build, part, 1)
    first = factory.weighed(part, "446.8", build=build)
    second = factory.weighed(part, "446.3", build=build, at=LATER)
    third = factory.weighed(part, "446.0", build=build, at=LAST)
    factory.cut_taken_back(factory.cut(first, second))
    factory.cut(second, third)
    (removal,) = facts_of(build.number).removals
    assert (removal.before, removal.after) == (second.pk, third.pk)
    assert (removal.mass_g, removal.U_g, removal.heat) == (
        Decimal("0.3"),
        Decimal("0.15"),
        "none",
    )
    zone = next(z for z in facts_of(build.number).parts["PA01"].spec.zones if z.key == "skirt")
    assert removal.zones == (zone.id,)


def test_an_open_removal_has_no_mass_yet() -> None:
    build, part = factory.a_build(), factory.a_part("PA01")
    factory.fitted(build, part, 1)
    factory.cut(factory.weighed(part, "446.8", build=build), None)
    (removal,) = facts_of(build.number).removals
    assert (removal.after, removal.mass_g, removal.U_g, removal.heat) == (None, None, None, None)


def test_a_part_brings_its_life_along_but_not_the_sets_of_another_build() -> None:
    old, new = factory.a_build("25-001"), factory.a_build("26-001")
    part, other = factory.a_part("PA01"), factory.a_part("PA99")
    factory.taken_out(factory.fitted(old, part, 3), at=LATER)
    factory.fitted(old, other, 4)
    factory.fitted(new, part, 1, at=LAST)
    before = factory.weighed(part, "446.8", build=old)
    factory.cut(before, factory.weighed(part, "446.3", build=old, at=LATER))
    factory.weighed(other, "450.0", build=old)
    factory.weighed(None, "700.0", build=old, what="set", place=3, members=[part])
    factory.weighed(None, "701.0", build=new, what="set", place=1, members=[part], at=LAST)
    facts = facts_of("26-001")
    assert [(w.what, w.part, w.place, w.members, w.mean_g) for w in facts.weighings] == [
        ("whole", "PA01", None, (), Decimal("446.8")),
        ("whole", "PA01", None, (), Decimal("446.3")),
        ("set", None, 1, ("PA01",), Decimal("701.0")),
    ]
    assert [(removal.part, removal.build) for removal in facts.removals] == [("PA01", "25-001")]


def test_the_newest_answer_decision_and_card_hold() -> None:
    build, part = factory.a_build(), factory.a_part("PA01")
    factory.fitted(build, part, 1)
    factory.answered(build, "no-blue", "no")
    factory.answered(build, "no-blue", "yes", at=LATER)
    finding = factory.a_finding(build, part=part)
    factory.decided(finding, "rework", reason="cut it again")
    factory.decided(finding, "concession", reason="seen, and shallow")
    weighing = factory.weighed(part, "446.8", build=build)
    factory.a_card(build, [weighing], revision=1)
    factory.a_card(build, [weighing], revision=2, at=LATER)
    factory.matched(build, {1: ["PA01"]})
    facts = facts_of(build.number)
    assert [(a.key, a.answer) for a in facts.answers] == [("no-blue", "yes")]
    (found,) = facts.findings
    assert (found.part, found.code) == ("PA01", "forbidden_zone")
    assert found.disposition is not None
    assert (found.disposition.decision, found.disposition.by) == ("concession", "P-03")
    assert facts.card is not None
    assert (facts.card.revision, facts.card.sources) == (2, (weighing.pk,))
    assert [pin.total_g for pin in facts.card.pins] == [Decimal("1750.3")] * 2
    assert facts.matches[0].sets == ((1, ("PA01",)),)


def test_a_release_is_seen() -> None:
    build = factory.a_build()
    factory.released(build)
    assert facts_of(build.number).released


def _a_full_set(build_number: str, places: int) -> None:
    build = factory.a_build(build_number)
    spec = PartSpec.objects.filter(kind="piston").first() or factory.a_spec("piston")
    for place in range(1, places + 1):
        part = factory.a_part(f"{build_number}-{place}", spec=spec)
        factory.fitted(build, part, place)
        factory.noted(build, part)
        before = factory.weighed(part, "446.8", "446.8", build=build)
        factory.cut(before, factory.weighed(part, "446.3", build=build, at=LATER))
        factory.decided(factory.a_finding(build, f"key-{place}", part=part))
    factory.a_card(build)
    factory.hung_in(build, factory.a_fixture(build_number))


def test_the_number_of_queries_does_not_grow_with_the_build() -> None:
    _a_full_set("26-001", places=1)
    _a_full_set("26-002", places=6)
    counts = []
    for number in ("26-001", "26-002"):
        with CaptureQueriesContext(connection) as asked:
            facts_of(number)
        counts.append(len(asked))
    assert counts[0] == counts[1] <= MOST_QUERIES


def test_what_the_factory_makes_stands_the_verification() -> None:
    _a_full_set("26-001", places=1)
    verification = verify_record()
    assert verification.told() == []
    assert verification.rows > 20


def test_whose_work_was_corrected_or_overtaken_is_still_known() -> None:
    build, part = factory.a_build(), factory.a_part("PA01")
    factory.fitted(build, part, 1)
    first = factory.weighed(part, "446.8", build=build, by="P-05")
    factory.corrected(first)
    factory.weighed(part, "446.8", build=build, by="P-06")
    before = factory.weighed(part, "446.7", build=build)
    factory.cut_taken_back(factory.cut(before, None))
    factory.answered(build, "no-blue", "no")
    assert facts_of(build.number).also_worked == {"P-05": "weighed", "P-02": "cut"}
    factory.answered(build, "no-blue", "yes", at=LATER)
    assert facts_of(build.number).also_worked["P-01"] == "answered"


def test_a_reviewers_corrected_verification_is_no_work() -> None:
    build, part = factory.a_build(), factory.a_part("PA01")
    factory.fitted(build, part, 1)
    seen = factory.weighed(part, "446.8", build=build, by="P-03", purpose="verification")
    factory.corrected(seen)
    assert facts_of(build.number).also_worked == {}
