"""Problems as RFC 9457 shapes them, for the schema."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ProblemError:
    """One thing that is wrong: where (a JSON pointer), a stable code, and a sentence."""

    pointer: str
    code: str
    detail: str
    expected: str
    got: str


@dataclass(frozen=True, slots=True)
class Problem:
    """What went wrong; `code` is stable, `detail` is for people."""

    type: str
    title: str
    status: int
    code: str
    detail: str
    errors: tuple[ProblemError, ...]
