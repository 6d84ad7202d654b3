"""A file as it may be attached: told by its content, limited in size, a photo without its metadata.

A photo says where and when it was taken and by which phone; only its pixels are kept. A PDF is kept
byte for byte, as a laboratory signed it.
"""

from __future__ import annotations

import io
from dataclasses import dataclass

from PIL import Image, ImageOps

from records.domain.errors import BadValue, Code

LARGEST_BYTES = 5 * 1024 * 1024
MOST_PIXELS = 40_000_000
PDF, JPEG, PNG = "application/pdf", "image/jpeg", "image/png"
STARTS = ((b"%PDF-", PDF), (b"\xff\xd8\xff", JPEG), (b"\x89PNG\r\n\x1a\n", PNG))
FORMATS = {JPEG: "JPEG", PNG: "PNG"}
JPEG_QUALITY = 90


@dataclass(frozen=True, slots=True)
class CleanFile:
    """What is kept of a file, and what it is."""

    media_type: str
    content: bytes


def clean_file(raw: bytes, field: str = "file") -> CleanFile:
    """Return a file as it may be kept: PDF, JPEG or PNG of at most 5 MiB, photos re-encoded.

    Errors: BadValue at the field for another kind, one too large, or one that can't be read.
    """
    if not raw:
        raise _bad(field, "a PDF, JPEG or PNG file", "an empty one", Code.MISSING)
    if len(raw) > LARGEST_BYTES:
        most = f"a file of at most {LARGEST_BYTES // 1024 // 1024} MiB"
        raise _bad(field, most, f"{len(raw)} bytes", Code.TOO_LARGE)
    media_type = next((kind for start, kind in STARTS if raw.startswith(start)), None)
    if media_type is None:
        raise _bad(field, "a PDF, JPEG or PNG file", "another kind", Code.MEDIA_TYPE)
    if media_type == PDF:
        return CleanFile(PDF, _whole_pdf(raw, field))
    return CleanFile(media_type, _pixels_only(raw, media_type, field))


def _whole_pdf(raw: bytes, field: str) -> bytes:
    # ISO 32000-1, 7.5.5: a file ends with the marker; readers look for it in the last kilobyte
    if b"%%EOF" not in raw[-1024:]:
        raise _bad(field, "a whole PDF", "one without its end; send it again")
    return raw


def _pixels_only(raw: bytes, media_type: str, field: str) -> bytes:
    try:
        with Image.open(io.BytesIO(raw), formats=(FORMATS[media_type],)) as given:
            if given.width * given.height > MOST_PIXELS:
                raise _bad(
                    field,
                    f"at most {MOST_PIXELS // 1_000_000} million pixels",
                    f"{given.width} by {given.height}",
                    Code.TOO_LARGE,
                )
            upright = ImageOps.exif_transpose(given).convert("RGB")
            return _encoded(upright, FORMATS[media_type])
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as error:
        raise _bad(field, "a photo that can be read", "a damaged one; take it again") from error


def _encoded(image: Image.Image, kind: str) -> bytes:
    # a new image: what the old one said beside its pixels is left behind, comments included
    pixels = Image.new("RGB", image.size)
    pixels.paste(image)
    out = io.BytesIO()
    pixels.save(out, kind, quality=JPEG_QUALITY)
    return out.getvalue()


def _bad(field: str, expected: str, got: str, code: Code = Code.BAD_VALUE) -> BadValue:
    return BadValue(
        code, f"expected {expected}, got {got}", field=field, expected=expected, got=got
    )
