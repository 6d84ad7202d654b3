"""Bodies as they may come: JSON without surprises, or a bench sheet as CSV; neither too large."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import IO, Any

from rest_framework import exceptions, status
from rest_framework.parsers import BaseParser

from records.domain.errors import Code, Unreadable

JSON_BYTES = 256 * 1024
SHEET_BYTES = 1024 * 1024
FILE_BYTES = 5 * 1024 * 1024
DEEPEST = 24


class TooLarge(exceptions.APIException):
    """A body beyond its limit (HTTP 413)."""

    status_code = status.HTTP_413_REQUEST_ENTITY_TOO_LARGE
    default_code = "too_large"


class Json(BaseParser):
    """Read a JSON body; NaN, a key that comes twice and text that isn't UTF-8 are refused."""

    media_type = "application/json"
    # the schema generator looks for DRF's own renderer here; a body is never shown as a form
    renderer_class = None

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        raw = limited(stream, JSON_BYTES)
        try:
            data = json.loads(
                raw.decode("utf-8"), parse_constant=_not_a_number, object_pairs_hook=_once_each
            )
        except (ValueError, RecursionError) as error:
            raise Unreadable(
                Code.UNREADABLE, f"expected JSON in UTF-8: {str(error)[:200]}"
            ) from error
        _check(data, DEEPEST)
        return data


class Sheet(BaseParser):
    """Read a bench sheet sent as text/csv; its bytes are left to who takes it in."""

    media_type = "text/csv"
    renderer_class = None

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        try:
            return {"sheet": limited(stream, SHEET_BYTES).decode("utf-8-sig")}
        except UnicodeDecodeError as error:
            raise Unreadable(Code.UNREADABLE, "expected a sheet in UTF-8") from error


class CertificateCsv(Sheet):
    """Read a certificate's table sent as text/csv."""

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        return {"csv": limited(stream, JSON_BYTES)}


@dataclass(frozen=True, slots=True)
class FileSent:
    """A file as it was sent; said as its hash, so that a key stands for these very bytes."""

    content: bytes

    def __str__(self) -> str:
        return sha256(self.content).hexdigest()


class PdfFile(BaseParser):
    """Read a file sent as the whole body; what it is is told by its content, not by this name."""

    media_type = "application/pdf"
    renderer_class = None

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        return {"file": FileSent(limited(stream, FILE_BYTES))}


class JpegFile(PdfFile):
    """A JPEG photo."""

    media_type = "image/jpeg"


class PngFile(PdfFile):
    """A PNG picture."""

    media_type = "image/png"


FILES = (PdfFile, JpegFile, PngFile)


def limited(stream: IO[Any], most: int) -> bytes:
    """Return the body, or refuse one of more than so many bytes without reading it all."""
    raw: bytes = stream.read(most + 1)
    if len(raw) > most:
        raise TooLarge(f"expected a body of at most {most // 1024} KiB")
    return raw


def _not_a_number(word: str) -> None:
    raise ValueError(f"{word} is no JSON number")


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    data = dict(pairs)
    if len(data) != len(pairs):
        keys = [key for key, _ in pairs]
        twice = sorted({key for key in keys if keys.count(key) > 1})
        raise ValueError(f"the key {twice[0][:40]!r} comes twice")
    return data


def _check(data: Any, levels: int) -> None:
    """Refuse what no table and no answer could hold: depth, NUL, half a surrogate pair."""
    if isinstance(data, str):
        if unwritable(data):
            raise Unreadable(Code.UNREADABLE, "expected text, got NUL or half a surrogate pair")
        return
    if not isinstance(data, dict | list):
        return
    if levels == 0:
        raise Unreadable(Code.UNREADABLE, f"expected at most {DEEPEST} levels of JSON")
    for one in [*data, *data.values()] if isinstance(data, dict) else data:
        _check(one, levels - 1)


def unwritable(text: str) -> bool:
    """Say whether a text has what PostgreSQL can't store or UTF-8 can't carry."""
    return any(letter == "\0" or "\ud800" <= letter <= "\udfff" for letter in text)
