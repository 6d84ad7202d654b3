"""A build's bundle leaves the shop whole, and is verified where neither shop nor server is."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from rest_framework.test import APIClient

from records import ledger, log
from records.actions.bundles import hand_out_bundle
from records.actions.certificates import issue_certificate
from records.actions.checkpoints import change_log_key, make_checkpoint
from records.domain.errors import NotFound
from records.domain.proof.archive import unpack
from records.domain.proof.verify import verify_bundle
from records.log_keys import known_log_keys
from records.management.demo.numbers import MARTA
from records.models import Build, Certificate, User
from records.models.log import Checkpoint
from records.queries.viewer import Viewer
from tests.records.filled_log import enter, keys_apart
from tests.records.small_engine import TWIN, release

ROOT = Path(__file__).resolve().parents[2]
RUTH = Viewer(person="P-04", roles=frozenset({"inspector"}))
STREAM = f"build/{TWIN.build}"


@pytest.fixture(autouse=True)
def keys(settings: Any, tmp_path: Path) -> None:
    keys_apart(settings, tmp_path)


@pytest.fixture
def paper(ready: None) -> Certificate:
    return issue_certificate(release=release().pk)


def _keys() -> list[str]:
    return [str(known.key) for known in known_log_keys()]


def _customer() -> Viewer:
    return Viewer(customer=Build.objects.get(number=TWIN.build).customer_id)


def _streams(bundle: bytes) -> set[str]:
    told = [line for line in verify_bundle(bundle, _keys()).checked if line.startswith("stream ")]
    return {line.split(" ")[1].rstrip(":") for line in told}


class TestTheBundle:
    def test_the_offline_verifier_accepts_it_without_django(
        self, paper: Certificate, tmp_path: Path
    ) -> None:
        file = tmp_path / "build.zip"
        call_command("bundle", TWIN.build, out=file, stdout=sys.stderr)
        command = [sys.executable, "-m", "records.domain.proof", str(file), "--key", *_keys()]
        done = subprocess.run(
            command, cwd=ROOT, capture_output=True, text=True, check=False, env={}
        )
        assert done.returncode == 0, done.stdout + done.stderr
        assert done.stdout.splitlines()[-1] == "the bundle holds"
        assert f"stream {STREAM}: entries 1 to " in done.stdout
        assert f"files/{paper.pdf_sha256}.pdf is, byte for byte, what is named by" in done.stdout

    def test_it_holds_every_entry_the_papers_and_the_frozen_facts(self, paper: Certificate) -> None:
        members = unpack(hand_out_bundle(build=TWIN.build, viewer=RUTH))
        entries = [entry.raw for entry in ledger.entries(STREAM)]
        assert members["entries/0001.jsonl"].splitlines() == entries
        assert members[f"files/{paper.pdf_sha256}.pdf"] == bytes(paper.pdf)
        facts = members[f"files/{paper.release.facts_sha256}.json"]
        assert facts == paper.release.facts.encode()
        assert b"BEGIN CERTIFICATE" in members["keys/paper.pem"]

    def test_it_holds_the_head_that_the_paper_saw(self, paper: Certificate) -> None:
        enter("shop", 3)
        make_checkpoint()
        members = unpack(hand_out_bundle(build=TWIN.build, viewer=RUTH))
        index = log.index_of(STREAM, ledger.receipt_of(paper.release).seq)
        assert index is not None
        seen = log.first_checkpoint_over(index)
        assert seen is not None
        assert members["checkpoints/0001.txt"] == seen.note
        assert members["checkpoint.txt"] != seen.note

    def test_the_same_record_gives_the_same_bytes(self, paper: Certificate) -> None:
        first = hand_out_bundle(build=TWIN.build, viewer=RUTH)
        assert hand_out_bundle(build=TWIN.build, viewer=RUTH) == first
        heads = Checkpoint.objects.count()
        enter("scale/S-99", 1)  # elsewhere, so no new head is needed
        assert hand_out_bundle(build=TWIN.build, viewer=RUTH) == first
        assert Checkpoint.objects.count() == heads

    def test_what_was_entered_a_moment_ago_is_in_it(self, paper: Certificate) -> None:
        enter(STREAM, 1)
        bundle = hand_out_bundle(build=TWIN.build, viewer=RUTH)
        assert b'"note":"number 0"' in unpack(bundle)["entries/0001.jsonl"]

    def test_a_build_that_was_never_released_has_one_too(self, ready: None) -> None:
        bundle = hand_out_bundle(build=TWIN.build, viewer=RUTH)
        assert not verify_bundle(bundle, _keys()).refused
        assert not [name for name in unpack(bundle) if name.startswith("files/")]

    def test_after_the_log_key_was_replaced_old_and_new_key_verify_it(
        self, paper: Certificate
    ) -> None:
        change_log_key(by=MARTA, reason="a drill")
        enter(STREAM, 1)
        bundle = hand_out_bundle(build=TWIN.build, viewer=RUTH)
        assert len(_keys()) == 2
        assert not verify_bundle(bundle, _keys()).refused
        # the paper saw a head of the old key, so the new one alone can't tell
        assert verify_bundle(bundle, _keys()[1:]).refused


class TestWhoReads:
    def test_the_shop_gets_parts_scales_and_people_of_the_build(self, paper: Certificate) -> None:
        streams = _streams(hand_out_bundle(build=TWIN.build, viewer=RUTH))
        kinds = {stream.partition("/")[0] for stream in streams}
        assert kinds == {"build", "part", "scale", "person"}

    def test_a_customer_gets_the_stream_of_the_build_alone(self, paper: Certificate) -> None:
        bundle = hand_out_bundle(build=TWIN.build, viewer=_customer())
        assert _streams(bundle) == {STREAM}
        assert not verify_bundle(bundle, _keys()).refused

    def test_for_anybody_else_there_is_no_such_build(self, ready: None) -> None:
        for viewer in (Viewer(), Viewer(customer="K-77")):
            with pytest.raises(NotFound):
                hand_out_bundle(build=TWIN.build, viewer=viewer)
        assert not Checkpoint.objects.exists()

    def test_the_command_says_that_there_is_no_such_build(self, ready: None) -> None:
        with pytest.raises(CommandError, match="26-999"):
            call_command("bundle", "26-999")


class TestTheFronts:
    @pytest.fixture
    def ruth(self, paper: Certificate) -> User:
        return User.objects.get(person=RUTH.person)

    def test_the_page_hands_it_out(self, ruth: User) -> None:
        client = Client()
        client.force_login(ruth)
        answer = client.get(f"/builds/{TWIN.build}/bundle/")
        assert answer.status_code == 200
        assert answer["Content-Disposition"] == f'attachment; filename="{TWIN.build}.zip"'
        assert not verify_bundle(answer.content, _keys()).refused
        assert client.get("/builds/26-999/bundle/").status_code == 404

    def test_the_page_of_the_build_links_to_it(self, ruth: User) -> None:
        client = Client()
        client.force_login(ruth)
        page = client.get(f"/builds/{TWIN.build}/").content.decode()
        assert f'href="/builds/{TWIN.build}/bundle/"' in page

    def test_the_api_hands_it_out(self, ruth: User) -> None:
        client = APIClient()
        client.force_login(ruth)
        answer = client.get(f"/api/v1/builds/{TWIN.build}/bundle")
        assert (answer.status_code, answer["Content-Type"]) == (200, "application/zip")
        assert not verify_bundle(answer.content, _keys()).refused

    def test_who_is_not_signed_in_gets_nothing(self, ruth: User) -> None:
        assert Client().get(f"/builds/{TWIN.build}/bundle/").status_code == 302
        assert APIClient().get(f"/api/v1/builds/{TWIN.build}/bundle").status_code == 401
