"""The damper: that there is one, and for competition that its rating is valid.

A solid pulley is no damper, on any engine. An invalid rating is never conceded: the build is
released as not for competition, or not at all.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from records.domain.practice.facts import BuildFacts
from records.domain.practice.facts_of_parts import PartFacts
from records.domain.practice.finding import Finding, FindingCode, finding
from records.domain.practice.fitted import fitments_now, parts_now

NOT_FOR_COMPETITION = "or release it as not for competition"


def damper_findings(facts: BuildFacts, *, today: date) -> tuple[Finding, ...]:
    """Return what the damper of a build raises; a rating is judged on the event day, else today."""
    found = [*_that_there_is_one(facts)]
    if facts.use == "competition":
        found += _rated(facts, today)
    return tuple(found)


def rating_day(facts: BuildFacts, *, today: date) -> date:
    """Return the day that a rating must be valid on: the event day, else the release day."""
    return facts.event_day or today


def damper_not_seen(facts: BuildFacts) -> str:
    """Return the sentence for page 1 when the damper is not in the job; else nothing."""
    if facts.crank_in_job is not False or parts_now(facts, "damper"):
        return ""
    return f"damper not seen by us: {facts.no_crank_reason}"


def _that_there_is_one(facts: BuildFacts) -> Iterator[Finding]:
    if parts_now(facts, "damper"):
        return
    pulleys = parts_now(facts, "pulley")
    for pulley in pulleys:
        text = f"{pulley.number}: a solid pulley in place of a damper; it damps nothing, fit one"
        fitted = [f.id for f in fitments_now(facts) if f.part == pulley.number]
        yield finding(FindingCode.SOLID_PULLEY, text, *fitted, part=pulley.number)
    if not pulleys and facts.crank_in_job:
        text = "no damper is booked in, though the crank is in the job; fit one"
        yield finding(FindingCode.DAMPER_MISSING, text)


def _rated(facts: BuildFacts, today: date) -> Iterator[Finding]:
    dampers = parts_now(facts, "damper")
    if not dampers:
        text = "competition: expected a named damper with a rating, got none; name it, "
        yield finding(FindingCode.RATING_MISSING, text + NOT_FOR_COMPETITION)
    for damper in dampers:
        yield from _rating_of(damper, rating_day(facts, today=today))
        yield from _doubt(damper, facts)


def _rating_of(damper: PartFacts, day: date) -> Iterator[Finding]:
    rating = damper.rating
    if rating is None or not (rating.label.strip() and rating.body.strip()):
        text = f"{damper.number}: expected a rating label and who issued it, got none; note them, "
        yield finding(
            FindingCode.RATING_MISSING, text + NOT_FOR_COMPETITION, "label", part=damper.number
        )
    elif rating.expires_on < day:
        text = (
            f"{damper.number}: rating {rating.label} expired {rating.expires_on}, expected one "
            f"valid on {day}; have it rated again, {NOT_FOR_COMPETITION}"
        )
        yield finding(
            FindingCode.RATING_EXPIRED, text, rating.label, rating.expires_on, part=damper.number
        )


def _doubt(damper: PartFacts, facts: BuildFacts) -> Iterator[Finding]:
    """A cut in a rated damper puts the rating in doubt until it is rated anew."""
    rating = damper.rating
    if rating is None:
        return
    since = rating.noted_at
    cuts = [
        cut.id
        for cut in facts.removals
        if cut.part == damper.number and (since is None or cut.cut_at >= since)
    ]
    if cuts:
        text = (
            f"{damper.number}: cut since its rating {rating.label} was given; show that its body "
            f"confirmed it, have it rated again, {NOT_FOR_COMPETITION}"
        )
        yield finding(FindingCode.RATING_IN_DOUBT, text, rating.label, *cuts, part=damper.number)
