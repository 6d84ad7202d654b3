"""One build with everything that the rules say of it, so that a page only has to show it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

from records.domain.practice.capability import Provable, provable, unprovable
from records.domain.practice.card import Card, CardState, card_state, reckon_card
from records.domain.practice.closing import decisions_for, is_closed, needed_evidence
from records.domain.practice.evidence import Evidence
from records.domain.practice.facts import BuildFacts, DispositionFacts, FindingFacts, WeighingFacts
from records.domain.practice.finding import Finding
from records.domain.practice.findings import findings_of
from records.domain.practice.judgement import KindJudgement, judgements
from records.domain.practice.next_step import DEEDS, NextStep, NotYet, next_step, why_not_yet
from records.domain.practice.planning import BuildPlan, plans
from records.domain.practice.release import (
    Block,
    ConditionalPass,
    conditional_passes,
    what_blocks,
)
from records.domain.practice.scale_status import ScaleStatus, status_at
from records.domain.practice.separation import workers
from records.domain.practice.shop_day import shop_day
from records.domain.practice.standing import Standing
from records.queries.build_facts import facts_of
from records.queries.builds import BuildRow, build_summary
from records.queries.certificates import CertificateRow, certificates_of_build
from records.queries.people import customer_names_of, names_of
from records.queries.viewer import Viewer


@dataclass(frozen=True, slots=True)
class FindingShown:
    """A finding that stands, what was decided, and what an inspector may decide.

    `decisions` are pairs of a decision and the names of the evidence that it needs. `raised_at` is
    None for one that is reckoned afresh and not on record.
    """

    finding: Finding
    raised_at: datetime | None
    disposition: DispositionFacts | None
    closed: bool
    decisions: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class WeighingShown:
    """A weighing with whether it counts, and if not, why."""

    weighing: WeighingFacts
    standing: Standing


@dataclass(frozen=True, slots=True)
class BuildPage:
    """A build, judged at a moment.

    `gone` are findings on record that no longer stand; `blocks_for_competition_waived` is what
    still blocks a release as not for competition; `unprovable` says for each kind that no scale
    of the shop can prove what would do, `provable` the same for each kind and scale; `waits` why a
    deed should wait, by the names of practice/next_step. `names` has the display names as known
    today.
    """

    row: BuildRow
    today: date
    facts: BuildFacts
    judgements: tuple[KindJudgement, ...]
    findings: tuple[FindingShown, ...]
    gone: tuple[FindingFacts, ...]
    blocks: tuple[Block, ...]
    blocks_for_competition_waived: tuple[Block, ...]
    conditional: tuple[ConditionalPass, ...]
    next_step: NextStep
    waits: Mapping[str, NotYet]
    plan: BuildPlan
    card: Card
    card_state: CardState
    weighings: tuple[WeighingShown, ...]
    scales: Mapping[str, ScaleStatus]
    unprovable: tuple[str, ...]
    provable: tuple[Provable, ...]
    workers: Mapping[str, frozenset[str]]
    certificates: tuple[CertificateRow, ...]
    names: Mapping[str, str]

    @property
    def may_be_released(self) -> bool:
        """Tell whether nothing blocks, whoever releases."""
        return not self.blocks


def build_page(number: str, now: datetime, viewer: Viewer) -> BuildPage:
    """Return a build with its judgements, findings, blocks, plan and card as they are now.

    Errors: NotFound for a build that isn't there or isn't the viewer's.
    """
    row = build_summary(number, viewer)
    facts = facts_of(number)
    shown = facts if viewer.of_the_shop else _of_this_build(facts)
    known = Evidence(facts)
    today = shop_day(now, facts.shop.timezone)
    present = findings_of(facts, today=today)
    did = workers(facts)
    return BuildPage(
        row=row,
        today=today,
        facts=shown,
        judgements=judgements(facts, known),
        findings=_findings(present, facts, did),
        gone=_gone(present, facts),
        blocks=what_blocks(facts, today=today),
        blocks_for_competition_waived=what_blocks(facts, today=today, not_for_competition=True),
        conditional=conditional_passes(facts),
        next_step=next_step(facts, known),
        waits=_waits(facts, known),
        plan=plans(facts, known),
        card=reckon_card(facts, known),
        card_state=card_state(facts, known),
        weighings=tuple(WeighingShown(w, known.standing(w.id)) for w in shown.weighings),
        scales={
            scale.number: status_at(scale, now, facts.shop.timezone)
            for scale in facts.scales.values()
        },
        unprovable=unprovable(facts),
        provable=provable(facts),
        workers=did,
        certificates=certificates_of_build(number, viewer),
        names=_names(shown, did),
    )


def _waits(facts: BuildFacts, known: Evidence) -> dict[str, NotYet]:
    asked = ((deed, why_not_yet(facts, deed, known)) for deed in DEEDS)
    return {deed: reason for deed, reason in asked if reason is not None}


def _of_this_build(facts: BuildFacts) -> BuildFacts:
    """Leave out what was done to the parts in other builds: they may be another customer's."""
    here = (None, facts.number)
    return replace(
        facts,
        weighings=tuple(w for w in facts.weighings if w.build in here),
        removals=tuple(r for r in facts.removals if r.build in here),
    )


def _findings(
    present: tuple[Finding, ...], facts: BuildFacts, did: Mapping[str, frozenset[str]]
) -> tuple[FindingShown, ...]:
    on_record = {found.key: found for found in facts.findings}
    return tuple(_finding(found, on_record.get(found.key), did) for found in present)


def _finding(
    found: Finding, recorded: FindingFacts | None, did: Mapping[str, frozenset[str]]
) -> FindingShown:
    disposition = recorded.disposition if recorded else None
    possible = decisions_for(found.code, has_part=found.part is not None)
    return FindingShown(
        finding=found,
        raised_at=recorded.raised_at if recorded else None,
        disposition=disposition,
        closed=is_closed(found, disposition, did.keys()),
        decisions=tuple((str(d), needed_evidence(found.code, d)) for d in possible),
    )


def _gone(present: tuple[Finding, ...], facts: BuildFacts) -> tuple[FindingFacts, ...]:
    standing = {found.key for found in present}
    return tuple(found for found in facts.findings if found.key not in standing)


def _names(facts: BuildFacts, did: Mapping[str, frozenset[str]]) -> dict[str, str]:
    numbers = {*did, facts.opened_by, *(weighing.operator for weighing in facts.weighings)}
    numbers |= {found.disposition.by for found in facts.findings if found.disposition}
    customers = [facts.customer] if facts.customer else []
    return {**names_of(numbers), **customer_names_of(customers)}
