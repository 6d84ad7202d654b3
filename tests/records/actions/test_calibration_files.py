"""A certificate's photo or PDF: told by content, without its metadata, known by its hash."""

from __future__ import annotations

import io
from hashlib import sha256

import pytest
from PIL import Image
from PIL.ExifTags import Base

from records.actions.calibration_files import attach_calibration_file
from records.domain.errors import BadValue, Code, Conflict, NotAllowed
from records.models import Calibration, CalibrationFile
from tests.records.actions.bench import INES, MARTA, OTHER_SCALE, SCALE, Shop, last_entry
from tests.records.actions.refusal import refused

PDF = b"%PDF-1.7\n1 0 obj<<>>endobj\ntrailer<<>>\nstartxref\n9\n%%EOF\n"


def photo(kind: str = "JPEG", size: tuple[int, int] = (60, 40), turned: bool = False) -> bytes:
    image = Image.new("RGB", size, (200, 60, 20))
    exif = Image.Exif()
    exif[Base.Make] = "an invented phone"
    if turned:
        exif[Base.Orientation] = 6
    out = io.BytesIO()
    more = {"comment": b"bench by the door"} if kind == "JPEG" else {}
    image.save(out, kind, exif=exif, **more)
    return out.getvalue()


def attach(shop: Shop, content: bytes, *, by: str = MARTA, scale: str = SCALE) -> CalibrationFile:
    calibration = Calibration.objects.get(scale=SCALE)
    return attach_calibration_file(
        by=by,
        scale=scale,
        calibration=calibration.pk,
        name="certificate page 1",
        content=content,
        clock=shop.clock,
    )


def test_a_pdf_is_kept_byte_for_byte_and_its_hash_enters_the_ledger(equipped: Shop) -> None:
    row = attach(equipped, PDF)
    assert (bytes(row.content), row.media_type) == (PDF, "application/pdf")
    (item,) = last_entry(f"scale/{SCALE}").envelope.data["rows"]
    assert item["fields"]["content"] == item["fields"]["sha256"] == sha256(PDF).hexdigest()


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_of_a_photo_only_the_pixels_are_kept(equipped: Shop, kind: str) -> None:
    raw = photo(kind)
    assert b"an invented phone" in raw
    row = attach(equipped, raw)
    kept = Image.open(io.BytesIO(bytes(row.content)))
    assert b"invented" not in bytes(row.content) and b"bench by the door" not in bytes(row.content)
    assert (len(kept.getexif()), kept.size, kept.format) == (0, (60, 40), kind)
    red, green, blue = kept.convert("RGB").getpixel((30, 20))  # type: ignore[misc]
    assert max(abs(red - 200), abs(green - 60), abs(blue - 20)) <= 3
    assert row.sha256 == sha256(bytes(row.content)).hexdigest()


def test_a_photo_taken_on_its_side_is_turned_before_its_metadata_goes(equipped: Shop) -> None:
    row = attach(equipped, photo(turned=True))
    assert Image.open(io.BytesIO(bytes(row.content))).size == (40, 60)


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", Code.MISSING),
        (b"<html><script>", Code.MEDIA_TYPE),
        (b"GIF89a" + b"\0" * 50, Code.MEDIA_TYPE),
        (PDF[:-8], Code.BAD_VALUE),
        (b"\xff\xd8\xff\xe0 no photo", Code.BAD_VALUE),
        (photo()[:300], Code.BAD_VALUE),
        (b"%PDF-" + b"\0" * (5 * 1024 * 1024), Code.TOO_LARGE),
    ],
)
def test_what_is_no_whole_pdf_or_photo_is_refused(
    equipped: Shop, content: bytes, code: Code
) -> None:
    with refused(BadValue, code, "file"):
        attach(equipped, content)


def test_a_photo_of_too_many_pixels_is_refused_before_it_is_unpacked(equipped: Shop) -> None:
    with refused(BadValue, Code.TOO_LARGE, "file"):
        attach(equipped, photo("PNG", (8000, 5001)))


def test_the_same_file_twice_another_scales_and_another_hand_are_refused(equipped: Shop) -> None:
    attach(equipped, PDF)
    with refused(Conflict, Code.ALREADY_THERE, "file"):
        attach(equipped, PDF)
    with refused(BadValue, Code.UNKNOWN_NUMBER, "calibration"):
        attach(equipped, PDF + b"\n", scale=OTHER_SCALE)
    with refused(NotAllowed, Code.NOT_ALLOWED):
        attach(equipped, PDF + b"\n", by=INES)
