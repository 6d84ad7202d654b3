"""Two processes want the same thing at the same moment: one gets it, and the other is told."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from records.actions import certificates
from records.actions.certificates import issue_certificate
from records.documents.signing.sign import sign_pdf
from records.domain.errors import TarebookError
from records.models import Certificate, OutboxTask, Release
from records.queries.shop import outbox_left
from records.queries.verification import verify_record
from tests.faults.processes import at_once
from tests.faults.test_killed import ISSUED, assert_one_good_paper, entries_of
from tests.records.small_engine import SECOND, TWIN, release

pytestmark = [pytest.mark.faults, pytest.mark.usefixtures("ready_shop")]


def _signing_together(folder: Path, many: int) -> Callable[..., bytes]:
    """Return a signing that comes back only when so many processes have signed."""

    def sign(*given: object, **named: object) -> bytes:
        pdf = sign_pdf(*given, **named)  # type: ignore[arg-type]
        (folder / f"signed-{os.getpid()}").touch()
        for _ in range(200):
            if len(list(folder.glob("signed-*"))) >= many:
                return pdf
            time.sleep(0.05)
        raise TimeoutError("the other process never signed")

    return sign


def _left_unissued(monkeypatch: pytest.MonkeyPatch) -> Release:
    with monkeypatch.context() as patch:
        patch.setattr("records.outbox._start_with_what_is_left", lambda _row: None)
        return release()


def _refused_is_3(work: Callable[[], object]) -> Callable[[], object]:
    def run() -> None:
        try:
            work()
        except TarebookError:
            os._exit(3)

    return run


def test_two_that_issue_one_release_leave_one_certificate(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    released = _left_unissued(monkeypatch)
    monkeypatch.setattr(certificates, "sign_pdf", _signing_together(tmp_path, 2))

    def issue() -> None:
        issue_certificate(release=released.pk)

    assert at_once(issue, issue) == [0, 0]
    assert len(list(tmp_path.glob("signed-*"))) == 2  # both had a signed file in hand
    assert_one_good_paper(released.certificate_number)


def test_two_that_release_one_build_leave_one_release() -> None:
    ends = at_once(_refused_is_3(release), _refused_is_3(release))
    assert sorted(ends) == [0, 3]
    assert_one_good_paper(Release.objects.get().certificate_number)
    assert entries_of("build released") == 1


def test_two_builds_released_at_once_get_two_numbers() -> None:
    assert at_once(lambda: release(TWIN.build), lambda: release(SECOND.build)) == [0, 0]
    numbers = set(Release.objects.values_list("certificate_number", flat=True))
    assert len(numbers) == 2
    assert Certificate.objects.count() == 2
    assert outbox_left() == ()
    assert entries_of(ISSUED) == 1
    assert verify_record().stands


def test_four_that_sweep_at_once_do_each_thing_once(monkeypatch: pytest.MonkeyPatch) -> None:
    from records import outbox

    released = _left_unissued(monkeypatch)
    assert at_once(*[outbox.sweep] * 4) == [0] * 4
    assert_one_good_paper(released.certificate_number)
    assert 1 <= OutboxTask.objects.get().attempts <= 4
