"""The end of a recall's case: cleared, re-measured, replaced or withdrawn, with the reason."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import models

from records import ledger
from records.actions.certificate_states import final_state, put_in_state
from records.actions.clock import SYSTEM, Clock
from records.actions.deed import Act, deed
from records.actions.lookup import text
from records.domain.errors import BadValue, Code, Conflict
from records.domain.practice.recall_clearing import Reckoned, Way, check_clearing
from records.models import CertificateState, RecallCase, RecallClearing, Release
from records.queries.build_facts import facts_of

STANDS_AGAIN = (Way.CLEARED, Way.RE_MEASURED)


def clear_case(
    *, by: str, recall: int, build: str, outcome: str, reason: str, clock: Clock = SYSTEM
) -> RecallClearing:
    """End a build's case, and let its certificate stand again or withdraw it accordingly.

    Cleared: every decision stands as reckoned again. Re-measured: new weighings on a good scale
    bear them out. Replaced: a later revision was released. Errors: BadValue at `outcome`, `reason`
    or for no such case; NotAllowed for who did the work; Conflict where the record doesn't bear it
    out, or the case has ended.
    """
    stream = ledger.build_stream(build)
    with deed(by=by, name="clear recall", streams=[stream], clock=clock) as act:
        case = _open_case(recall, build)
        newest = Release.objects.filter(build=build).order_by("-revision").first()
        way = check_clearing(
            outcome,
            by=by,
            facts=facts_of(build),
            reckoned=[Reckoned(item.kind, item.outcome) for item in case.items.all()],
            revision=case.release.revision if case.release else None,
            newest_revision=newest.revision if newest else None,
        )
        row = RecallClearing.objects.create(
            case=case,
            outcome=way,
            reason=text(reason, "reason", 2000),
            release=newest if way is Way.REPLACED else None,
            **act.stamp,
        )
        act.enter(stream, f"recall {way}", [row, *_paper(act, case, way, row.reason)])
        return row


def _open_case(recall: int, build: str) -> RecallCase:
    case = RecallCase.objects.filter(recall=recall, build=build).select_related("release").first()
    if case is None:
        raise BadValue(
            Code.UNKNOWN_NUMBER,
            f"recall {recall} has no case of build {build}",
            field="build",
            got=build,
        )
    if there := RecallClearing.objects.filter(case=case).first():
        raise Conflict(
            Code.ALREADY_THERE, f"{build} was {there.outcome} already: {there.reason}", got=build
        )
    return case


def _paper(act: Act, case: RecallCase, way: Way, reason: str) -> Iterable[models.Model]:
    """Let the certificate stand again, unless it ended or another recall still has it in doubt."""
    release = case.release
    if release is None or final_state(release):
        return
    if way is Way.WITHDRAWN:
        yield put_in_state(act, release, CertificateState.State.WITHDRAWN, reason)
    elif way in STANDS_AGAIN and not _in_doubt_elsewhere(case):
        yield put_in_state(act, release, CertificateState.State.STANDS, f"{way}: {reason}")


def _in_doubt_elsewhere(case: RecallCase) -> bool:
    others = RecallCase.objects.filter(release=case.release, clearing__isnull=True)
    return others.exclude(pk=case.pk).exists()
