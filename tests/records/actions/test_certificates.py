"""Certificates: issued once per revision, whatever happens between release and paper."""

from __future__ import annotations

import json
from hashlib import sha256
from io import BytesIO
from typing import Any

import pytest
from celery import current_app
from pypdf import PdfReader

from records import outbox
from records.actions import certificates
from records.actions.certificates import issue_certificate
from records.actions.clock import SetClock
from records.actions.people import end_person, grant_role
from records.actions.releases import ISSUE, release_build
from records.domain.errors import BadValue, Code
from records.models import Certificate, OutboxTask, Release
from tests.records.actions.bench import (
    BUILD,
    MARTA,
    RUTH,
    STREAM,
    TOMAS,
    Shop,
    last_entry,
    tables,
)
from tests.records.actions.refusal import refused


@pytest.fixture
def released(finished: Shop) -> Release:
    """The build, released under the set clock: the paper is still to be issued."""
    return release_build(
        by=RUTH, build=BUILD, no_seals_reason="none asked for", clock=finished.clock
    )


class TestIssuing:
    def test_it_stores_the_signed_paper_with_its_hash(
        self, released: Release, clock: SetClock
    ) -> None:
        row = issue_certificate(release=released.pk, clock=clock)
        pdf = bytes(row.pdf)
        assert pdf.startswith(b"%PDF-")
        assert row.pdf_sha256 == sha256(pdf).hexdigest()
        assert row.release == released

    def test_its_entry_names_it_under_who_released(
        self, released: Release, clock: SetClock
    ) -> None:
        row = issue_certificate(release=released.pk, clock=clock)
        entry = last_entry(STREAM)
        assert (entry.envelope.kind, entry.envelope.actor) == ("certificate issued", RUTH)
        assert tables(entry) == ["certificate"]
        assert entry.envelope.data["pdf_sha256"] == row.pdf_sha256

    def test_the_facts_frozen_at_release_are_attached_byte_for_byte(
        self, released: Release, clock: SetClock
    ) -> None:
        row = issue_certificate(release=released.pk, clock=clock)
        attached = PdfReader(BytesIO(bytes(row.pdf))).attachments
        assert released.facts.encode() in [data for each in attached.values() for data in each]

    def test_again_returns_what_was_issued(self, released: Release, clock: SetClock) -> None:
        first = issue_certificate(release=released.pk, clock=clock)
        again = issue_certificate(release=released.pk, clock=clock)
        assert again == first
        assert Certificate.objects.count() == 1

    def test_it_is_done_then(self, released: Release, clock: SetClock) -> None:
        issue_certificate(release=released.pk, clock=clock)
        assert OutboxTask.objects.get().done_at is not None

    def test_the_loser_of_a_race_throws_its_file_away(
        self, released: Release, clock: SetClock, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        signed = certificates._signed
        winners: list[Certificate] = []

        def meanwhile(row: Release, clock: Any) -> certificates.Signed:
            mine = signed(row, clock)
            monkeypatch.setattr(certificates, "_signed", signed)
            winners.append(issue_certificate(release=row.pk, clock=clock))
            return mine

        monkeypatch.setattr(certificates, "_signed", meanwhile)
        row = issue_certificate(release=released.pk, clock=clock)
        assert [row] == winners
        assert Certificate.objects.count() == 1

    def test_an_unknown_release_is_refused(self, released: Release, clock: SetClock) -> None:
        with refused(BadValue, Code.UNKNOWN_NUMBER, "release"):
            issue_certificate(release=released.pk + 1, clock=clock)


class TestACrashInBetween:
    def test_the_sweep_issues_what_is_left_under_the_same_number(self, released: Release) -> None:
        number, frozen = released.certificate_number, released.facts_sha256
        assert outbox.sweep() == 1
        row = Certificate.objects.get()
        assert row.release.certificate_number == number
        assert row.release.facts_sha256 == frozen
        assert json.loads(row.release.facts)["certificate"]["number"] == number
        assert outbox.sweep() == 0

    def test_a_failure_is_kept_on_the_task_and_the_next_sweep_takes_it_up(
        self, released: Release, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def broken(*_: Any) -> certificates.Signed:
            raise OSError("no space left")

        with monkeypatch.context() as patch:
            patch.setattr(certificates, "_signed", broken)
            outbox.sweep()
        task = OutboxTask.objects.get()
        assert (task.attempts, task.done_at) == (1, None)
        assert "no space left" in task.last_error
        outbox.sweep()
        assert Certificate.objects.get().release == released

    def test_a_process_killed_after_storing_the_paper_only_notes_it_as_done(
        self, released: Release, clock: SetClock, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        with monkeypatch.context() as patch:
            patch.setattr(outbox, "note_done", lambda *_: None)
            row = issue_certificate(release=released.pk, clock=clock)
        assert OutboxTask.objects.get().done_at is None
        outbox.sweep()
        assert OutboxTask.objects.get().done_at is not None
        assert Certificate.objects.get() == row

    def test_it_is_issued_though_the_inspector_has_left(
        self, released: Release, clock: SetClock
    ) -> None:
        grant_role(by=MARTA, person=TOMAS, role="inspector", clock=clock)
        end_person(by=MARTA, person=RUTH, reason="retired", clock=clock)
        outbox.sweep()
        assert Certificate.objects.get().recorded_by_id == RUTH

    def test_the_task_is_known_to_the_workers(self) -> None:
        assert ISSUE in current_app.tasks
