"""What closes a finding: which decision, with which evidence, by whom."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from records.domain.errors import BadValue, Code, Conflict, NotAllowed
from records.domain.practice.facts import DispositionFacts
from records.domain.practice.finding import CLOSED_BY, Decision, Finding, FindingCode

HARDNESS = "hardness"
CRACK_TEST = "crack_test"
CONFIRMED_BY = "confirmed_by"
MAKER_LEAVE = "maker_leave"

# The evidence that a decision needs, by name; a reason it needs always.
_NEEDS: dict[tuple[FindingCode, Decision], tuple[str, ...]] = {
    (FindingCode.BLUED, Decision.TESTED): (HARDNESS, CRACK_TEST),
    (FindingCode.HEAT_SEEN, Decision.TESTED): (HARDNESS, CRACK_TEST),
    (FindingCode.CRACKED, Decision.TESTED): (CRACK_TEST,),
    (FindingCode.RATING_IN_DOUBT, Decision.EXPLAINED): (CONFIRMED_BY,),
    (FindingCode.MAKER_LEAVE, Decision.EXPLAINED): (MAKER_LEAVE,),
}


def decisions_for(code: str, *, has_part: bool) -> tuple[Decision, ...]:
    """Return the decisions that an inspector may take on such a finding, none where none helps.

    Rework is a decision too, but closes nothing by itself: new evidence does.
    """
    closing = CLOSED_BY.get(code_named(code), frozenset())
    if not closing:
        return ()
    open_to = closing if has_part else closing - {Decision.SCRAP}
    return tuple(d for d in Decision if d in open_to or d is Decision.REWORK)


def needed_evidence(code: str, decision: str) -> tuple[str, ...]:
    """Return the names of the evidence that this decision on such a finding must bring."""
    return _NEEDS.get((code_named(code), decision_named(decision)), ())


def check_disposition(
    code: str,
    decision: str,
    *,
    has_part: bool,
    reason: str,
    evidence: Mapping[str, str],
    by: str,
    workers: Collection[str],
) -> Decision:
    """Return the decision when it may be taken by this inspector; that it is one, roles.py says.

    Errors: Conflict for a decision that doesn't close such a finding, BadValue at `reason` or
    `evidence/NAME`, NotAllowed for a concession by someone who did the work.
    """
    decided = decision_named(decision)
    _check_fits(code, decided, decisions_for(code, has_part=has_part))
    if not reason.strip():
        raise _missing("reason", "a reason")
    for name in needed_evidence(code, decided):
        if not evidence.get(name, "").strip():
            raise _missing(f"evidence/{name}", f"the {name.replace('_', ' ')}")
    if decided is Decision.CONCESSION and by in workers:
        raise NotAllowed(
            Code.NOT_ALLOWED,
            f"{by} worked on this build and can't concede; ask an inspector who did not",
            field="decision",
            expected="an inspector who did none of the work",
            got=by,
        )
    return decided


def is_closed(
    found: Finding, disposition: DispositionFacts | None, workers: Collection[str] = ()
) -> bool:
    """Say whether the newest decision on a finding closes it.

    Everything is asked again, so that a concession by someone who worked on the build afterwards,
    or a test without its results, does not count.
    """
    if disposition is None or disposition.decision not in found.closes_by:
        return False
    if disposition.decision == Decision.CONCESSION and disposition.by in workers:
        return False
    needed = needed_evidence(found.code, disposition.decision)
    has_all = all(disposition.evidence.get(name, "").strip() for name in needed)
    return has_all and bool(disposition.reason.strip())


def code_named(code: str) -> FindingCode:
    """Return the code; BadValue for one that is none."""
    try:
        return FindingCode(code)
    except ValueError as unknown:
        raise BadValue(
            Code.BAD_VALUE,
            f"expected a finding's code, got {code!r}",
            field="code",
            expected="a finding's code",
            got=code,
        ) from unknown


def decision_named(decision: str) -> Decision:
    """Return the decision; BadValue for one that is none."""
    try:
        return Decision(decision)
    except ValueError as unknown:
        expected = ", ".join(Decision)
        raise BadValue(
            Code.BAD_VALUE,
            f"expected one of {expected}; got {decision!r}",
            field="decision",
            expected=expected,
            got=decision,
        ) from unknown


def _check_fits(code: str, decided: Decision, possible: tuple[Decision, ...]) -> None:
    if decided in possible:
        return
    expected = ", ".join(possible)
    advice = f"expected {expected}" if expected else "no decision closes it, new evidence does"
    raise Conflict(
        Code.CONFLICT,
        f"a finding {code} isn't closed by {decided}: {advice}",
        field="decision",
        expected=expected or "new evidence",
        got=decided,
    )


def _missing(field: str, expected: str) -> BadValue:
    return BadValue(
        Code.MISSING,
        f"expected {expected}, got none",
        field=field,
        expected=expected,
        got="none",
    )
