"""Findings: raised by deeds as they happen, disposed of by an inspector."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from django.db import models

from records import ledger
from records.actions.clock import SYSTEM, Clock
from records.actions.deed import Act, deed
from records.actions.lookup import found, optional_text, text
from records.domain.errors import Code, Conflict
from records.domain.practice.closing import check_disposition
from records.domain.practice.facts import BuildFacts
from records.domain.practice.finding import RAISED_BY_A_DEED
from records.domain.practice.finding import Finding as Present
from records.domain.practice.findings import findings_of
from records.domain.practice.separation import workers
from records.domain.practice.shop_day import shop_day
from records.models import Build, Disposition, Finding
from records.queries.build_facts import facts_of


def raise_findings(act: Act, build: Build) -> list[models.Model]:
    """Write down the findings that a deed brought about; the caller enters them with the deed.

    What merely is not finished yet is reckoned afresh each time and not written.
    """
    facts = facts_of(build.number)
    known = {finding.key for finding in facts.findings}
    present = findings_of(facts, today=shop_day(act.at, facts.shop.timezone))
    return [
        _written(act, build, found_now)
        for found_now in present
        if found_now.key not in known and found_now.code in RAISED_BY_A_DEED
    ]


def dispose(
    *,
    by: str,
    build: str,
    key: str,
    decision: str,
    reason: str,
    evidence: Mapping[str, str] | None = None,
    clock: Clock = SYSTEM,
) -> Disposition:
    """Record what an inspector decided about a finding that stands.

    Errors: NotAllowed for who did the work; Conflict when the finding doesn't stand or the
    decision can't close it.
    """
    stream = ledger.build_stream(build)
    with deed(by=by, name="dispose", streams=[stream], clock=clock) as act:
        where = found(Build, build, "build")
        facts = facts_of(build)
        present = _present(facts, key, act.at)
        check_disposition(
            present.code,
            decision,
            has_part=present.part is not None,
            reason=reason,
            evidence=evidence or {},
            by=by,
            workers=workers(facts).keys(),
        )
        row, new = _on_record(act, where, present)
        disposition = Disposition.objects.create(
            finding=row,
            decision=decision,
            reason=text(reason, "reason", 2000),
            evidence=_evidence(evidence or {}),
            **act.stamp,
        )
        act.enter(stream, "finding disposed of", [*new, disposition])
        return disposition


def _evidence(given: Mapping[str, str]) -> dict[str, str]:
    return {
        text(name, "evidence", 40): optional_text(word, f"evidence/{name}", 2000)
        for name, word in given.items()
    }


def _present(facts: BuildFacts, key: str, moment: datetime) -> Present:
    for present in findings_of(facts, today=shop_day(moment, facts.shop.timezone)):
        if present.key == key:
            return present
    raise Conflict(
        Code.CONFLICT, f"no finding {key} stands on {facts.number} now", field="key", got=key
    )


def _on_record(act: Act, build: Build, present: Present) -> tuple[Finding, list[models.Model]]:
    row = Finding.objects.filter(build=build, key=present.key).first()
    if row:
        return row, []
    row = _written(act, build, present)
    return row, [row]


def _written(act: Act, build: Build, present: Present) -> Finding:
    return Finding.objects.create(
        build=build,
        part_id=present.part,
        key=present.key,
        code=present.code,
        text=present.text,
        **act.stamp,
    )
