"""The certificate of a calibration attached: a photo or a PDF, known by its hash."""

from __future__ import annotations

from hashlib import sha256

from records import ledger
from records.actions.clock import SYSTEM, Clock
from records.actions.deed import deed
from records.actions.lookup import found, text
from records.documents.attached_file import clean_file
from records.domain.errors import BadValue, Code, Conflict
from records.models import Calibration, CalibrationFile

MOST_FILES = 10


def attach_calibration_file(
    *,
    by: str,
    scale: str,
    calibration: int,
    name: str,
    content: bytes,
    clock: Clock = SYSTEM,
) -> CalibrationFile:
    """Attach a photo or PDF of a certificate; a photo's metadata is left out.

    Errors: BadValue for a file of another kind, too large or damaged; Conflict for one that is
    attached already.
    """
    stream = ledger.scale_stream(scale)
    with deed(by=by, name="keep scales", streams=[stream], clock=clock) as act:
        row = _of_scale(calibration, scale)
        clean = clean_file(content)
        digest = sha256(clean.content).hexdigest()
        _refuse_more(row, digest)
        attached = CalibrationFile.objects.create(
            calibration=row,
            name=_plain_name(name),
            media_type=clean.media_type,
            size_bytes=len(clean.content),
            sha256=digest,
            content=clean.content,
            **act.stamp,
        )
        act.enter(stream, "certificate attached", [attached])
        return attached


def _of_scale(calibration: int, scale: str) -> Calibration:
    row = found(Calibration, calibration, "calibration")
    if row.scale_id != scale:
        raise BadValue(
            Code.UNKNOWN_NUMBER,
            f"expected a calibration of scale {scale}, got one of {row.scale_id}",
            field="calibration",
        )
    return row


def _refuse_more(calibration: Calibration, digest: str) -> None:
    there = list(calibration.files.values_list("sha256", flat=True))
    if digest in there:
        raise Conflict(Code.ALREADY_THERE, "this very file is attached already", field="file")
    if len(there) >= MOST_FILES:
        raise Conflict(
            Code.CONFLICT,
            f"expected at most {MOST_FILES} files at a calibration, got one more",
            field="file",
        )


def _plain_name(name: str) -> str:
    """Return the last part of a path as one line; browsers send just that."""
    return text(name.replace("\\", "/").rsplit("/", maxsplit=1)[-1], "name", 100)
