"""Removals: opened, weighed in passes, closed, entered late, taken back."""

from __future__ import annotations

from typing import Any

from api.answers import Recorded, recorded
from api.serializers.work import (
    CloseRecorded,
    LateRemoval,
    PassNoted,
    RemovalClosed,
    RemovalOpened,
    RemovalRecorded,
    RemovalTakenBack,
    cut_of,
)
from api.views.base import OfABuild, Recording
from records.actions import removals as deeds


class Removals(OfABuild, Recording):
    """Removals from a build's parts."""

    takes = RemovalOpened
    gives = RemovalRecorded

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Record that metal is being taken off a part, from its newest whole weighing."""
        build, before = named["number"], given["before"]
        return deeds.open_removal(by=by, build=build, cut=cut_of(given), before=before)

    def answer(self, row: Any) -> Recorded:
        return recorded(row, RemovalRecorded, before=row.before_id)


class Passes(OfABuild, Recording):
    """Quick readings between the passes of a removal."""

    takes = PassNoted

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Keep a quick single reading between passes: progress, never evidence."""
        build, removal = named["number"], named["removal"]
        return deeds.note_pass(by=by, build=build, removal=removal, **given)


class Closed(OfABuild, Recording):
    """What the answer to a closed removal has in common."""

    gives = CloseRecorded

    def answer(self, row: Any) -> Recorded:
        return recorded(row, CloseRecorded, removal=row.removal_id, after=row.after_id)


class Closes(Closed):
    """The close of a removal."""

    takes = RemovalClosed

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Close a removal by the weighing after it; the mass is worked out, never typed."""
        build, removal = named["number"], named["removal"]
        return deeds.close_removal(by=by, build=build, removal=removal, **given)


class LateRemovals(Closed):
    """Removals entered after the fact."""

    takes = LateRemoval

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Record a removal that was made between two weighings on record; it is marked as late."""
        pair = {key: given[key] for key in ("before", "after", "heat")}
        return deeds.record_late_removal(by=by, build=named["number"], cut=cut_of(given), **pair)


class RemovalCorrections(OfABuild, Recording):
    """Removals taken back."""

    takes = RemovalTakenBack

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Take a removal back that was entered wrongly; its weighings stay."""
        build, removal = named["number"], named["removal"]
        return deeds.correct_removal(by=by, build=build, removal=removal, **given)
