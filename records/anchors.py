"""The folder outside the database to which heads of the log go: one file each, never overwritten.

It may be another machine's disk or a mounted object store; the less the keeper of the database can
do there, the more it is worth.
"""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from records.domain.errors import Code, NotProven

ENDING = ".checkpoint"


@dataclass(frozen=True, slots=True)
class AnchoredNote:
    """A head of the log as a file outside holds it."""

    where: str
    note: bytes


def folder() -> Path | None:
    """Return the folder that the settings name, or None."""
    named = settings.TAREBOOK_ANCHOR_FOLDER
    return Path(named) if named else None


def put_outside(*, size: int, key_id: str, note: bytes) -> Path | None:
    """Write a head into the folder, and return its file; None without a folder.

    What is there already is left alone. Errors: OSError when the folder can't be written.
    """
    place = folder()
    if place is None:
        return None
    place.mkdir(parents=True, exist_ok=True)
    file = place / _name(size, key_id)
    if not file.exists():
        _write(file, note)
    return file


def notes_outside() -> Iterator[AnchoredNote]:
    """Yield every head that the folder holds, by size; none without a folder.

    Errors: NotProven when a file can't be read.
    """
    for file in _files():
        yield _read(file)


def newest_outside() -> AnchoredNote | None:
    """Return the greatest head that the folder holds, or None.

    Errors: NotProven when it can't be read.
    """
    files = _files()
    return _read(files[-1]) if files else None


def _files() -> list[Path]:
    place = folder()
    return sorted(place.glob(f"*{ENDING}")) if place and place.is_dir() else []


def _read(file: Path) -> AnchoredNote:
    try:
        return AnchoredNote(str(file), file.read_bytes())
    except OSError as error:
        raise NotProven(
            Code.NOT_PROVEN, f"{file}: expected a checkpoint to read, got {error.strerror}"
        ) from error


def _name(size: int, key_id: str) -> str:
    # padded, so that files sort by size
    return f"{size:012}-{key_id}{ENDING}"


def _write(file: Path, note: bytes) -> None:
    """Write a file whole or not at all; of two that race, the first stays."""
    beside = file.with_name(f".{file.name}-{secrets.token_hex(8)}")
    held = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o444)
    with os.fdopen(held, "wb") as opened:
        opened.write(note)
        opened.flush()
        os.fsync(opened.fileno())
    try:
        os.link(beside, file)
    except FileExistsError:
        pass
    finally:
        beside.unlink()
