"""The shop's rules as they hold now: the newest version of each."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest

from records.domain.errors import NotFound
from records.models import BalanceRule, OutboxTask, ShopSettings, ToleranceClass
from records.queries.check_weights import check_weights
from records.queries.scales import scale_page, scales_with_status
from records.queries.shop import (
    balance_rule,
    checklist,
    outbox_left,
    rod_fixture,
    rod_fixtures,
    shop_now,
    tolerance_classes,
)
from records.queries.specs import spec_page, specs
from tests.records import factory
from tests.records.factory import START, entered, grams, stamp

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


def test_before_the_shop_is_set_up_there_are_no_rules() -> None:
    assert (shop_now(), balance_rule(), checklist()) == (None, None, None)
    assert not (tolerance_classes() or rod_fixtures() or outbox_left())


def test_the_newest_version_of_each_rule_holds() -> None:
    first = factory.a_shop()
    entered(
        ShopSettings(version=2, name="Ferrow Lane", timezone=first.timezone, demo=True, **stamp()),
        BalanceRule(
            version=2, oil_g=grams("4"), fraction=grams("0.5"), range_g=grams("0.4"), **stamp()
        ),
        ToleranceClass(
            name="street",
            version=2,
            set_g=grams("0.8"),
            big_end_g=grams("1"),
            whole_rod_g=grams("1"),
            guard_r=grams("0"),
            readings=2,
            hangings=2,
            **stamp(),
        ),
    )
    factory.a_fixture("F-01", version=1)
    newest = factory.a_fixture("F-01", version=2)
    shop, rule, asked = shop_now(), balance_rule(), checklist()
    assert shop is not None and (shop.version, shop.demo) == (2, True)
    assert rule is not None and (rule.version, rule.oil_g) == (2, Decimal(4))
    assert [(row.name, row.version, row.set_g) for row in tolerance_classes()] == [
        ("competition", 1, Decimal("0.5")),
        ("street", 2, Decimal("0.8")),
    ]
    assert asked is not None and [q.key for q in asked.questions] == list(factory.QUESTIONS)
    fixture = rod_fixture("F-01")
    assert fixture is not None and (fixture.id, fixture.version) == (newest.pk, 2)
    assert rod_fixture("F-02") is None


def test_what_is_done_is_no_longer_left() -> None:
    OutboxTask.objects.create(task="issue", key="1", done_at=START)
    OutboxTask.objects.create(task="issue", key="2", attempts=3, last_error="no key")
    (left,) = outbox_left()
    assert (left.task, left.key, left.attempts, left.last_error) == ("issue", "2", 3, "no key")


def test_specs_come_in_their_newest_version_with_their_zones() -> None:
    factory.a_spec("piston")
    factory.a_spec("piston", version=2)
    factory.a_spec("pin")
    assert [(spec.number, spec.version) for spec in specs()] == [("SP-pin", 1), ("SP-piston", 2)]
    page = spec_page("SP-piston")
    assert (page.spec.version, [row.version for row in page.versions]) == (2, [2, 1])
    assert spec_page("SP-piston", 1).spec.version == 1
    assert len(page.spec.zones) == 3
    for number, version in (("SP-none", None), ("SP-piston", 3)):
        with pytest.raises(NotFound):
            spec_page(number, version)


def test_a_scale_says_its_standing_and_why() -> None:
    factory.a_shop()
    factory.checked(factory.a_scale("S-01"), at=START)
    factory.a_scale("S-02", due_on=date(2026, 3, 1))
    factory.a_scale("S-03", calibrated=False)
    factory.checked(factory.a_scale("S-04"), at=START, passed=False)
    factory.a_scale("S-05")
    rows = {row.number: row for row in scales_with_status(NOON)}
    assert {number: (row.word, row.may_weigh) for number, row in rows.items()} == {
        "S-01": ("fit", True),
        "S-02": ("overdue", False),
        "S-03": ("never calibrated", False),
        "S-04": ("failed check", False),
        "S-05": ("not checked today", False),
    }
    assert "expired 2026-03-01" in rows["S-02"].reason
    assert (rows["S-01"].certificate_number, rows["S-01"].due_on) == ("K-2601", date(2027, 1, 15))
    assert (rows["S-04"].last_check_at, rows["S-04"].last_check_passed) == (START, False)
    assert (rows["S-03"].due_on, rows["S-03"].last_check_at) == (None, None)


def test_a_scale_page_shows_certificates_and_checks_newest_first() -> None:
    factory.a_shop()
    scale = factory.a_scale("S-01")
    factory.a_calibration(scale, certificate="K-2602", on=date(2026, 2, 1))
    factory.checked(scale, at=START)
    factory.checked(scale, at=START + timedelta(hours=1), passed=False)
    page = scale_page("S-01", NOON)
    assert [row.facts.certificate_number for row in page.calibrations] == ["K-2602", "K-2601"]
    assert [(row.passed, row.operator) for row in page.checks] == [(False, "P-01"), (True, "P-01")]
    assert page.checks[0].loads[0].text == "1000.9"
    assert page.checks[0].loads[0].weights == ("W-1000",)
    assert page.scale.word == "failed check"
    with pytest.raises(NotFound):
        scale_page("S-99", NOON)


def test_check_weights_come_lightest_first() -> None:
    factory.a_check_weight("W-1000", "1000")
    factory.a_check_weight("W-500", "500")
    assert [(row.number, row.accuracy_class) for row in check_weights()] == [
        ("W-500", "M1"),
        ("W-1000", "M1"),
    ]
