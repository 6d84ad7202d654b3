"""Certificates: for the shop and its customers, and for anyone who holds a paper."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from hmac import compare_digest
from typing import Any
from urllib.parse import quote

from django.conf import settings
from django.db.models import Prefetch, QuerySet

from records import ledger
from records.ledger import Receipt
from records.models import Certificate, CertificateState, Release
from records.queries.viewer import Viewer, not_found, seen_by

STANDS = str(CertificateState.State.STANDS)


@dataclass(frozen=True, slots=True)
class CertificateRow:
    """A revision of a certificate; `sha256` is "" until its paper is issued."""

    number: str
    revision: int
    build: str
    engine: str
    customer: str | None
    state: str
    reason: str
    released_at: datetime
    released_by: str
    second_person: bool
    not_for_competition: bool
    issued_at: datetime | None
    sha256: str
    demo: bool


@dataclass(frozen=True, slots=True)
class StateRow:
    """A later state of a revision, and why."""

    state: str
    reason: str
    at: datetime
    by: str


@dataclass(frozen=True, slots=True)
class Revision:
    """A revision with its seals, its states, and where its release stands in the ledger."""

    row: CertificateRow
    check_code: str
    facts_sha256: str
    signer: str
    no_seals_reason: str
    seals: tuple[tuple[str, str], ...]  # (number, where)
    states: tuple[StateRow, ...]  # oldest first
    receipt: Receipt
    facts: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class CertificatePage:
    """A certificate with all its revisions, newest first."""

    number: str
    revisions: tuple[Revision, ...]


@dataclass(frozen=True, slots=True)
class PublicState:
    """What anyone who holds a paper may know: no person, no customer, no engine, no reason.

    `state` is "genuine", "replaced", "withdrawn" or "in doubt"; `replaced_by` the newest revision.
    """

    state: str
    number: str
    revision: int
    released_on: datetime
    replaced_by: int | None
    demo: bool


def certificates(viewer: Viewer) -> tuple[CertificateRow, ...]:
    """Return every revision of every certificate the viewer may see, newest first."""
    return tuple(_row(release) for release in _releases(viewer))


def certificates_of_build(build: str, viewer: Viewer) -> tuple[CertificateRow, ...]:
    """Return every revision of a build's certificate, newest first; none of a foreign build."""
    return tuple(_row(release) for release in _releases(viewer).filter(build=build))


def certificate_page(number: str, viewer: Viewer) -> CertificatePage:
    """Return a certificate with all its revisions.

    Errors: NotFound for a number that isn't there or isn't the viewer's.
    """
    revisions = _releases(viewer).filter(certificate_number=number).prefetch_related("seals")
    rows = tuple(_revision(release) for release in revisions)
    if not rows:
        raise not_found("certificate", number)
    return CertificatePage(number, rows)


def certificate_bytes(number: str, revision: int, viewer: Viewer) -> bytes:
    """Return the signed paper as it was issued.

    Errors: NotFound for a revision that isn't there, isn't issued yet, or isn't the viewer's.
    """
    papers = Certificate.objects.filter(
        seen_by(viewer, "release__build"),
        release__certificate_number=number,
        release__revision=revision,
    )
    pdf = papers.values_list("pdf", flat=True).first()
    if pdf is None:
        raise not_found("certificate", f"{number}, revision {revision}")
    return bytes(pdf)


def public_certificate(number: str, check_code: str) -> PublicState | None:
    """Return the state of the revision that bears this check code; None for any other pair."""
    given = check_code.strip().upper().encode()
    rows = Release.objects.filter(certificate_number=number.strip().upper())
    codes = list(rows.values_list("pk", "check_code"))
    hits = [pk for pk, code in codes if compare_digest(code.encode(), given)]
    return _public(Release.objects.filter(pk__in=hits))


def public_by_sha256(sha256: str) -> PublicState | None:
    """Return the state of the paper whose file has this SHA-256 in hex; None for any other file."""
    return _public(Release.objects.filter(certificate__pdf_sha256=sha256.strip().lower()))


def verify_address(number: str, check_code: str) -> str:
    """Return the address that the paper's QR code leads to: the public page of this revision."""
    return f"{settings.TAREBOOK_BASE_URL}/check/{quote(number)}/{quote(check_code)}"


def state_of(release: Release) -> tuple[str, str]:
    """Return the state that holds and its reason (prefetch `states` oldest first for many)."""
    states = list(release.states.all())
    return (states[-1].state, states[-1].reason) if states else (STANDS, "")


def _releases(viewer: Viewer) -> QuerySet[Release]:
    rows = Release.objects.filter(seen_by(viewer, "build")).select_related(
        "build", "build__settings"
    )
    return _with_states(rows).prefetch_related(_without_the_bytes()).order_by("-released_at", "-id")


def _with_states(releases: QuerySet[Release]) -> QuerySet[Release]:
    return releases.prefetch_related(Prefetch("states", CertificateState.objects.order_by("id")))


def _without_the_bytes() -> Prefetch[str, QuerySet[Certificate], str]:
    return Prefetch("certificate", Certificate.objects.defer("pdf"))


def _row(release: Release) -> CertificateRow:
    state, reason = state_of(release)
    paper = _paper(release)
    return CertificateRow(
        number=release.certificate_number,
        revision=release.revision,
        build=release.build_id,
        engine=release.build.engine,
        customer=release.build.customer_id,
        state=state,
        reason=reason,
        released_at=release.released_at,
        released_by=release.recorded_by_id,
        second_person=release.second_person,
        not_for_competition=release.not_for_competition,
        issued_at=paper.issued_at if paper else None,
        sha256=paper.pdf_sha256 if paper else "",
        demo=release.build.settings.demo,
    )


def _revision(release: Release) -> Revision:
    paper = _paper(release)
    seals: Iterable[tuple[str, str]] = ((seal.number, seal.where) for seal in release.seals.all())
    return Revision(
        row=_row(release),
        check_code=release.check_code,
        facts_sha256=release.facts_sha256,
        signer=paper.signer if paper else "",
        no_seals_reason=release.no_seals_reason,
        seals=tuple(sorted(seals)),
        states=tuple(
            StateRow(row.state, row.reason, row.recorded_at, row.recorded_by_id)
            for row in release.states.all()
        ),
        receipt=ledger.receipt_of(release),
        facts=json.loads(release.facts),
    )


def _paper(release: Release) -> Certificate | None:
    try:
        return release.certificate
    except Certificate.DoesNotExist:
        return None


def _public(found: QuerySet[Release]) -> PublicState | None:
    release = _with_states(found).select_related("build__settings").first()
    if release is None:
        return None
    state, _ = state_of(release)
    newest = Release.objects.filter(certificate_number=release.certificate_number)
    last = newest.order_by("-revision").values_list("revision", flat=True).first()
    return PublicState(
        state="genuine" if state == STANDS else state,
        number=release.certificate_number,
        revision=release.revision,
        released_on=release.released_at,
        replaced_by=last if last != release.revision else None,
        demo=release.build.settings.demo,
    )
