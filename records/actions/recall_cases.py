"""A case of a recall: what became of one build's decisions, and what follows for its paper."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from django.db import models

from records import ledger
from records.actions.certificate_states import put_in_state
from records.actions.clock import Clock
from records.actions.deed import Act, follow_up
from records.domain.practice.facts import RecalledFacts
from records.domain.practice.recall import SOUND, Decision, worst
from records.domain.practice.recall_clearing import notice
from records.domain.practice.recall_sides import REMOVAL
from records.domain.practice.recall_window import FoundOut
from records.domain.practice.recalled import recall_finding
from records.models import (
    CertificateState,
    CustomerNotice,
    Finding,
    Recall,
    RecallCase,
    RecallItem,
    RecallPart,
    Release,
)
from records.queries.recall_facts import AtStake, at_stake
from records.queries.recall_windows import last_day

PLACES = Decimal("1e-9")  # far below any reading, above the noise of a float


def write_case(recall: Recall, build: str, found: FoundOut, clock: Clock) -> bool:
    """Write the case of a build, under the name of who recalled; False where there is nothing.

    The certificate is put in doubt, a finding opened and a notice drafted in the same entry.
    """
    stream = ledger.build_stream(build)
    with follow_up(of=recall.recorded_by, streams=[stream], clock=clock) as act:
        if RecallCase.objects.filter(recall=recall, build=build).exists():
            return True
        stake = at_stake(build, found)
        if not stake.weighings:
            return False
        rows = _written(act, recall, stake)
        act.enter(stream, "recall reckoned", rows, {"recall": recall.pk})
        return True


def _written(act: Act, recall: Recall, stake: AtStake) -> list[models.Model]:
    on = last_day(recall, stake.facts.shop.timezone)
    finding, new = _finding(act, stake, RecalledFacts(recall.pk, recall.scale_id, on))
    case = RecallCase.objects.create(
        recall=recall,
        build_id=stake.facts.number,
        release=stake.release,
        finding=finding,
        weighings=stake.weighings,
        outcome=worst(one.outcome for one in stake.decisions),
        **act.stamp,
    )
    items = [_item(case, decision) for decision in stake.decisions]
    parts = [
        RecallPart.objects.create(case=case, part_id=part, weighings=count)
        for part, count in stake.parts
    ]
    return [*new, case, *items, *parts, *_of_the_paper(act, case, stake)]


def _finding(
    act: Act, stake: AtStake, said: RecalledFacts
) -> tuple[Finding | None, list[models.Model]]:
    """Open the finding of this recall on the build; none where no decision rests on the scale."""
    if not stake.decisions:
        return None, []
    present = recall_finding(said, stake.weighings)
    there = Finding.objects.filter(build=stake.facts.number, key=present.key).first()
    if there:
        return there, []
    row = Finding.objects.create(
        build_id=stake.facts.number,
        key=present.key,
        code=present.code,
        text=present.text,
        **act.stamp,
    )
    return row, [row]


def _of_the_paper(act: Act, case: RecallCase, stake: AtStake) -> Iterable[models.Model]:
    """Put the certificate in doubt, and draft a letter to whom it went."""
    if stake.release is None:
        return
    scale, outcome = case.recall.scale_id, case.outcome
    reason = f"scale {scale} was recalled; reckoned again with its error as found: {outcome}"
    yield put_in_state(act, stake.release, CertificateState.State.IN_DOUBT, reason)
    if stake.facts.customer is not None:
        yield _notice(act, case, stake, stake.release, stake.facts.customer)


def _notice(
    act: Act, case: RecallCase, stake: AtStake, release: Release, customer: str
) -> CustomerNotice:
    subject, body = notice(
        certificate=release.certificate_number,
        revision=release.revision,
        build=stake.facts.number,
        scale=case.recall.scale_id,
        on=last_day(case.recall, stake.facts.shop.timezone),
        turned=[_said(one) for one in stake.decisions if one.outcome not in SOUND],
    )
    return CustomerNotice.objects.create(
        case=case, customer_id=customer, subject=subject, body=body, **act.stamp
    )


def _said(decision: Decision) -> str:
    before = decision.before
    if before.kind == REMOVAL:
        return f"a cut of part {before.parts[0]}, {decision.outcome}"
    place = "pin" if not before.parts else "place"
    return f"{before.kind} of {place} {before.place}, {decision.outcome}"


def _item(case: RecallCase, decision: Decision) -> RecallItem:
    before, after = decision.before, decision.after
    removal = int(before.key.partition("/")[2]) if before.kind == REMOVAL else None
    return RecallItem.objects.create(
        case=case,
        key=before.key,
        kind=before.kind,
        place=before.place,
        removal_id=removal,
        limit_g=before.limit_g,
        before_g=round(before.value_g, 9),
        before_U_g=before.U_g,
        before_verdict=before.verdict,
        before_margin_g=_kept(before.margin_g),
        after_g=_kept(after.value_g if after else None),
        after_U_g=after.U_g if after else None,
        after_verdict=after.verdict if after else "",
        after_margin_g=_kept(after.margin_g if after else None),
        outcome=decision.outcome,
        text=decision.text,
        touched=list(decision.touched),
    )


def _kept(grams: Decimal | None) -> Decimal | None:
    return None if grams is None else grams.quantize(PLACES)
