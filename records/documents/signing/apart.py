"""Examine a paper from a stranger in a process of its own, with a bound on time and memory.

A hostile PDF can make a parser run for ever or unpack to more than the machine holds; what does not
answer in time is not accepted.
"""

from __future__ import annotations

import base64
import dataclasses
import hashlib
import json
import os
import resource
import subprocess
import sys
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from records.documents.signing.examine import LARGEST, PaperExamination, examine_pdf

SECONDS = 10
MEMORY = 1_000_000_000


def examine_apart(
    pdf_bytes: bytes,
    trusted_roots: Sequence[bytes],
    *,
    largest: int = LARGEST,
    seconds: int = SECONDS,
    memory: int = MEMORY,
) -> PaperExamination:
    """Examine as `examine_pdf` does, in at most `seconds` and `memory` bytes; never raises."""
    if len(pdf_bytes) > largest:
        return examine_pdf(pdf_bytes, trusted_roots, largest=largest)
    asked = {
        "pdf": _text(pdf_bytes),
        "roots": [_text(root) for root in trusted_roots],
        "largest": largest,
        "seconds": seconds,
        "memory": memory,
    }
    try:
        done = subprocess.run(
            [sys.executable, "-m", __name__],
            input=json.dumps(asked).encode(),
            capture_output=True,
            timeout=seconds,
            check=True,
            env=os.environ | {"PYTHONPATH": os.pathsep.join(path for path in sys.path if path)},
        )
        return _taken(json.loads(done.stdout))
    except (OSError, ValueError, KeyError, TypeError, subprocess.SubprocessError):
        return PaperExamination(
            hashlib.sha256(pdf_bytes).hexdigest(),
            problems=(f"the file could not be examined in {seconds} s and {memory} bytes",),
        )


def answer(asked: dict[str, Any]) -> dict[str, Any]:
    """Examine what was asked about, within its bounds."""
    resource.setrlimit(resource.RLIMIT_AS, (asked["memory"], asked["memory"]))
    resource.setrlimit(resource.RLIMIT_CPU, (asked["seconds"], asked["seconds"]))
    roots = [base64.b64decode(root) for root in asked["roots"]]
    found = examine_pdf(base64.b64decode(asked["pdf"]), roots, largest=asked["largest"])
    given = dataclasses.asdict(found)
    given["signed_at"] = found.signed_at.isoformat() if found.signed_at else None
    given["facts_bytes"] = None if found.facts_bytes is None else _text(found.facts_bytes)
    given["witness_files"] = {name: _text(raw) for name, raw in found.witness_files.items()}
    return given


def _taken(given: dict[str, Any]) -> PaperExamination:
    at, facts = given["signed_at"], given["facts_bytes"]
    witness = given["witness_files"].items()
    return PaperExamination(
        **given
        | {
            "signed_at": datetime.fromisoformat(at) if at else None,
            "facts_bytes": None if facts is None else base64.b64decode(facts),
            "witness_files": {name: base64.b64decode(raw) for name, raw in witness},
            "problems": tuple(given["problems"]),
        }
    )


def _text(raw: bytes) -> str:
    return base64.b64encode(raw).decode()


if __name__ == "__main__":
    json.dump(answer(json.load(sys.stdin)), sys.stdout)
