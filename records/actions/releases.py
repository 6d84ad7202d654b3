"""Releases: a build handed on by an inspector, its facts frozen for the certificate."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import models

from records import ledger, outbox
from records.actions.certificate_states import final_state, put_in_state
from records.actions.clock import SYSTEM, Clock
from records.actions.deed import Act, deed
from records.actions.lookup import found, optional_text, text
from records.domain.errors import BadValue, Code, Conflict
from records.domain.practice.facts import BuildFacts
from records.domain.practice.release import ReleaseRuling, check_release
from records.domain.practice.shop_day import shop_day
from records.domain.proof.canonical import canonical_bytes
from records.models import Build, CertificateState, EngineSeal, Release
from records.queries.build_facts import facts_of
from records.queries.certificate_facts import Paper, certificate_facts

# Letters and digits that are not mistaken for one another on paper (Crockford's base 32).
CODE_LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
ISSUE = "records.issue_certificate"


@dataclass(frozen=True, slots=True)
class Seal:
    """A seal put on the engine: its number, and where."""

    number: str
    where: str = ""


@dataclass(frozen=True, slots=True)
class _Said:
    """What the inspector said in words, tidied; check_release refuses an empty seal number."""

    seals: tuple[tuple[str, str], ...]
    no_seals_reason: str
    not_for_competition_reason: str


def release_build(
    *,
    by: str,
    build: str,
    seals: Sequence[Seal] = (),
    no_seals_reason: str = "",
    seen_conditional: bool = False,
    not_for_competition: bool = False,
    not_for_competition_reason: str = "",
    replaces: bool = False,
    clock: Clock = SYSTEM,
) -> Release:
    """Release a build: fix the certificate's number and the hash of its facts.

    The paper itself is rendered and signed afterwards, outside this transaction.
    Errors: NotAllowed for who did the work; Conflict or ManyErrors with each thing that blocks.
    """
    said = _said(seals, no_seals_reason, not_for_competition_reason)
    stream = ledger.build_stream(build)
    with deed(by=by, name="release", streams=[stream, ledger.SHOP_STREAM], clock=clock) as act:
        where, facts = found(Build, build, "build"), facts_of(build)
        ruling = check_release(
            facts,
            releaser=by,
            releaser_roles=act.roles,
            today=shop_day(act.at, facts.shop.timezone),
            seen_conditional=seen_conditional,
            seals=[number for number, _ in said.seals],
            no_seals_reason=said.no_seals_reason,
            not_for_competition=not_for_competition,
            not_for_competition_reason=said.not_for_competition_reason,
            replaces=replaces,
        )
        before = _standing_before(where, replaces=replaces)
        row, rows = _written(act, where, _paper(act, facts, ruling, before, said), before)
        act.enter(stream, "build released", rows, {"facts_sha256": row.facts_sha256})
        outbox.leave(ISSUE, str(row.pk), start_now=not clock.is_set)
        return row


def change_certificate_state(
    *, by: str, certificate: str, revision: int, state: str, reason: str, clock: Clock = SYSTEM
) -> CertificateState:
    """Put a certificate in doubt, withdraw it, or let it stand again, with the reason."""
    allowed = ("stands", "in doubt", "withdrawn")
    if state not in allowed:
        raise BadValue(
            Code.BAD_VALUE, f"expected one of {', '.join(allowed)}, got {state!r}", field="state"
        )
    release = Release.objects.filter(certificate_number=certificate, revision=revision).first()
    if release is None:
        raise BadValue(
            Code.UNKNOWN_NUMBER,
            f"no certificate {certificate}, revision {revision}",
            field="certificate",
        )
    stream = ledger.build_stream(release.build_id)
    with deed(by=by, name="change certificate", streams=[stream], clock=clock) as act:
        row = put_in_state(act, release, state, text(reason, "reason", 2000))
        act.enter(stream, f"certificate {state}", [row])
        return row


def _standing_before(build: Build, *, replaces: bool) -> Release | None:
    """Return the newest release; to replace one, there must be one."""
    newest = Release.objects.filter(build=build).order_by("-revision").first()
    if replaces and newest is None:
        nothing = f"expected a release of build {build.number} to replace, got none"
        raise Conflict(Code.CONFLICT, nothing, field="replaces")
    return newest


def _said(seals: Sequence[Seal], no_seals_reason: str, not_for_competition_reason: str) -> _Said:
    return _Said(
        _seals(seals),
        optional_text(no_seals_reason, "no_seals_reason", 400),
        optional_text(not_for_competition_reason, "not_for_competition_reason", 400),
    )


def _seals(seals: Sequence[Seal]) -> tuple[tuple[str, str], ...]:
    return tuple(
        (
            optional_text(seal.number, f"seals/{index}/number", 80),
            optional_text(seal.where, f"seals/{index}/where", 120),
        )
        for index, seal in enumerate(seals)
    )


def _paper(
    act: Act, facts: BuildFacts, ruling: ReleaseRuling, before: Release | None, said: _Said
) -> Paper:
    return Paper(
        number=before.certificate_number if before else _next_number(act.at),
        revision=before.revision + 1 if before else 1,
        replaces=before.revision if before else None,
        check_code="".join(secrets.choice(CODE_LETTERS) for _ in range(8)),
        released_at=act.at,
        released_by=act.person.number,
        facts=facts,
        ruling=ruling,
        seals=said.seals,
        no_seals_reason=said.no_seals_reason,
        not_for_competition_reason=said.not_for_competition_reason,
    )


def _next_number(at: datetime) -> str:
    """Return the next number of the year; the shop's stream is locked, so no two get it."""
    start = f"C{at.year}-"
    last = (
        Release.objects.filter(certificate_number__startswith=start)
        .order_by("-certificate_number")
        .values_list("certificate_number", flat=True)
        .first()
    )
    return f"{start}{int(last.removeprefix(start)) + 1 if last else 1:05d}"


def _written(
    act: Act, build: Build, paper: Paper, before: Release | None
) -> tuple[Release, list[models.Model]]:
    frozen = canonical_bytes(certificate_facts(paper))
    row = Release.objects.create(
        build=build,
        certificate_number=paper.number,
        revision=paper.revision,
        check_code=paper.check_code,
        facts=frozen.decode(),
        facts_sha256=hashlib.sha256(frozen).hexdigest(),
        second_person=paper.ruling.second_person,
        not_for_competition=paper.ruling.not_for_competition,
        no_seals_reason=paper.no_seals_reason,
        replaces=before,
        released_at=act.at,
        **act.stamp,
    )
    rows: list[models.Model] = [row]
    rows += [
        EngineSeal.objects.create(release=row, number=number, where=where)
        for number, where in paper.seals
    ]
    if before and not final_state(before):
        reason = f"replaced by revision {row.revision}"
        rows.append(put_in_state(act, before, CertificateState.State.REPLACED, reason))
    return row, rows
