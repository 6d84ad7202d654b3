"""Bundles: a build's record with its proofs, under a head that covers all that was entered."""

from __future__ import annotations

from records import ledger, log
from records.actions.checkpoints import make_checkpoint
from records.actions.clock import SYSTEM, Clock
from records.domain.errors import Code, NotProven
from records.queries.bundles import bundle_under, streams_of
from records.queries.viewer import Viewer, check_build_is_theirs


def hand_out_bundle(*, build: str, viewer: Viewer, clock: Clock = SYSTEM) -> bytes:
    """Return the bundle of a build for who may read it; the same record gives the same bytes.

    A head of the log is signed first where the newest doesn't cover all entries that go in.
    Errors: NotFound for a build that isn't there or isn't the viewer's; NotProven when the log
    can't be signed.
    """
    check_build_is_theirs(build, viewer)
    streams = streams_of(build, viewer)
    head = log.newest_checkpoint()
    if head is None or not all(_covered(stream, head.size) for stream in streams):
        head = make_checkpoint(clock=clock)
    if head is None:
        raise NotProven(Code.NOT_PROVEN, f"build {build}: expected entries in the log, got none")
    return bundle_under(head, build, streams)


def _covered(stream: str, size: int) -> bool:
    last = ledger.head(stream)
    index = log.index_of(stream, last.seq) if last else -1
    return index is not None and index < size
