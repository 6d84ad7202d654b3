"""The key that signs the log's heads: made at first run, apart from the key that signs papers.

It lies in the folder `…-log` beside the keys folder, in one line (PRIVATE+KEY+name+id+base64 of
0x01 and the seed), or comes from the environment. Every key that signed once stays known.
"""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from django.conf import settings

from records.domain.errors import Code, NotProven
from records.domain.proof.checkpoint import Checkpoint, open_checkpoint
from records.domain.proof.note import ED25519, NoteKey, decode64, encode64, read_key
from records.domain.proof.note_signing import key_of, sign_note

STARTS = "PRIVATE+KEY+"
DEMO = "demo-log"
UNTIL = "until"


@dataclass(frozen=True, slots=True)
class LogSigner:
    """A name and the private key that signs under it."""

    name: str
    private: Ed25519PrivateKey

    @property
    def key(self) -> NoteKey:
        """Return the public side."""
        return key_of(self.name, self.private)

    @property
    def is_demo(self) -> bool:
        """Tell whether this key was made for a demo shop; its name then says so too."""
        return is_demo_name(self.name)

    def sign(self, text: str) -> bytes:
        """Return the signed note of a text."""
        return sign_note(text, self.name, self.private)


@dataclass(frozen=True, slots=True)
class KnownKey:
    """A key that signed this log once; one that was replaced counts for heads up to a size."""

    key: NoteKey
    until: int | None = None


def is_demo_name(name: str) -> bool:
    """Tell whether a key of this name was made for a demo shop."""
    return name.endswith(f"/{DEMO}")


def log_signer(*, demo: bool) -> LogSigner:
    """Return the key that signs now, made when there is none yet.

    Errors: NotProven when none can be made, or the one that is there can't be used.
    """
    if settings.TAREBOOK_LOG_KEY:
        signer = _read_signer(settings.TAREBOOK_LOG_KEY, "TAREBOOK_LOG_KEY")
    else:
        with _files():
            if not _signing_file().exists():
                _write_new(_signing_file(), _line(_new_signer(demo)))
            signer = _read_signer(_own_text(_signing_file()), str(_signing_file()))
    _remember(signer.key)
    return signer


def known_log_keys() -> list[KnownKey]:
    """Return every key that signed this log, the first first; none before the first run.

    Errors: NotProven when the list can't be read.
    """
    with _files():
        if not _known_file().exists():
            return []
        return [_known(line) for line in _known_file().read_text(encoding="utf-8").splitlines()]


def open_known(raw: bytes) -> Checkpoint:
    """Return the head that a note signed by a known key holds.

    Errors: NotProven, also for a key that was replaced before the log had that size: whoever stole
    it can sign no later head.
    """
    known = known_log_keys()
    head, signers = open_checkpoint(raw, [each.key for each in known])
    until = {each.key: each.until for each in known}
    if all((last := until[key]) is not None and head.size > last for key in signers):
        raise NotProven(
            Code.NOT_PROVEN,
            f"expected a key that still signs at {head.size} entries, got one that was replaced",
        )
    return head


def fresh_log_key(*, name: str) -> LogSigner:
    """Return a new key under the log's name; nothing is signed by it until it is taken up.

    Errors: NotProven when the key comes from the environment, which is not ours to change.
    """
    if settings.TAREBOOK_LOG_KEY:
        raise NotProven(
            Code.KEY_UNUSABLE,
            "expected the log's key in the keys folder, got TAREBOOK_LOG_KEY; put the line into "
            f"{_signing_file()} (chmod 600), unset the variable, and replace the key then",
        )
    return LogSigner(name, Ed25519PrivateKey.generate())


def take_up_log_key(new: LogSigner, *, old: NoteKey, last_size: int) -> None:
    """Let a new key sign from here on; the old one stays known for heads up to `last_size`.

    Errors: NotProven when the files can't be written.
    """
    with _files():
        kept = [
            f"{UNTIL} {last_size} {line}" if line == str(old) else line
            for line in _known_file().read_text(encoding="utf-8").splitlines()
        ]
        # known first: a crash in between leaves a key known that never signs
        _put(_known_file(), "".join(f"{line}\n" for line in [*kept, str(new.key)]), 0o644)
        _put(_signing_file(), _line(new), 0o600)


def _new_signer(demo: bool) -> LogSigner:
    host = urlsplit(settings.TAREBOOK_BASE_URL).netloc or "shop"
    name = settings.TAREBOOK_LOG_NAME or f"{host}/{DEMO if demo else 'log'}"
    if demo and not is_demo_name(name):
        name = f"{name}/{DEMO}"
    return LogSigner(name, Ed25519PrivateKey.generate())


def _line(signer: LogSigner) -> str:
    seed = encode64(ED25519 + signer.private.private_bytes_raw())
    return f"{STARTS}{signer.name}+{signer.key.key_id.hex()}+{seed}\n"


def _read_signer(text: str, where: str) -> LogSigner:
    name, _, rest = text.strip().removeprefix(STARTS).partition("+")
    seed = decode64(rest.partition("+")[2], where)[1:]
    if len(seed) == 32:
        signer = LogSigner(name, Ed25519PrivateKey.from_private_bytes(seed))
        if _line(signer).strip() == text.strip():
            return signer
    raise NotProven(Code.KEY_UNUSABLE, f"{where}: expected {STARTS}name+id+base64, got another")


def _known(line: str) -> KnownKey:
    if not line.startswith(f"{UNTIL} "):
        return KnownKey(read_key(line))
    _, size, key = line.split(" ", 2)
    return KnownKey(read_key(key), int(size))


def _remember(key: NoteKey) -> None:
    if key in (each.key for each in known_log_keys()):
        return
    with _files(), _known_file().open("a", encoding="utf-8") as file:
        file.write(f"{key}\n")
        file.flush()
        os.fsync(file.fileno())


def _own_text(path: Path) -> str:
    mode = path.stat().st_mode & 0o077
    if mode:
        raise NotProven(
            Code.KEY_UNUSABLE,
            f"{path}: expected a file that its owner alone can read, got mode {mode:o} for others; "
            "run chmod 600",
        )
    return path.read_text(encoding="utf-8")


def _folder() -> Path:
    # not inside it: the small CA makes that folder by a rename, which replaces only an empty one
    folder = Path(f"{settings.TAREBOOK_KEYS_FOLDER}-log")
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder


def _signing_file() -> Path:
    return _folder() / "signing-key"


def _known_file() -> Path:
    return _folder() / "known-keys"


def _write_new(path: Path, text: str) -> None:
    """Write a file unless another process was quicker; nobody ever sees half of it."""
    beside = _beside(path, text, 0o600)
    try:
        os.link(beside, path)
    except FileExistsError:
        pass
    finally:
        beside.unlink()


def _put(path: Path, text: str, mode: int) -> None:
    _beside(path, text, mode).replace(path)


def _beside(path: Path, text: str, mode: int) -> Path:
    beside = path.with_name(f".{path.name}-{secrets.token_hex(8)}")
    held = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode)
    with os.fdopen(held, "w", encoding="utf-8") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    return beside


@contextmanager
def _files() -> Iterator[None]:
    try:
        yield
    except (OSError, ValueError) as error:
        raise NotProven(
            Code.KEY_UNUSABLE,
            f"expected the log's keys beside {settings.TAREBOOK_KEYS_FOLDER}, got {error}",
        ) from error
