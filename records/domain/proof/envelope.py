"""One entry of the ledger: an envelope of eight keys, and the hash of its canonical bytes.

The hash is at once the link of the stream's chain and the leaf hash of RFC 9162, 2.1.1, so a log
over all entries can be laid beside the chains without touching an entry.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import UTC, datetime
from hashlib import sha256
from typing import Any

from records.domain.errors import BadValue, Code, Unreadable
from records.domain.proof.canonical import canonical_bytes, parse_canonical

VERSION = 1
# what the first entry of a stream names as the one before it
NOTHING_BEFORE = "0" * 64


@dataclass(frozen=True, slots=True)
class Envelope:
    """An entry as it is hashed: `prev` in hex, `recorded_at` as RFC 3339 in UTC."""

    version: int
    stream: str
    seq: int
    prev: str
    recorded_at: str
    actor: str
    kind: str
    data: Mapping[str, Any]


_TYPES: dict[str, type] = {
    "version": int,
    "stream": str,
    "seq": int,
    "prev": str,
    "recorded_at": str,
    "actor": str,
    "kind": str,
    "data": dict,
}


def envelope_bytes(envelope: Envelope) -> bytes:
    """Return the canonical bytes of an envelope.

    Errors: BadValue when a value can't stand in canonical JSON, or a key has the wrong kind.
    """
    body = {field.name: getattr(envelope, field.name) for field in fields(Envelope)}
    body["data"] = dict(envelope.data)
    _check_shape(body, BadValue)
    return canonical_bytes(body)


def read_envelope(raw: bytes) -> Envelope:
    """Return the envelope whose bytes `raw` is.

    Errors: Unreadable when the bytes aren't canonical, the keys aren't exactly the eight, or the
    format version isn't ours.
    """
    body = parse_canonical(raw)
    if not isinstance(body, dict) or body.keys() != _TYPES.keys():
        raise Unreadable(
            Code.UNREADABLE, f"expected an entry with the keys {', '.join(sorted(_TYPES))}"
        )
    _check_shape(body, Unreadable)
    return Envelope(**body)


def entry_hash(raw: bytes) -> str:
    """Return SHA-256(0x00 ‖ envelope bytes) in hex (RFC 9162, 2.1.1: a leaf)."""
    return sha256(b"\x00" + raw).hexdigest()


def node_hash(left: bytes, right: bytes) -> bytes:
    """Return SHA-256(0x01 ‖ left ‖ right) (RFC 9162, 2.1.1: a node of the log over all entries)."""
    return sha256(b"\x01" + left + right).digest()


def utc_text(moment: datetime) -> str:
    """Return an aware moment as RFC 3339 in UTC with microseconds.

    Errors: BadValue when the moment names no zone.
    """
    if moment.utcoffset() is None:
        raise BadValue(Code.BAD_VALUE, f"expected a time with its zone, got {moment.isoformat()}")
    # isoformat, not strftime: the C library writes a year before 1000 without its zeros
    return moment.astimezone(UTC).replace(tzinfo=None).isoformat(timespec="microseconds") + "Z"


def _check_shape(body: dict[str, Any], error: type[BadValue] | type[Unreadable]) -> None:
    code = Code.BAD_VALUE if error is BadValue else Code.UNREADABLE
    for key, kind in _TYPES.items():
        if type(body[key]) is not kind and not (kind is str and isinstance(body[key], str)):
            raise error(
                code, f"expected {kind.__name__}, got {type(body[key]).__name__}", field=key
            )
    if body["version"] != VERSION:
        raise error(code, f"expected format {VERSION}, got {body['version']}", field="version")
    if body["seq"] < 1:
        raise error(code, f"expected 1 or more, got {body['seq']}", field="seq")
    if len(body["prev"]) != 64 or set(body["prev"]) - set("0123456789abcdef"):
        raise error(code, "expected 64 hex digits", field="prev", got=body["prev"])
    _check_moment(body["recorded_at"], error, code)
    for key in ("stream", "actor", "kind"):
        if not body[key]:
            raise error(code, "expected a text, got an empty one", field=key)


def _check_moment(text: str, error: type[BadValue] | type[Unreadable], code: Code) -> None:
    try:
        moment = datetime.fromisoformat(text)
    except ValueError as cause:
        raise error(code, "expected a time in UTC", field="recorded_at", got=text) from cause
    if moment.utcoffset() is None or utc_text(moment) != text:
        raise error(
            code, "expected a time in UTC with microseconds and Z", field="recorded_at", got=text
        )
