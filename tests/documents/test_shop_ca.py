"""The shop's own authority and the key that it signs with."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec

from records.documents.signing.shop_ca import ShopCa, ensure_shop_ca
from records.documents.signing.shop_key import ShopKey, load_shop_key
from records.domain.errors import BadValue, Code, NotFound, NotProven
from tests.documents.conftest import SIGNED_AT, VALID_FROM, new_ca

MAKE_ONE = """
import sys
from pathlib import Path
from tests.documents.conftest import new_ca
sys.stdin.read(1)  # both wait here, so that they race
new_ca(Path(sys.argv[1]))
"""


def files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


class TestMaking:
    def test_files_are_for_the_owner_only(self, ca: ShopCa) -> None:
        assert stat.S_IMODE(ca.folder.stat().st_mode) == 0o700
        assert {p.name for p in ca.folder.iterdir()} == {
            "root.pem", "root.p12", "signing.p12", "passphrase",
        }  # fmt: skip
        for path in ca.folder.iterdir():
            assert stat.S_IMODE(path.stat().st_mode) == 0o600, path.name

    def test_a_second_call_changes_nothing(self, tmp_path: Path) -> None:
        made = new_ca(tmp_path / "keys")
        before = files(made.folder)
        assert new_ca(tmp_path / "keys") == made
        assert files(made.folder) == before

    def test_two_processes_that_race_end_with_one(self, tmp_path: Path) -> None:
        folder = tmp_path / "keys"
        env = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
        racers = [
            subprocess.Popen(
                [sys.executable, "-c", MAKE_ONE, str(folder)], stdin=subprocess.PIPE, env=env
            )
            for _ in range(2)
        ]
        for racer in racers:
            assert racer.stdin is not None
            racer.stdin.write(b".")
            racer.stdin.close()
        assert [racer.wait(60) for racer in racers] == [0, 0]
        assert [path.name for path in tmp_path.iterdir()] == ["keys"]  # the loser cleaned up
        kept = ShopCa(folder)
        load_shop_key(kept.signing_key, kept.passphrase_file)  # and all files are of one authority

    def test_the_demo_key_says_so_and_a_shops_own_does_not(self, tmp_path: Path) -> None:
        for demo in (True, False):
            made = new_ca(tmp_path / str(demo), demo=demo)
            key = load_shop_key(made.signing_key, made.passphrase_file)
            assert key.is_demo is demo
            assert ("demo key, not for use" in key.subject.replace("\\", "")) is demo

    def test_the_signing_certificate_is_the_roots_and_may_not_issue(
        self, ca: ShopCa, key: ShopKey
    ) -> None:
        root = x509.load_pem_x509_certificate(ca.root_certificate.read_bytes())
        key.certificate.verify_directly_issued_by(root)
        assert isinstance(key.certificate.public_key(), ec.EllipticCurvePublicKey)
        bound = key.certificate.extensions.get_extension_for_class(x509.BasicConstraints)
        assert bound.critical and not bound.value.ca

    def test_it_refuses_a_folder_whose_keys_are_half_lost(self, tmp_path: Path) -> None:
        made = new_ca(tmp_path / "keys")
        made.passphrase_file.unlink()
        before = files(made.folder)
        with pytest.raises(NotProven, match="expected passphrase among the shop's keys"):
            new_ca(tmp_path / "keys")
        assert files(made.folder) == before

    def test_it_refuses_a_folder_that_holds_something_else(self, tmp_path: Path) -> None:
        folder = tmp_path / "keys"
        folder.mkdir()
        (folder / "letter").write_text("not ours")
        with pytest.raises(NotProven):
            new_ca(folder)
        assert [path.name for path in tmp_path.rglob("*")] == ["keys", "letter"]

    def test_it_refuses_a_naive_moment(self, tmp_path: Path) -> None:
        with pytest.raises(BadValue):
            ensure_shop_ca(
                tmp_path / "keys",
                shop_name="x",
                demo=True,
                valid_from=datetime(2026, 1, 1),
            )
        assert list(tmp_path.iterdir()) == []


class TestLoading:
    def test_a_key_is_parsed_once(self, ca: ShopCa) -> None:
        key = load_shop_key(ca.signing_key, ca.passphrase_file)
        assert load_shop_key(ca.signing_key, ca.passphrase_file) is key

    def test_a_wrong_passphrase_is_said_to_be_one(self, ca: ShopCa, tmp_path: Path) -> None:
        wrong = tmp_path / "passphrase"
        wrong.write_text("another one\n")
        with pytest.raises(
            BadValue, match=r"signing\.p12: the passphrase .* does not open it"
        ) as no:
            load_shop_key(ca.signing_key, wrong)
        assert no.value.code is Code.WRONG_PASSPHRASE

    def test_a_file_that_is_no_pkcs12_is_said_to_be_none(self, ca: ShopCa, tmp_path: Path) -> None:
        letter = tmp_path / "letter.p12"
        letter.write_text("not a key")
        with pytest.raises(BadValue, match="expected a PKCS#12 file") as no:
            load_shop_key(letter, ca.passphrase_file)
        assert no.value.code is Code.KEY_UNUSABLE

    def test_a_missing_file_is_said_to_be_missing(self, ca: ShopCa, tmp_path: Path) -> None:
        with pytest.raises(NotFound, match="expected to read"):
            load_shop_key(tmp_path / "none.p12", ca.passphrase_file)

    def test_it_refuses_to_sign_outside_its_validity(self, key: ShopKey) -> None:
        key.check_valid_at(SIGNED_AT)
        with pytest.raises(BadValue, match="renew the shop's key"):
            key.check_valid_at(datetime(2099, 1, 1, tzinfo=UTC))
        with pytest.raises(BadValue):
            key.check_valid_at(datetime(VALID_FROM.year - 1, 1, 1, tzinfo=UTC))
