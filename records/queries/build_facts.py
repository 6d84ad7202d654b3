"""A build as the facts that the rules judge, in a number of queries that doesn't grow with it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal

from django.db.models import Exists, OuterRef, Prefetch

from records.domain.balance.layout import Cylinder
from records.domain.errors import Code, NotFound
from records.domain.practice.facts import (
    AnswerFacts,
    BuildFacts,
    CardFacts,
    DispositionFacts,
    FindingFacts,
    FitmentFacts,
    FixtureFacts,
    MatchFacts,
    PinFacts,
    PromiseFacts,
    QuestionFacts,
    ShopFacts,
)
from records.models import (
    BobWeightCard,
    Build,
    BuildDetail,
    BuildFixture,
    ChecklistAnswer,
    Disposition,
    Finding,
    Fitment,
    FitmentEnd,
    Match,
    Release,
    ShopSettings,
)
from records.queries.part_facts import part_facts
from records.queries.past_work import also_worked
from records.queries.recall_windows import recalled
from records.queries.scale_facts import scale_facts
from records.queries.weighing_facts import removals_of_parts, weighings_of_parts

Details = Mapping[str, BuildDetail]


def facts_of(build_number: str) -> BuildFacts:
    """Return all that the rules may look at to judge a build.

    Errors: NotFound for a number that no build has.
    """
    build = _build(build_number)
    fitments = _fitments(build)
    parts = sorted({fitment.part for fitment in fitments})
    weighings = weighings_of_parts(parts, build.number)
    since = min((weighing.measured_at for weighing in weighings), default=build.recorded_at)
    return replace(
        _as_opened(build),
        fixture=_fixture(build),
        scales=scale_facts(since),
        parts=part_facts(parts, build.number),
        fitments=fitments,
        weighings=weighings,
        removals=removals_of_parts(parts),
        matches=_matches(build),
        answers=_answers(build),
        findings=findings_on_record(build.number),
        card=card_of(build.number),
        also_worked=also_worked(build.number),
        recalled=recalled(weighings, build.number, build.settings.timezone),
        released=Release.objects.filter(build=build).exists(),
    )


def _as_opened(build: Build) -> BuildFacts:
    """Return what opening it and its details say; nothing fitted, weighed or decided yet."""
    details = _newest_details(build)
    rule = build.balance_rule
    return BuildFacts(
        number=build.number,
        engine=build.engine,
        customer=build.customer_id,
        layout=build.layout,
        use=build.use,
        balance=build.balance,
        opened_at=build.recorded_at,
        opened_by=build.recorded_by_id,
        cylinders=_cylinders(build),
        promise=_promise(build),
        shop=shop_facts(build.settings),
        rule_version=rule.version,
        oil_g=rule.oil_g,
        fraction=rule.fraction,
        bob_range_g=rule.range_g,
        checklist_version=build.checklist_id,
        questions=_questions(build),
        rod_length_mm=_decimal(details, BuildDetail.Key.ROD_LENGTH),
        stroke_mm=_decimal(details, BuildDetail.Key.STROKE),
        event_day=_day(details, BuildDetail.Key.EVENT_DAY),
        crank_in_job=_yes(details, BuildDetail.Key.CRANK_IN_JOB),
        no_crank_reason=_reason(details, BuildDetail.Key.CRANK_IN_JOB),
    )


def shop_facts(settings: ShopSettings) -> ShopFacts:
    """Return a version of the shop's settings."""
    return ShopFacts(
        version=settings.version,
        name=settings.name,
        place=settings.place,
        timezone=settings.timezone,
        demo=settings.demo,
        self_release_street=settings.self_release_street,
    )


def findings_on_record(build: str) -> tuple[FindingFacts, ...]:
    """Return a build's findings in the order they were raised, each with its newest decision."""
    decisions = Prefetch("dispositions", Disposition.objects.order_by("-id"))
    rows = Finding.objects.filter(build=build).order_by("id").prefetch_related(decisions)
    return tuple(
        FindingFacts(
            id=row.pk,
            key=row.key,
            code=row.code,
            part=row.part_id,
            text=row.text,
            raised_at=row.recorded_at,
            disposition=_disposition(row.dispositions.all()),
        )
        for row in rows
    )


def _build(number: str) -> Build:
    rules = ("settings", "tolerance_class", "balance_rule")
    build = Build.objects.select_related(*rules).filter(number=number).first()
    if build is None:
        raise NotFound(Code.NOT_FOUND, f"no build is known as {number!r}", field="build")
    return build


def _newest_details(build: Build) -> Details:
    # oldest first, so that the newest of a key stays
    return {detail.key: detail for detail in build.details.order_by("id")}


def _decimal(details: Details, key: str) -> Decimal | None:
    return Decimal(details[key].value) if key in details else None


def _day(details: Details, key: str) -> date | None:
    return date.fromisoformat(details[key].value) if key in details else None


def _yes(details: Details, key: str) -> bool | None:
    return details[key].value == "yes" if key in details else None


def _reason(details: Details, key: str) -> str:
    return details[key].reason if key in details else ""


def _cylinders(build: Build) -> tuple[Cylinder, ...]:
    return tuple(
        Cylinder(row.place, float(row.throw_deg), float(row.bank_deg), float(row.z_mm), row.pin)
        for row in build.cylinders.order_by("place")
    )


def _promise(build: Build) -> PromiseFacts:
    promised = build.tolerance_class
    return PromiseFacts(
        set_g=build.set_g,
        big_end_g=build.big_end_g,
        whole_rod_g=build.whole_rod_g,
        promised_as=build.promised_as,
        guard_r=build.guard_r,
        readings=promised.readings,
        hangings=promised.hangings,
        tolerance_class=promised.name,
        tolerance_version=promised.version,
    )


def _questions(build: Build) -> tuple[QuestionFacts, ...]:
    rows = build.checklist.questions.order_by("order")
    return tuple(QuestionFacts(row.key, row.text) for row in rows)


def _fixture(build: Build) -> FixtureFacts | None:
    newest = BuildFixture.objects.filter(build=build).select_related("fixture").order_by("-id")
    row = newest.first()
    if row is None:
        return None
    fixture = row.fixture
    return FixtureFacts(
        fixture.pk, fixture.number, fixture.version, fixture.big_mm, fixture.small_mm
    )


def _fitments(build: Build) -> tuple[FitmentFacts, ...]:
    rows = Fitment.objects.filter(build=build).select_related("end").order_by("fitted_at", "id")
    return tuple(_fitment(row, end_of(row)) for row in rows)


def _fitment(row: Fitment, end: FitmentEnd | None) -> FitmentFacts:
    return FitmentFacts(
        id=row.pk,
        part=row.part_id,
        place=row.place,
        fitted_at=row.fitted_at,
        fitted_by=row.operator_id,
        ended_at=end.ended_at if end else None,
        ended_by=end.operator_id if end else None,
        at_booking=row.at_booking,
    )


def end_of(row: Fitment) -> FitmentEnd | None:
    """Return the row that ended a fitment, if any did."""
    try:
        return row.end
    except FitmentEnd.DoesNotExist:
        return None


def _matches(build: Build) -> tuple[MatchFacts, ...]:
    return tuple(
        MatchFacts(
            id=row.pk,
            kinds=tuple(row.kinds),
            sets=tuple((each["place"], tuple(each["parts"])) for each in row.sets),
            matched_at=row.matched_at,
            operator=row.operator_id,
        )
        for row in Match.objects.filter(build=build).order_by("matched_at", "id")
    )


def _answers(build: Build) -> tuple[AnswerFacts, ...]:
    """Return the newest answer of each question, in the order of the checklist."""
    later = ChecklistAnswer.objects.filter(
        build=OuterRef("build"), question=OuterRef("question"), pk__gt=OuterRef("pk")
    )
    newest = ChecklistAnswer.objects.filter(~Exists(later), build=build)
    return tuple(
        AnswerFacts(
            id=row.pk,
            key=row.question.key,
            text=row.question.text,
            answer=row.answer,
            detail=row.detail,
            operator=row.operator_id,
            answered_at=row.answered_at,
        )
        for row in newest.select_related("question").order_by("question__order")
    )


def _disposition(newest_first: Iterable[Disposition]) -> DispositionFacts | None:
    row = next(iter(newest_first), None)
    if row is None:
        return None
    return DispositionFacts(
        row.decision, row.reason, dict(row.evidence), row.recorded_by_id, row.recorded_at
    )


def card_of(build: str, until: datetime | None = None) -> CardFacts | None:
    """Return a build's newest bob-weight card, or the newest issued until a moment."""
    newest = BobWeightCard.objects.filter(build=build).order_by("-revision")
    if until is not None:
        newest = newest.filter(issued_at__lte=until)
    row = newest.prefetch_related("weights", "sources").first()
    if row is None:
        return None
    pins = sorted(row.weights.all(), key=lambda weight: weight.pin)
    return CardFacts(
        id=row.pk,
        revision=row.revision,
        rule_version=row.rule_id,
        oil_g=row.oil_g,
        fraction=row.fraction,
        issued_at=row.issued_at,
        operator=row.operator_id,
        pins=tuple(
            PinFacts(p.pin, p.rods, p.rotating_g, p.reciprocating_g, p.total_g, p.U_g) for p in pins
        ),
        sources=tuple(sorted(source.weighing_id for source in row.sources.all())),
    )
