"""The log's key: made once, its owner's alone, not the papers' key, replaced and not lost."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from records import log_keys
from records.domain.errors import NotProven
from records.domain.proof.checkpoint import Checkpoint
from records.domain.proof.note import read_key
from records.log_keys import (
    fresh_log_key,
    known_log_keys,
    log_signer,
    open_known,
    take_up_log_key,
)
from tests.records.filled_log import keys_apart


@pytest.fixture(autouse=True)
def folder(settings: Any, tmp_path: Path) -> Path:
    keys_apart(settings, tmp_path)
    settings.TAREBOOK_BASE_URL = "https://ferrow-lane.example"
    return tmp_path / "keys-log"


def _head(size: int, name: str = "ferrow-lane.example/log") -> str:
    return Checkpoint(name, size, bytes(32)).text()


class TestMade:
    def test_once_for_its_owner_alone(self, folder: Path) -> None:
        first = log_signer(demo=False)
        assert log_signer(demo=False).key == first.key
        assert (folder / "signing-key").stat().st_mode & 0o777 == 0o600
        assert folder.stat().st_mode & 0o777 == 0o700
        assert [known.key for known in known_log_keys()] == [first.key]

    def test_its_name_is_the_hosts(self) -> None:
        assert log_signer(demo=False).name == "ferrow-lane.example/log"

    def test_a_demo_key_says_so_in_its_name(self) -> None:
        signer = log_signer(demo=True)
        assert signer.name == "ferrow-lane.example/demo-log"
        assert signer.is_demo

    def test_a_demo_key_says_so_whatever_name_is_set(self, settings: Any) -> None:
        settings.TAREBOOK_LOG_NAME = "ferrow-lane.example/engines"
        assert log_signer(demo=True).name == "ferrow-lane.example/engines/demo-log"

    def test_what_it_signs_its_public_side_opens(self) -> None:
        signer = log_signer(demo=False)
        assert open_known(signer.sign(_head(3))).size == 3

    def test_of_two_that_make_one_at_once_the_first_counts(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        made = log_keys._new_signer

        def meanwhile(demo: bool) -> log_keys.LogSigner:
            monkeypatch.setattr(log_keys, "_new_signer", made)
            winners.append(log_signer(demo=demo))
            return made(demo)

        winners: list[log_keys.LogSigner] = []
        monkeypatch.setattr(log_keys, "_new_signer", meanwhile)
        assert log_signer(demo=False).key == winners[0].key
        assert len(known_log_keys()) == 1


class TestRefused:
    def test_a_key_that_others_can_read(self, folder: Path) -> None:
        log_signer(demo=False)
        (folder / "signing-key").chmod(0o640)
        with pytest.raises(NotProven, match="chmod 600"):
            log_signer(demo=False)

    @pytest.mark.parametrize("text", ["", "PRIVATE+KEY+a+00000000+AQ==", "hello"])
    def test_a_file_that_is_no_key(self, folder: Path, text: str) -> None:
        log_signer(demo=False)
        (folder / "signing-key").write_text(text)
        with pytest.raises(NotProven):
            log_signer(demo=False)

    def test_a_folder_that_can_not_be_made(self, settings: Any, tmp_path: Path) -> None:
        (tmp_path / "file").touch()
        settings.TAREBOOK_KEYS_FOLDER = str(tmp_path / "file" / "keys")
        with pytest.raises(NotProven, match="expected the log's keys"):
            log_signer(demo=False)

    def test_a_head_that_a_stranger_signed(self, settings: Any, tmp_path: Path) -> None:
        note = log_signer(demo=False).sign(_head(3))
        settings.TAREBOOK_KEYS_FOLDER = str(tmp_path / "other")
        log_signer(demo=False)
        with pytest.raises(NotProven):
            open_known(note)


class TestFromTheEnvironment:
    def test_it_signs_and_stays_known_when_it_is_gone(self, settings: Any, folder: Path) -> None:
        line = (log_signer(demo=False), (folder / "signing-key").read_text())[1]
        settings.TAREBOOK_KEYS_FOLDER = str(folder.parent / "elsewhere")
        settings.TAREBOOK_LOG_KEY = line
        signer = log_signer(demo=False)
        assert line.startswith("PRIVATE+KEY+ferrow-lane.example/log+")
        assert not (folder.parent / "elsewhere-log" / "signing-key").exists()
        settings.TAREBOOK_LOG_KEY = ""
        assert known_log_keys()[0].key == signer.key

    def test_it_is_not_ours_to_replace(self, settings: Any, folder: Path) -> None:
        log_signer(demo=False)
        settings.TAREBOOK_LOG_KEY = (folder / "signing-key").read_text()
        with pytest.raises(NotProven, match="TAREBOOK_LOG_KEY"):
            fresh_log_key(name="ferrow-lane.example/log")


class TestReplaced:
    def test_the_new_one_signs_and_the_old_one_opens_what_it_signed(self) -> None:
        old = log_signer(demo=False)
        before = old.sign(_head(7))
        new = fresh_log_key(name=old.name)
        take_up_log_key(new, old=old.key, last_size=7)
        assert log_signer(demo=False).key == new.key
        assert open_known(before).size == 7
        assert open_known(new.sign(_head(8))).size == 8

    def test_a_thief_of_the_old_key_can_sign_no_later_head(self) -> None:
        old = log_signer(demo=False)
        take_up_log_key(fresh_log_key(name=old.name), old=old.key, last_size=7)
        with pytest.raises(NotProven, match="one that was replaced"):
            open_known(old.sign(_head(8)))

    def test_the_known_keys_are_public_lines(self, folder: Path) -> None:
        old = log_signer(demo=False)
        new = fresh_log_key(name=old.name)
        take_up_log_key(new, old=old.key, last_size=7)
        lines = (folder / "known-keys").read_text().splitlines()
        assert lines == [f"until 7 {old.key}", str(new.key)]
        assert read_key(lines[1]) == new.key
