"""A finding: something that stands in a release's way, and what would close it.

A finding is reckoned from the facts each time. Its key names the rule and the evidence it speaks
of, so that what an inspector decided holds for that evidence and not for what came later.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from enum import StrEnum

LONGEST_KEY = 200


class Decision(StrEnum):
    """What an inspector may decide about a finding."""

    REWORK = "rework"
    SCRAP = "scrap"
    CONCESSION = "concession"
    LOOKED = "looked at"
    TESTED = "tested"
    EXPLAINED = "explained"


class FindingCode(StrEnum):
    """Every finding there is; codes are never renamed."""

    # cuts
    FORBIDDEN_ZONE = "forbidden_zone"
    OUTSIDE_THE_MAP = "outside_the_map"
    METHOD_NOT_ALLOWED = "method_not_allowed"
    OVER_LIMIT = "over_limit"
    LIMIT_MISSING = "limit_missing"
    ALLOWANCE_UNKNOWN = "allowance_unknown"
    ONE_SPOT = "one_spot"
    MAKER_LEAVE = "maker_leave"
    REMOVAL_OPEN = "removal_open"
    # heat and cracks
    BLUED = "blued"
    HEAT_SEEN = "heat_seen"
    CRACKED = "cracked"
    # mass without a record
    METAL_GONE = "metal_gone"
    METAL_GAINED = "metal_gained"
    # damper
    SOLID_PULLEY = "solid_pulley"
    DAMPER_MISSING = "damper_missing"
    RATING_MISSING = "rating_missing"
    RATING_EXPIRED = "rating_expired"
    RATING_IN_DOUBT = "rating_in_doubt"
    # evidence and judgements
    EVIDENCE_MISSING = "evidence_missing"
    STEP_TOO_COARSE = "step_too_coarse"
    MATCH_FAILED = "match_failed"
    NO_ACCEPTANCE_ZONE = "no_acceptance_zone"
    SETS_WEIGHED_APART = "sets_weighed_apart"
    TOO_FEW_READINGS = "too_few_readings"
    CARD_MISSING = "card_missing"
    CARD_STALE = "card_stale"
    SCALE_RECALLED = "scale_recalled"
    # what wasn't asked or answered
    INTAKE_NOT_ASKED = "intake_not_asked"
    DETAIL_MISSING = "detail_missing"
    NOT_ANSWERED = "not_answered"


_WRITTEN = frozenset({Decision.SCRAP, Decision.CONCESSION})
_TEST = frozenset({Decision.SCRAP, Decision.TESTED})
_REASON = frozenset({Decision.SCRAP, Decision.EXPLAINED})

# What is not listed closes by new evidence alone. Rework closes nothing by itself: the new
# weighings, or another part, make the finding go.
CLOSED_BY: dict[FindingCode, frozenset[Decision]] = {
    FindingCode.FORBIDDEN_ZONE: _WRITTEN,
    FindingCode.OUTSIDE_THE_MAP: _WRITTEN,
    FindingCode.METHOD_NOT_ALLOWED: _WRITTEN,
    FindingCode.OVER_LIMIT: _WRITTEN,
    FindingCode.LIMIT_MISSING: _WRITTEN,
    FindingCode.ALLOWANCE_UNKNOWN: _WRITTEN,
    FindingCode.ONE_SPOT: _WRITTEN,
    FindingCode.MAKER_LEAVE: _WRITTEN | _REASON,
    FindingCode.BLUED: _TEST,
    FindingCode.CRACKED: _TEST,
    FindingCode.HEAT_SEEN: _TEST | {Decision.LOOKED},
    FindingCode.METAL_GONE: _REASON,
    FindingCode.METAL_GAINED: _REASON,
    FindingCode.SOLID_PULLEY: _WRITTEN,
    FindingCode.DAMPER_MISSING: frozenset({Decision.CONCESSION}),
    # The rating itself is never conceded; that its body confirmed it after the cut can be shown.
    FindingCode.RATING_IN_DOUBT: _REASON,
    FindingCode.STEP_TOO_COARSE: frozenset({Decision.CONCESSION}),
    FindingCode.MATCH_FAILED: _WRITTEN,
    FindingCode.NO_ACCEPTANCE_ZONE: frozenset({Decision.CONCESSION}),
    FindingCode.TOO_FEW_READINGS: frozenset({Decision.CONCESSION}),
}

# What a deed brought about is written down with it; the rest is reckoned until it goes.
RAISED_BY_A_DEED = frozenset(
    {
        FindingCode.FORBIDDEN_ZONE,
        FindingCode.OUTSIDE_THE_MAP,
        FindingCode.METHOD_NOT_ALLOWED,
        FindingCode.OVER_LIMIT,
        FindingCode.LIMIT_MISSING,
        FindingCode.ALLOWANCE_UNKNOWN,
        FindingCode.ONE_SPOT,
        FindingCode.MAKER_LEAVE,
        FindingCode.BLUED,
        FindingCode.HEAT_SEEN,
        FindingCode.CRACKED,
        FindingCode.METAL_GONE,
        FindingCode.METAL_GAINED,
        FindingCode.SOLID_PULLEY,
        FindingCode.RATING_IN_DOUBT,
        FindingCode.SCALE_RECALLED,
    }
)

RATING_CODES = frozenset(
    {FindingCode.RATING_MISSING, FindingCode.RATING_EXPIRED, FindingCode.RATING_IN_DOUBT}
)


@dataclass(frozen=True, slots=True)
class Finding:
    """What is found: stable key, code, the part and place concerned, and a sentence.

    `closes_by` empty: no decision closes it, only new evidence does, so it needs no row.
    """

    key: str
    code: FindingCode
    part: str | None
    place: int | None
    text: str
    closes_by: frozenset[Decision]

    @property
    def can_be_disposed(self) -> bool:
        """Say whether an inspector has anything to decide here."""
        return bool(self.closes_by)


def finding(
    code: FindingCode,
    text: str,
    *evidence: object,
    part: str | None = None,
    place: int | None = None,
) -> Finding:
    """Make a finding whose key names the code, the part and the evidence (ids) it speaks of."""
    closes_by = CLOSED_BY.get(code, frozenset())
    if part is None:
        closes_by -= {Decision.SCRAP}
    return Finding(key_of(code, part, *evidence), code, part, place, text, closes_by)


def key_of(code: FindingCode, part: str | None, *evidence: object) -> str:
    """Return a key of at most 200 characters, equal for equal evidence and for no other."""
    pieces = [code.value, part or "", *(str(piece) for piece in evidence)]
    key = ":".join(pieces)
    if len(key) <= LONGEST_KEY and not any(":" in piece for piece in pieces):
        return key
    # A colon inside a piece would let ("a:b", "c") and ("a", "b:c") meet.
    digest = hashlib.sha256("\x1f".join(pieces).encode()).hexdigest()
    return f"{code.value}:{digest}"
