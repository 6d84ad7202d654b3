"""Open a signed note: a text under Ed25519 signatures (C2SP signed-note, v1.0.0)."""

from __future__ import annotations

from base64 import b64decode, b64encode
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from records.domain.proof.merkle import not_proven

ED25519 = b"\x01"
# the standard asks for 16 at least, and for a limit
MOST_SIGNATURES = 64


@dataclass(frozen=True, slots=True)
class NoteKey:
    """A name and the public key (32 bytes) that signs notes under it."""

    name: str
    public: bytes

    @property
    def key_id(self) -> bytes:
        """Return the 4 bytes by which a signature line names this key."""
        return sha256(self.name.encode() + b"\n" + ED25519 + self.public).digest()[:4]

    def __str__(self) -> str:
        return f"{self.name}+{self.key_id.hex()}+{encode64(ED25519 + self.public)}"


def read_key(text: str) -> NoteKey:
    """Return the key that is written as name+id+base64, or NotProven."""
    name, _, rest = text.partition("+")
    key = NoteKey(name, decode64(rest.partition("+")[2], "a verifier key")[1:])
    if not is_key_name(name) or len(key.public) != 32 or str(key) != text:
        raise not_proven("a verifier key as name+id+base64", text[:200])
    return key


def open_note(raw: bytes, keys: Sequence[NoteKey]) -> tuple[str, list[NoteKey]]:
    """Return the note's text and which of `keys` signed it.

    Errors: NotProven when the note is malformed, a signature of a known key is wrong, or no known
    key signed it. Signatures of unknown keys are passed over, as the standard asks.
    """
    text, lines = _parts(raw)
    signers = []
    for name, key_id, signature in map(_signature, lines):
        for key in keys:
            if (key.name, key.key_id) == (name, key_id):
                _check_signature(key, text, signature)
                signers.append(key)
    if not signers:
        wanted = " or ".join(f"{key.name}+{key.key_id.hex()}" for key in keys)
        raise not_proven(f"a note signed by {wanted or 'a known key'}", "only other signatures")
    return text, signers


def is_key_name(name: str) -> bool:
    """Say whether a key may bear this name: not empty, printable, without spaces and plus."""
    return name.isprintable() and not set(name) & {" ", "+"} and name != ""


def encode64(raw: bytes) -> str:
    """Return base64 (RFC 4648, 4)."""
    return b64encode(raw).decode("ascii")


def decode64(text: str, what: str) -> bytes:
    """Return the bytes of base64 that is written in its one canonical way, or NotProven."""
    try:
        raw = b64decode(text, validate=True)
    except ValueError:
        raw = b""
    # the last letter may carry bits that belong to no byte
    if not raw or encode64(raw) != text:
        raise not_proven(f"base64 in {what}", text[:80] or "nothing")
    return raw


def _parts(raw: bytes) -> tuple[str, list[str]]:
    try:
        text, gap, signatures = raw.decode("utf-8").rpartition("\n\n")
    except UnicodeDecodeError as error:
        raise not_proven("a note in UTF-8", str(error)) from error
    if any(byte < 0x20 and byte != 0x0A for byte in raw):
        raise not_proven("a note without control characters", "one")
    if not gap or not signatures.endswith("\n") or signatures.count("\n") > MOST_SIGNATURES:
        raise not_proven("a text, an empty line and up to 64 signature lines", "another form")
    return text + "\n", signatures[:-1].split("\n")


def _signature(line: str) -> tuple[str, bytes, bytes]:
    dash, _, rest = line.partition(" ")
    name, _, body = rest.partition(" ")
    raw = decode64(body, "a signature line")
    if dash != "—" or not is_key_name(name) or len(raw) <= 4:
        raise not_proven("a signature line: dash, key name, base64", line[:80])
    return name, raw[:4], raw[4:]


def _check_signature(key: NoteKey, text: str, signature: bytes) -> None:
    try:
        Ed25519PublicKey.from_public_bytes(key.public).verify(signature, text.encode())
    except (InvalidSignature, ValueError) as error:
        raise not_proven(f"a valid signature by {key.name}", "an invalid one") from error
