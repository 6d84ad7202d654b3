"""The shop's own rules as they hold now, and what its machinery has left to do."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import Exists, OuterRef

from records.domain.practice.facts import FixtureFacts, QuestionFacts, ShopFacts
from records.models import (
    BalanceRule,
    Checklist,
    OutboxTask,
    RodFixture,
    ShopSettings,
    ToleranceClass,
)
from records.queries.build_facts import shop_facts


@dataclass(frozen=True, slots=True)
class ToleranceRow:
    """A tolerance class: greatest minus least, guard factor, readings and hangings asked."""

    name: str
    version: int
    set_g: Decimal
    big_end_g: Decimal
    whole_rod_g: Decimal
    guard_r: Decimal
    readings: int
    hangings: int


@dataclass(frozen=True, slots=True)
class BalanceRuleRow:
    """Oil and fraction for bob weights, and how close the made-up weights must come."""

    version: int
    oil_g: Decimal
    fraction: Decimal
    range_g: Decimal


@dataclass(frozen=True, slots=True)
class ChecklistRow:
    """A version of the safety checklist with its questions in order."""

    version: int
    questions: tuple[QuestionFacts, ...]


@dataclass(frozen=True, slots=True)
class TaskRow:
    """Something that must still happen, and why it hasn't."""

    id: int
    task: str
    key: str
    created_at: datetime
    attempts: int
    last_error: str
    last_tried_at: datetime | None


def shop_now() -> ShopFacts | None:
    """Return the newest version of the shop's settings; None before it is set up."""
    newest = ShopSettings.objects.order_by("-version").first()
    return shop_facts(newest) if newest else None


def tolerance_classes() -> tuple[ToleranceRow, ...]:
    """Return the newest version of each tolerance class, by name."""
    later = ToleranceClass.objects.filter(name=OuterRef("name"), version__gt=OuterRef("version"))
    return tuple(
        ToleranceRow(
            name=row.name,
            version=row.version,
            set_g=row.set_g,
            big_end_g=row.big_end_g,
            whole_rod_g=row.whole_rod_g,
            guard_r=row.guard_r,
            readings=row.readings,
            hangings=row.hangings,
        )
        for row in ToleranceClass.objects.filter(~Exists(later)).order_by("name")
    )


def balance_rule() -> BalanceRuleRow | None:
    """Return the newest rule for bob weights; None before there is one."""
    row = BalanceRule.objects.order_by("-version").first()
    return BalanceRuleRow(row.version, row.oil_g, row.fraction, row.range_g) if row else None


def checklist() -> ChecklistRow | None:
    """Return the newest version of the safety checklist; None before there is one."""
    row = Checklist.objects.order_by("-version").prefetch_related("questions").first()
    if row is None:
        return None
    questions = sorted(row.questions.all(), key=lambda question: question.order)
    return ChecklistRow(row.version, tuple(QuestionFacts(q.key, q.text) for q in questions))


def rod_fixtures() -> tuple[FixtureFacts, ...]:
    """Return the newest version of each rod fixture, by number."""
    later = RodFixture.objects.filter(number=OuterRef("number"), version__gt=OuterRef("version"))
    return tuple(
        FixtureFacts(row.pk, row.number, row.version, row.big_mm, row.small_mm)
        for row in RodFixture.objects.filter(~Exists(later)).order_by("number")
    )


def rod_fixture(number: str) -> FixtureFacts | None:
    """Return the newest version of one rod fixture."""
    return next((fixture for fixture in rod_fixtures() if fixture.number == number), None)


def outbox_left() -> tuple[TaskRow, ...]:
    """Return what must still happen, oldest first."""
    return tuple(
        TaskRow(
            id=row.pk,
            task=row.task,
            key=row.key,
            created_at=row.created_at,
            attempts=row.attempts,
            last_error=row.last_error,
            last_tried_at=row.last_tried_at,
        )
        for row in OutboxTask.objects.filter(done_at__isnull=True).order_by("id")
    )
