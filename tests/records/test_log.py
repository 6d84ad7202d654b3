"""The log takes up every committed entry once, and its tree is that of RFC 9162."""

from __future__ import annotations

import pymerkle
import pytest
from django.db import IntegrityError, transaction

from records import ledger, log
from records.domain.errors import BadValue, NotFound, NotProven
from records.domain.proof.merkle import check_consistency, check_inclusion
from records.models.ledger import Entry
from records.models.log import LogEntry, LogNode
from tests.records.filled_log import BUILD, OTHER, enter
from tests.records.keeper import insider

pytestmark = pytest.mark.django_db


def _independent_root(size: int) -> bytes:
    """Return the root over the stored entries' bytes by pymerkle, which shares no code with us."""
    tree = pymerkle.InmemoryTree(algorithm="sha256")
    for raw in Entry.objects.order_by("pk").values_list("bytes", flat=True)[:size]:
        tree.append_entry(bytes(raw))
    return bytes(tree.get_root())


class TestTakingUp:
    def test_each_entry_gets_one_index_without_a_gap(self) -> None:
        enter(BUILD, 3)
        enter(OTHER, 2)
        assert log.waiting() == 5
        assert log.take_up_entries() == 5
        assert [leaf.index for leaf in log.leaves()] == [0, 1, 2, 3, 4]
        assert all(leaf.leaf == leaf.hash for leaf in log.leaves())
        assert (log.size(), log.waiting()) == (5, 0)

    def test_again_takes_up_nothing(self) -> None:
        enter(BUILD, 3)
        log.take_up_entries()
        assert log.take_up_entries() == 0
        assert log.size() == 3

    def test_an_entry_with_a_lower_id_than_one_taken_up_is_not_lost(self) -> None:
        # as when a writer that took its id first commits last
        enter(BUILD, 2)
        first_id = Entry.objects.order_by("pk").values_list("pk", flat=True)[0]
        late = Entry.objects.filter(pk=first_id).values("prev", "hash", "bytes", "recorded_at")[0]
        log.take_up_entries()
        Entry.objects.create(pk=first_id - 1, stream=OTHER, seq=1, kind="note", **late)
        assert log.take_up_entries() == 1
        assert log.index_of(OTHER, 1) == 2

    def test_more_than_one_batch_is_taken_up(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(log, "ENTRIES_AT_ONCE", 4)
        enter(BUILD, 10)
        assert log.take_up_entries() == 10
        assert log.size() == 10

    def test_no_entry_gets_two_places(self) -> None:
        enter(BUILD, 1)
        log.take_up_entries()
        entry = Entry.objects.get()
        with pytest.raises(IntegrityError), transaction.atomic():
            LogEntry.objects.create(index=1, entry=entry, leaf=entry.hash)

    def test_what_was_wound_back_is_not_in_the_log(self) -> None:
        with pytest.raises(RuntimeError), transaction.atomic():
            enter(BUILD, 2)
            log.take_up_entries()
            raise RuntimeError("the deed failed")
        assert (log.size(), log.waiting()) == (0, 0)


class TestTheTree:
    @pytest.mark.parametrize("size", [1, 2, 3, 7, 8])
    def test_its_root_is_that_of_an_independent_reckoning(self, size: int) -> None:
        enter(BUILD, 8)
        log.take_up_entries()
        assert log.Nodes().root(size) == _independent_root(size)

    def test_over_several_tiles_proofs_hold_and_the_root_is_the_independent_one(self) -> None:
        for stream in (BUILD, OTHER, "shop"):
            enter(stream, 200)
        log.take_up_entries()
        nodes, root = log.Nodes(), _independent_root(600)
        assert LogNode.objects.count() == 2  # 256 leaves each; the rest is reckoned
        assert nodes.root(600) == root
        for index in (0, 199, 255, 256, 511, 512, 599):
            leaf = bytes.fromhex(LogEntry.objects.get(index=index).leaf)
            check_inclusion(leaf, index, 600, nodes.inclusion(index, 600), root)
        for size in (1, 255, 256, 300, 512, 600):
            check_consistency(size, nodes.root(size), 600, root, nodes.consistency(size, 600))

    def test_nodes_are_the_same_however_the_entries_came_in(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(log, "ENTRIES_AT_ONCE", 100)
        for _ in range(3):
            enter(BUILD, 190)
            log.take_up_entries()
        assert LogNode.objects.count() == 2
        assert log.Nodes().root(570) == _independent_root(570)

    def test_nodes_two_levels_up_are_kept_too(self, monkeypatch: pytest.MonkeyPatch) -> None:
        # with tiles of 4 leaves instead of 256, so that 64 entries fill three levels
        monkeypatch.setattr(log, "STEP", 2)
        monkeypatch.setattr(log, "WIDTH", 4)
        enter(BUILD, 70)
        log.take_up_entries()
        kept = {level: LogNode.objects.filter(level=level).count() for level in (2, 4, 6)}
        assert kept == {2: 17, 4: 4, 6: 1}
        nodes, root = log.Nodes(), _independent_root(70)
        assert nodes.root(70) == root
        for index in range(70):
            leaf = bytes.fromhex(LogEntry.objects.get(index=index).leaf)
            check_inclusion(leaf, index, 70, nodes.inclusion(index, 70), root)

    def test_a_size_that_the_log_has_not_reached_is_refused(self) -> None:
        enter(BUILD, 3)
        log.take_up_entries()
        with pytest.raises(BadValue):
            log.Nodes().root(4)

    def test_a_leaf_that_is_no_hash_is_refused(self) -> None:
        enter(BUILD, 1)
        log.take_up_entries()
        insider("UPDATE records_logentry SET leaf = 'no hash at all'")
        with pytest.raises(NotProven, match="leaf 0"):
            log.Nodes().root(1)


class TestOneStream:
    def test_its_entries_come_with_their_indexes_as_far_as_a_head_covers_them(self) -> None:
        enter(BUILD, 2)
        enter(OTHER, 1)
        enter(BUILD, 1)
        log.take_up_entries()
        raws = [entry.raw for entry in ledger.entries(BUILD)]
        assert log.covered_entries(BUILD, 4) == list(zip((0, 1, 3), raws, strict=True))
        assert log.covered_entries(BUILD, 3) == list(zip((0, 1), raws[:2], strict=True))

    def test_one_that_the_head_does_not_cover_is_refused(self) -> None:
        enter(BUILD, 1)
        log.take_up_entries()
        with pytest.raises(NotFound):
            log.covered_entries(OTHER, 1)
