"""Sign a note with Ed25519 (C2SP signed-note, v1.0.0). The offline verifier doesn't need it."""

from __future__ import annotations

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from records.domain.errors import BadValue, Code
from records.domain.proof.note import NoteKey, encode64, is_key_name


def key_of(name: str, private: Ed25519PrivateKey) -> NoteKey:
    """Return the public side of a signing key, under the name that signature lines will bear.

    Errors: BadValue when no key may bear the name.
    """
    if not is_key_name(name):
        raise BadValue(
            Code.BAD_VALUE,
            f"expected a key name without spaces and plus, got {name!a}",
            field="name",
        )
    return NoteKey(name, private.public_key().public_bytes_raw())


def sign_note(text: str, name: str, private: Ed25519PrivateKey) -> bytes:
    """Return the signed note of a text; the same text and key give the same bytes.

    Errors: BadValue for a text that doesn't end its line or holds other control characters, or for
    a name that no key may bear.
    """
    key = key_of(name, private)
    if not text.endswith("\n") or any(letter < " " and letter != "\n" for letter in text):
        raise BadValue(Code.BAD_VALUE, "expected whole lines without control characters")
    try:
        raw = text.encode("utf-8")
    except UnicodeEncodeError as error:
        raise BadValue(Code.BAD_VALUE, "expected a text, got a lone surrogate in it") from error
    signature = encode64(key.key_id + private.sign(raw))
    return raw + f"\n— {name} {signature}\n".encode()
