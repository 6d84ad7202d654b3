"""A process is killed in the middle: nothing half-written, and the next try does the rest."""

from __future__ import annotations

import pytest

from records import ledger, outbox
from records.actions.certificates import issue_certificate
from records.models import Certificate, EngineSeal, OutboxTask, Release
from records.queries.papers import verify_paper
from records.queries.shop import outbox_left
from records.queries.verification import verify_record
from tests.faults.processes import DIED, kill_this_process, manage, run_forked
from tests.records.keeper import counts
from tests.records.small_engine import TWIN, release

pytestmark = [pytest.mark.faults, pytest.mark.usefixtures("ready_shop")]

ISSUED = "certificate issued"


def entries_of(kind: str) -> int:
    """Return how many entries of a kind the twin's stream holds."""
    stream = ledger.build_stream(TWIN.build)
    return sum(entry.envelope.kind == kind for entry in ledger.entries(stream))


def assert_one_good_paper(number: str) -> None:
    """One certificate under this number, accepted, on a record that stands."""
    paper = Certificate.objects.get()
    assert (paper.release.certificate_number, paper.release.revision) == (number, 1)
    assert Release.objects.count() == 1
    assert entries_of(ISSUED) == 1
    assert verify_paper(bytes(paper.pdf)).accepted
    assert verify_record().stands
    assert outbox_left() == ()


def released_and_killed(monkeypatch: pytest.MonkeyPatch, moment: str) -> str:
    """Release in a process that dies at a moment after its commit; return the number given."""
    with monkeypatch.context() as patch:
        patch.setattr(moment, kill_this_process)
        assert run_forked(release) == DIED
    return Release.objects.get().certificate_number


class TestInTheMiddleOfADeed:
    @pytest.mark.parametrize(
        "moment",
        ["records.actions.releases.EngineSeal", "records.ledger.append", "records.outbox.leave"],
        ids=["row written", "before the entry", "entry written"],
    )
    def test_nothing_of_it_is_there_and_a_retry_works(
        self, monkeypatch: pytest.MonkeyPatch, moment: str
    ) -> None:
        before = counts()
        with monkeypatch.context() as patch:
            if moment.endswith("EngineSeal"):
                patch.setattr("records.actions.releases.Act.enter", kill_this_process)
            else:
                patch.setattr(moment, kill_this_process)
            assert run_forked(release) == DIED
        assert counts() == before
        for table in (Release, EngineSeal, Certificate, OutboxTask):
            assert not table.objects.exists()
        assert verify_record().stands
        assert_one_good_paper(release().certificate_number)


class TestBetweenReleaseAndIssue:
    def test_the_command_issues_it_under_the_same_number(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        number = released_and_killed(monkeypatch, "records.outbox._start_with_what_is_left")
        assert not Certificate.objects.exists()
        assert [(row.key, row.attempts) for row in outbox_left()] == [
            (str(Release.objects.get().pk), 0)
        ]
        assert verify_record().stands
        done = manage("outbox")
        assert (done.returncode, done.stdout) == (0, "1 started, 0 left\n"), done.stderr
        assert_one_good_paper(number)
        again = manage("outbox")
        assert again.stdout == "0 started, 0 left\n"

    @pytest.mark.parametrize(
        "moment",
        [
            "records.actions.certificates.render_certificate",
            "records.actions.certificates.sign_pdf",
            "records.actions.certificates.follow_up",
            "records.actions.deed.Act.enter",
        ],
        ids=["rendering", "signing", "signed", "row written"],
    )
    def test_killed_while_issuing_it_is_issued_by_the_next_sweep(
        self, monkeypatch: pytest.MonkeyPatch, moment: str
    ) -> None:
        number = released_and_killed(monkeypatch, "records.outbox._start_with_what_is_left")
        with monkeypatch.context() as patch:
            patch.setattr(moment, kill_this_process)
            assert run_forked(outbox.sweep) == DIED
        assert not Certificate.objects.exists()
        assert entries_of(ISSUED) == 0
        (left,) = outbox_left()
        assert (left.attempts, left.last_error) == (1, outbox.NO_WORD)
        assert outbox.sweep(unbidden=True) == 1
        assert_one_good_paper(number)

    def test_killed_after_it_was_issued_it_is_not_issued_again(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        number = released_and_killed(monkeypatch, "records.outbox.note_done")
        issued = Certificate.objects.get().pdf_sha256
        assert len(outbox_left()) == 1
        outbox.sweep()
        assert_one_good_paper(number)
        assert Certificate.objects.get().pdf_sha256 == issued

    def test_the_next_release_takes_it_up_too(self, monkeypatch: pytest.MonkeyPatch) -> None:
        released_and_killed(monkeypatch, "records.outbox._start_with_what_is_left")
        release("26-032")
        numbers = Certificate.objects.values_list("release__certificate_number", flat=True)
        assert sorted(numbers) == sorted(
            Release.objects.values_list("certificate_number", flat=True)
        )
        assert len(set(numbers)) == 2
        assert outbox_left() == ()


class TestASignerThatFails:
    def test_nothing_is_issued_the_number_is_kept_and_the_reason_is_told(
        self, settings: pytest.FixtureRequest, tmp_path: object
    ) -> None:
        settings.TAREBOOK_PKCS12 = f"{tmp_path}/none.p12"  # type: ignore[attr-defined]
        settings.TAREBOOK_PKCS12_PASSPHRASE_FILE = f"{tmp_path}/none"  # type: ignore[attr-defined]
        released = release()
        assert not Certificate.objects.exists()
        assert entries_of(ISSUED) == 0
        (left,) = outbox_left()
        assert "none.p12" in left.last_error
        assert verify_record().stands
        settings.TAREBOOK_PKCS12 = ""  # type: ignore[attr-defined]
        outbox.sweep()
        assert_one_good_paper(released.certificate_number)

    def test_issuing_by_hand_tells_the_error(self, monkeypatch: pytest.MonkeyPatch) -> None:
        released_and_killed(monkeypatch, "records.outbox._start_with_what_is_left")

        def broken(*_: object, **__: object) -> bytes:
            raise OSError("the token is unplugged")

        with monkeypatch.context() as patch:
            patch.setattr("records.actions.certificates.sign_pdf", broken)
            with pytest.raises(OSError, match="unplugged"):
                issue_certificate(release=Release.objects.get().pk)
        assert not Certificate.objects.exists()
