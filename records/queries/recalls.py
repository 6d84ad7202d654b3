"""Recalls as they are told: the list, one with its cases, and its report as PDF and as rows."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal

from django.db.models import Count, Prefetch, Q, QuerySet

from records.documents.layout.recall import ShopTold, render_recall
from records.domain.practice.facts_of_scales import CheckLoad
from records.domain.practice.recall import Outcome
from records.domain.practice.recall_report import (
    WORST_FIRST,
    CaseTold,
    EndTold,
    ItemTold,
    NoticeTold,
    ProgressTold,
    RecallTold,
    SilentTold,
)
from records.domain.practice.recall_window import FoundOut, silent_checks
from records.models import (
    CertificateState,
    OutboxTask,
    Recall,
    RecallCase,
    RecallClearing,
    RecallItem,
    ShopSettings,
    TaskProgress,
)
from records.queries.certificates import state_of
from records.queries.people import customer_names_of, names_of
from records.queries.recall_windows import window_of
from records.queries.scale_facts import facts_of_scales
from records.queries.viewer import not_found

RECKON = "records.reckon_recall"
A_FORMULA = ("=", "+", "-", "@", "\t", "\r")  # what a spreadsheet would run


@dataclass(frozen=True, slots=True)
class RecallRow:
    """A recall in a list: how many builds, how many still open, how many with a flip."""

    id: int
    scale: str
    cause: str
    until: datetime
    recalled_at: datetime
    builds: int
    open: int
    flipping: int


def recalls() -> tuple[RecallRow, ...]:
    """Return every recall, newest first."""
    open_cases = Q(cases__clearing__isnull=True, cases__finding__isnull=False)
    rows = Recall.objects.annotate(
        builds=Count("cases", distinct=True),
        still=Count("cases", filter=open_cases, distinct=True),
        flipping=Count("cases", filter=Q(cases__outcome=Outcome.FLIPS), distinct=True),
    )
    return tuple(
        RecallRow(
            row.pk,
            row.scale_id,
            row.cause,
            row.until,
            row.recorded_at,
            row.builds,
            row.still,
            row.flipping,
        )
        for row in rows.order_by("-pk")
    )


def recall_told(id: int) -> RecallTold:
    """Return a recall with its cases, the worst first.

    Errors: NotFound for a number that no recall has.
    """
    recall = Recall.objects.select_related("calibration").filter(pk=id).first()
    if recall is None:
        raise not_found("recall", id)
    found = window_of(recall)
    return RecallTold(
        id=recall.pk,
        scale=recall.scale_id,
        found_by=_found_by(recall),
        cause=recall.cause,
        since=recall.since,
        until=recall.until,
        recalled_at=recall.recorded_at,
        recalled_by=recall.recorded_by_id,
        points=found.points,
        proofs=tuple((proof.load_g, proof.at) for proof in found.proofs),
        silent=tuple(_silent(found)),
        progress=_progress(recall),
        cases=tuple(sorted(map(_case, _cases(recall)), key=_open_and_worst_first)),
    )


def recall_pdf(id: int) -> bytes:
    """Return the report of a recall as it stands now, unsigned."""
    told = recall_told(id)
    shop = ShopSettings.objects.latest("version")
    people = {told.recalled_by, *(case.end.by for case in told.cases if case.end)}
    customers = [case.customer for case in told.cases if case.customer]
    names = {**names_of(people), **customer_names_of(customers)}
    paper = ShopTold(shop.name, shop.place, shop.timezone, shop.demo)
    return render_recall(told, paper, names, datetime.now(UTC))


def recall_csv(id: int) -> str:
    """Return the report of a recall as rows, one for each decision; UTF-8 text, RFC 4180."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(HEADS)
    for case in recall_told(id).cases:
        writer.writerows([_plain(cell) for cell in row] for row in _rows(case))
    return out.getvalue()


HEADS = (
    "build", "engine", "certificate", "revision", "certificate state", "ended as", "reason",
    "decision", "place or pin", "parts", "limit g", "before g", "before U g", "before",
    "before margin g", "after g", "after U g", "after", "after margin g", "outcome", "why",
    "weighings in doubt",
)  # fmt: skip
Cell = str | int | Decimal | None


def _rows(case: CaseTold) -> Iterator[tuple[Cell, ...]]:
    end = case.end
    whole = (
        case.build, case.engine, case.certificate, case.revision, case.state,
        end.outcome if end else "", end.reason if end else "",
    )  # fmt: skip
    for item in case.items:
        yield (
            *whole, item.kind, item.place, " ".join(item.parts), item.limit_g, item.before_g,
            item.before_U_g, item.before_verdict, item.before_margin_g, item.after_g,
            item.after_U_g, item.after_verdict, item.after_margin_g, item.outcome, item.text,
            " ".join(map(str, item.touched)),
        )  # fmt: skip
    if not case.items:
        yield (*whole, *[""] * 12, case.outcome, "no decision rests on it", case.weighings)


def _plain(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, Decimal):
        return format(cell.normalize(), "f")
    text = str(cell)
    return f"'{text}" if text.startswith(A_FORMULA) else text


def _cases(recall: Recall) -> QuerySet[RecallCase]:
    states = Prefetch("release__states", CertificateState.objects.order_by("id"))
    rows = recall.cases.select_related("build", "release", "notice", "clearing__release")
    return rows.prefetch_related("items__removal", "parts", states)


def _open_and_worst_first(case: CaseTold) -> tuple[bool, int, str]:
    return not case.open, WORST_FIRST.index(Outcome(case.outcome)), case.build


def _case(case: RecallCase) -> CaseTold:
    release = case.release
    notice = getattr(case, "notice", None)
    end = getattr(case, "clearing", None)
    return CaseTold(
        build=case.build_id,
        engine=case.build.engine,
        customer=case.build.customer_id,
        weighings=case.weighings,
        outcome=case.outcome,
        certificate=release.certificate_number if release else "",
        revision=release.revision if release else None,
        state=state_of(release)[0] if release else "",
        parts=tuple(sorted((part.part_id, part.weighings) for part in case.parts.all())),
        items=tuple(_item(item) for item in sorted(case.items.all(), key=lambda item: item.pk)),
        notice=NoticeTold(notice.customer_id, notice.subject, notice.body) if notice else None,
        end=_end(end) if end else None,
    )


def _end(row: RecallClearing) -> EndTold:
    revision = row.release.revision if row.release else None
    return EndTold(row.outcome, row.reason, row.recorded_at, row.recorded_by_id, revision)


def _item(item: RecallItem) -> ItemTold:
    return ItemTold(
        kind=item.kind,
        place=item.place,
        parts=(item.removal.part_id,) if item.removal else (),
        limit_g=item.limit_g,
        before_g=item.before_g,
        before_U_g=item.before_U_g,
        before_verdict=item.before_verdict,
        before_margin_g=item.before_margin_g,
        after_g=item.after_g,
        after_U_g=item.after_U_g,
        after_verdict=item.after_verdict,
        after_margin_g=item.after_margin_g,
        outcome=item.outcome,
        text=item.text,
        touched=tuple(item.touched),
    )


def _found_by(recall: Recall) -> str:
    if recall.calibration is not None:
        return f"calibration {recall.calibration.certificate_number}, as found"
    if recall.check_weight_id is not None:
        return f"check weight {recall.check_weight_id}, which had let it pass"
    return "a failed check"


def _silent(found: FoundOut) -> Iterator[SilentTold]:
    scale = facts_of_scales([found.scale])[found.scale]
    timezone = ShopSettings.objects.latest("version").timezone
    for load in silent_checks(found, scale, timezone):
        yield SilentTold(load.load_g, _error_g(found, load), load.limit_g)


def _error_g(found: FoundOut, load: CheckLoad) -> Decimal | None:
    return found.error_g(load.load_g) if found.known_at(load.load_g) else None


def _progress(recall: Recall) -> ProgressTold:
    row = TaskProgress.objects.filter(task=RECKON, key=str(recall.pk)).first()
    waiting = OutboxTask.objects.filter(task=RECKON, done_at__isnull=True)
    left = waiting.filter(Q(key=str(recall.pk)) | Q(key__startswith=f"{recall.pk}/")).first()
    return ProgressTold(
        done=row.done if row else 0,
        total=row.total if row else 0,
        finished=row is not None and row.finished_at is not None,
        error=left.last_error if left else "",
    )
