"""Mix and match: a pairing accepted, and the parts moved to the places it gives them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db import models

from records import ledger
from records.actions.certificate_states import doubted
from records.actions.clock import SYSTEM, Clock, check_not_ahead
from records.actions.deed import Act, deed
from records.actions.fitments import taken_out
from records.actions.lookup import found
from records.domain.practice.pairing import Proposal, propose
from records.models import Build, Fitment, Match, Part
from records.queries.build_facts import facts_of


def accept_match(
    *,
    by: str,
    build: str,
    aim: str,
    matched_at: datetime | None = None,
    clock: Clock = SYSTEM,
) -> Match:
    """Pair the build's sets anew for an aim (`spread` or `metal`) and move the parts.

    The pairing is reckoned here from what stands on the record, never taken from the caller.
    Errors: Conflict while a part of a set is still unweighed or cutting has begun.
    """
    stream = ledger.build_stream(build)
    with deed(by=by, name="match", streams=[stream], clock=clock) as act:
        where = found(Build, build, "build")
        at = matched_at or act.at
        check_not_ahead(at, act.at, "matched_at")
        proposal = propose(facts_of(build), aim)
        row = _written(act, where, proposal, at)
        moved = _moved(act, where, proposal, at)
        doubt = doubted(act, where, "sets were paired anew after the release") if moved else []
        act.enter(stream, "sets matched", [row, *moved, *doubt])
        return row


def _written(act: Act, build: Build, proposal: Proposal, at: datetime) -> Match:
    return Match.objects.create(
        build=build,
        kinds=list(proposal.kinds),
        aim=proposal.aim,
        sets=[
            {"place": one.place, "parts": list(one.parts), "total_g": format(one.total_g, "f")}
            for one in proposal.sets
        ],
        spread_g=proposal.spread_g,
        removed_g=proposal.removed_g,
        bound_spread_g=proposal.bound_spread_g,
        proven=proposal.proven,
        matched_at=at,
        operator=act.person,
        **act.stamp,
    )


def _moved(act: Act, build: Build, proposal: Proposal, at: datetime) -> list[models.Model]:
    """End the fitments that change, then make the new ones: a place is free before it is taken."""
    standing = {
        fitment.part_id: fitment
        for fitment in Fitment.objects.filter(build=build, end__isnull=True)
    }
    moves = [
        (part, one.place)
        for one in proposal.sets
        for part in one.parts
        if standing[part].place != one.place
    ]
    ends = [taken_out(act, standing[part], at, "matched anew") for part, _ in moves]
    return [*ends, *_put(act, build, moves, at)]


def _put(
    act: Act, build: Build, moves: Sequence[tuple[str, int]], at: datetime
) -> list[models.Model]:
    return [
        Fitment.objects.create(
            build=build,
            part=Part.objects.get(pk=part),
            place=place,
            fitted_at=at,
            operator=act.person,
            **act.stamp,
        )
        for part, place in moves
    ]
