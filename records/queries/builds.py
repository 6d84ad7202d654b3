"""Builds as lists show them, and a build's entries in the ledger."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import OuterRef, QuerySet, Subquery

from records import ledger
from records.models import Build, CertificateState, Release
from records.queries.viewer import Viewer, builds_seen_by, check_build_is_theirs, not_found

STANDS = str(CertificateState.State.STANDS)


@dataclass(frozen=True, slots=True)
class BuildRow:
    """A build in a list; certificate and state are of its newest release, "" before the first."""

    number: str
    engine: str
    customer: str | None
    layout: str
    use: str
    balance: str
    opened_at: datetime
    opened_by: str
    certificate: str
    revision: int | None
    state: str
    demo: bool

    @property
    def is_open(self) -> bool:
        """Tell whether there is work left: no release yet, or one that no longer stands."""
        return self.state != STANDS


@dataclass(frozen=True, slots=True)
class EntryRow:
    """An entry of a build's stream, as its history shows it."""

    seq: int
    hash: str
    kind: str
    actor: str
    recorded_at: str
    clock_was_set: bool


def open_builds(viewer: Viewer) -> tuple[BuildRow, ...]:
    """Return the builds with work left, newest first."""
    return tuple(row for row in _rows(builds_seen_by(viewer)) if row.is_open)


def all_builds(viewer: Viewer) -> tuple[BuildRow, ...]:
    """Return every build that the viewer may see, newest first."""
    return _rows(builds_seen_by(viewer))


def builds_for_customer(customer: str, viewer: Viewer) -> tuple[BuildRow, ...]:
    """Return a customer's builds, newest first; another customer's are none of the viewer's."""
    return _rows(builds_seen_by(viewer).filter(customer=customer))


def build_summary(number: str, viewer: Viewer) -> BuildRow:
    """Return a build as lists show it.

    Errors: NotFound for a build that isn't there or isn't the viewer's.
    """
    rows = _rows(builds_seen_by(viewer).filter(number=number))
    if not rows:
        raise not_found("build", number)
    return rows[0]


def entries_of_build(number: str, viewer: Viewer) -> tuple[EntryRow, ...]:
    """Return the entries of a build's stream in order.

    Errors: NotFound for a build that isn't there or isn't the viewer's.
    """
    check_build_is_theirs(number, viewer)
    stream = ledger.build_stream(number)
    return tuple(_entry(entry) for entry in ledger.entries(stream))


def _entry(entry: ledger.EntryFacts) -> EntryRow:
    envelope, receipt = entry.envelope, entry.receipt
    return EntryRow(
        seq=receipt.seq,
        hash=receipt.hash,
        kind=envelope.kind,
        actor=envelope.actor,
        recorded_at=envelope.recorded_at,
        clock_was_set=envelope.data.get("clock") == "set",
    )


def _rows(builds: QuerySet[Build]) -> tuple[BuildRow, ...]:
    newest = Release.objects.filter(build=OuterRef("pk")).order_by("-revision")
    states = CertificateState.objects.filter(release=OuterRef("newest_release")).order_by("-id")
    found = (
        builds.select_related("settings")
        .annotate(newest_release=Subquery(newest.values("pk")[:1]))
        .annotate(newest_state=Subquery(states.values("state")[:1]))
        .order_by("-recorded_at", "number")
    )
    rows = list(found)
    releases = _releases(row.newest_release for row in rows)
    return tuple(
        _row(row, releases.get(row.newest_release), row.newest_state or STANDS) for row in rows
    )


def _releases(keys: Iterable[int | None]) -> dict[int | None, Release]:
    wanted = [key for key in keys if key is not None]
    slim = Release.objects.filter(pk__in=wanted).only("certificate_number", "revision")
    return {release.pk: release for release in slim}


def _row(build: Build, release: Release | None, state: str) -> BuildRow:
    return BuildRow(
        number=build.number,
        engine=build.engine,
        customer=build.customer_id,
        layout=build.layout,
        use=build.use,
        balance=build.balance,
        opened_at=build.recorded_at,
        opened_by=build.recorded_by_id,
        certificate=release.certificate_number if release else "",
        revision=release.revision if release else None,
        state=state if release else "",
        demo=build.settings.demo,
    )
