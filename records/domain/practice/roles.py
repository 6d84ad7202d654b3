"""Which role may do which deed: one table, deny by default."""

from __future__ import annotations

from collections.abc import Iterable

from records.domain.errors import Code, NotAllowed

TECHNICIAN = "technician"
INSPECTOR = "inspector"
MANAGER = "manager"
VIEWER = "viewer"
ROLES = (TECHNICIAN, INSPECTOR, MANAGER, VIEWER)

_BENCH = frozenset({TECHNICIAN})
_INSPECTION = frozenset({INSPECTOR})
_OFFICE = frozenset({MANAGER})

MAY: dict[str, frozenset[str]] = {
    "open build": _BENCH | _OFFICE,
    "book parts": _BENCH | _OFFICE,
    "fit": _BENCH,
    "weigh": _BENCH,
    "match": _BENCH,
    "cut": _BENCH,
    "issue card": _BENCH,
    "answer checklist": _BENCH,
    "check scale": _BENCH | _OFFICE,
    "study scale": _BENCH | _OFFICE,
    "correct": _BENCH | _INSPECTION,
    "verify weighing": _INSPECTION,
    "rule allowance": _INSPECTION,
    "dispose": _INSPECTION,
    "release": _INSPECTION,
    "change certificate": _INSPECTION | _OFFICE,
    "keep scales": _OFFICE,
    "recall": _OFFICE,
    "clear recall": _INSPECTION,
    "book people": _OFFICE,
    "book customers": _BENCH | _OFFICE,
    "set rules": _OFFICE,
    "read": frozenset(ROLES),
}


def may(roles: Iterable[str], deed: str) -> bool:
    """Say whether someone with these roles may do the deed; a deed not listed, nobody may."""
    return not MAY.get(deed, frozenset()).isdisjoint(roles)


def check_may(roles: Iterable[str], deed: str, who: str = "this person") -> None:
    """Refuse a deed that none of these roles may do (NotAllowed)."""
    held = sorted(roles)
    if may(held, deed):
        return
    needed = " or ".join(sorted(MAY.get(deed, frozenset()))) or "no role at all"
    got = ", ".join(held) or "none"
    raise NotAllowed(
        Code.NOT_ALLOWED,
        f"{who} may not {deed}: expected the role {needed}, got {got}; ask someone who holds it",
        expected=needed,
        got=got,
    )
