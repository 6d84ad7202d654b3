"""Who did the work on a build, and may therefore not release it.

The work is weighing for evidence, cutting, matching, fitting and answering the checklist. Booking
in, scale checks, calibrations and a reviewer's verification weighing are not.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from records.domain.errors import Code, NotAllowed
from records.domain.practice.facts import BuildFacts, WeighingFacts

WEIGHED = "weighed"
CUT = "cut"
MATCHED = "matched"
FITTED = "fitted"
ANSWERED = "answered"


def workers(facts: BuildFacts) -> Mapping[str, frozenset[str]]:
    """Return who worked on this build, by shop number, and what each did, in words."""
    did: dict[str, set[str]] = {}
    for person, what in _deeds(facts):
        did.setdefault(person, set()).add(what)
    return {person: frozenset(words) for person, words in did.items()}


def who(facts: BuildFacts, what: str) -> tuple[str, ...]:
    """Return those who did one kind of work, in order of number."""
    return tuple(sorted(person for person, words in workers(facts).items() if what in words))


def second_person(facts: BuildFacts, releaser: str) -> bool:
    """Say whether the releaser is someone who did none of the work."""
    return releaser not in workers(facts)


def check_may_release(facts: BuildFacts, releaser: str) -> bool:
    """Return whether a second person reviews; refuse a release of one's own work.

    The shop may allow itself to release street builds; page 1 then says so. Errors: NotAllowed.
    """
    did = workers(facts).get(releaser)
    if did is None:
        return True
    if facts.use == "street" and facts.shop.self_release_street:
        return False
    words = ", ".join(sorted(did))
    raise NotAllowed(
        Code.NOT_ALLOWED,
        f"{releaser} worked on build {facts.number} ({words}) and can't release it; "
        "ask an inspector who did none of the work",
        field="releaser",
        expected="an inspector who did none of the work",
        got=f"{releaser}, who {words}",
    )


def _deeds(facts: BuildFacts) -> Iterator[tuple[str, str]]:
    yield from ((w.operator, WEIGHED) for w in facts.weighings if _is_work(w, facts.number))
    yield from ((r.operator, CUT) for r in facts.removals if r.build == facts.number)
    yield from ((match.operator, MATCHED) for match in facts.matches)
    yield from ((f.fitted_by, FITTED) for f in facts.fitments if not f.at_booking)
    yield from ((f.ended_by, FITTED) for f in facts.fitments if f.ended_by)
    yield from ((answer.operator, ANSWERED) for answer in facts.answers)
    yield from facts.also_worked.items()


def _is_work(weighing: WeighingFacts, build: str) -> bool:
    """Say whether a weighing was for this build's evidence, rather once too often than not."""
    for_this = weighing.build in (None, build)
    return for_this and weighing.purpose == "evidence" and weighing.scale is not None
