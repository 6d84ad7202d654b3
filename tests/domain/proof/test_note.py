"""Signed notes: the standard's example, RFC 8032, and what is refused."""

import json
from pathlib import Path
from typing import Any

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from records.domain.errors import BadValue, NotProven
from records.domain.proof.note import NoteKey, decode64, encode64, open_note, read_key
from records.domain.proof.note_signing import key_of, sign_note
from tests import outside
from tests.domain.proof.small_log import KEY, ORIGIN, PRIVATE, STRANGER

REFUSED = json.loads(
    (Path(__file__).parents[2] / "data/proof/note_refused.json").read_text("utf-8")
)
NOTE = sign_note("one line\n\nand another\n", ORIGIN, PRIVATE)


def _example() -> tuple[NoteKey, str]:
    example = outside.data("note.json")["c2sp_example"]
    return read_key(example["vkey"]), example["note"]


def test_the_example_of_the_standard_verifies() -> None:
    key, note = _example()
    assert open_note(note.encode(), [key]) == ("This is an example message.\n", [key])


@pytest.mark.parametrize("other", ["A", "+", " ", "\n", "\x00", "é", ""])
def test_any_changed_character_of_the_example_is_refused(other: str) -> None:
    key, note = _example()
    for place, letter in enumerate(note):
        torn = note[:place] + other + note[place + 1 :]
        if letter != other:
            with pytest.raises(NotProven):
                open_note(torn.encode(), [key])


def test_any_changed_character_of_a_key_is_refused() -> None:
    for place, letter in enumerate(KEY):
        for other in ("A", "b", "+", "\n", ""):
            if letter != other:
                with pytest.raises(NotProven):
                    read_key(KEY[:place] + other + KEY[place + 1 :])


def test_signatures_are_those_of_rfc_8032() -> None:
    # source: RFC 8032, 7.1, TEST 1; its message is empty, which no note is, so the key's two sides
    # are what is checked of ours, and the signature of the library beneath
    secret = "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60"
    private = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(secret))
    assert key_of("example.com/test", private).public.hex() == (
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"
    )
    assert private.sign(b"").hex() == (
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701"
        "cf9b46bd25bf5f0595bbe24655141438e7a100b"
    )


def test_the_same_text_and_key_give_the_same_note() -> None:
    assert sign_note("one line\n\nand another\n", ORIGIN, PRIVATE) == NOTE
    assert open_note(NOTE, [read_key(KEY)])[0] == "one line\n\nand another\n"


def test_a_strangers_signature_beside_ours_is_passed_over() -> None:
    line = sign_note("one line\n\nand another\n", "nils.example", STRANGER).splitlines()[-1]
    text, signers = open_note(NOTE + line + b"\n", [read_key(KEY)])
    assert (text, signers) == ("one line\n\nand another\n", [read_key(KEY)])


def test_a_strangers_signature_alone_is_refused() -> None:
    with pytest.raises(NotProven, match="only other signatures"):
        open_note(sign_note("one line\n", ORIGIN, STRANGER), [read_key(KEY)])
    with pytest.raises(NotProven):
        open_note(NOTE, [])


def test_a_wrong_signature_of_a_known_key_refuses_the_note_beside_a_right_one() -> None:
    key = read_key(KEY)
    wrong = encode64(key.key_id + bytes(64))
    with pytest.raises(NotProven, match="an invalid one"):
        open_note(NOTE + f"— {ORIGIN} {wrong}\n".encode(), [key])


def test_sixteen_signatures_are_read_and_very_many_are_not() -> None:
    line = NOTE.splitlines()[-1] + b"\n"
    assert open_note(NOTE + line * 15, [read_key(KEY)])
    with pytest.raises(NotProven):
        open_note(NOTE + line * 64, [read_key(KEY)])


@pytest.mark.parametrize("case", REFUSED["notes"], ids=lambda case: case["name"])
def test_a_malformed_note_is_refused(case: dict[str, Any]) -> None:
    raw = bytes.fromhex(case["hex"]) if "hex" in case else case["note"].encode()
    with pytest.raises(NotProven):
        open_note(raw, [read_key(REFUSED["key"])])


def test_the_note_that_those_were_torn_from_is_accepted() -> None:
    assert open_note(REFUSED["good"].encode(), [read_key(REFUSED["key"])])


@pytest.mark.parametrize("letter", ["\t", "\r", "\x00", "\x1b"])
def test_a_control_character_is_refused_though_rightly_signed(letter: str) -> None:
    raw = f"one{letter}line\n".encode()
    signature = encode64(read_key(KEY).key_id + PRIVATE.sign(raw))
    with pytest.raises(NotProven, match="control characters"):
        open_note(raw + f"\n— {ORIGIN} {signature}\n".encode(), [read_key(KEY)])


@pytest.mark.parametrize("text", REFUSED["keys"])
def test_a_malformed_key_is_refused(text: str) -> None:
    with pytest.raises(NotProven):
        read_key(text)


@pytest.mark.parametrize("text", ["QQ", "QR==", "QQ==\n", "QQ=", "Q Q=", "_-8=", "", "QQ==QQ=="])
def test_base64_is_read_in_one_way_only(text: str) -> None:
    with pytest.raises(NotProven):
        decode64(text, "a test")


@pytest.mark.parametrize("name", ["", "a b", "a+b", "a\u00a0b", "a\nb", "a\u2028b"])
def test_no_key_bears_such_a_name(name: str) -> None:
    with pytest.raises(BadValue):
        sign_note("x\n", name, PRIVATE)


@pytest.mark.parametrize("text", ["", "no end", "tab\t\n", "lone \ud800\n"])
def test_no_such_text_is_signed(text: str) -> None:
    with pytest.raises(BadValue):
        sign_note(text, ORIGIN, PRIVATE)
