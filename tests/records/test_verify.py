"""`manage.py verify` finds what an insider with SQL did, and names it."""

import io
from collections.abc import Callable

import pytest
from django.core.management import call_command
from django.db import connection

from records import ledger, triggers
from records.domain.proof.envelope import entry_hash
from records.management.commands.verify import OUTSIDE_IS_MISSING
from records.models import RoleGrant, Scale, ScaleStep
from records.models.ledger import Entry, EntryRow, StreamHead
from records.queries.verification import Kind, Verification, verify_record
from tests.records.keeper import MONDAY, ines, insider, scale_of, triggers_down

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def scale() -> Scale:
    return scale_of(ines())[0]


def _told(result: Verification) -> dict[Kind, tuple[str, int]]:
    return {first.kind: (str(first), count) for first, count in result.told()}


def _verify() -> tuple[int, str]:
    out = io.StringIO()
    try:
        call_command("verify", stdout=out)
    except SystemExit as left:
        return int(left.code or 0), out.getvalue()
    return 0, out.getvalue()


class TestTheCommand:
    def test_an_untouched_record_stands(self) -> None:
        code, told = _verify()
        assert code == 0
        assert told == (
            "2 streams with 2 entries: every hash, link and head.\n"
            "5 rows compared with the entries that name them, and "
            f"{verify_record().tables} tables looked through for rows that none names.\n"
            "The log: 0 leaves and the tree over them, 2 entries still to be taken up; "
            "0 checkpoints of ours.\n"
            f"From outside: 0 heads, 0 receipts{OUTSIDE_IS_MISSING}.\n"
            "The record is as it was entered.\n"
        )

    def test_a_changed_row_makes_it_fail_and_names_table_row_and_field(self) -> None:
        insider("UPDATE records_scale SET note = 'lighter' WHERE number = 'S-02'")
        code, told = _verify()
        assert code == 1
        assert 'row changed (1), the first: records.scale S-02, note: expected "", got ' in told
        assert '"lighter"' in told
        assert told.endswith("The record is NOT as it was entered.\n")

    def test_it_tells_how_far_it_has_come(self) -> None:
        err = io.StringIO()
        call_command("verify", progress=True, stdout=io.StringIO(), stderr=err)
        assert "entries compared with rows: 2" in err.getvalue()


class TestRows:
    @pytest.mark.parametrize(
        ("sql", "where"),
        [
            ("UPDATE records_scale SET capacity_g = {}", "records.scale S-02, capacity_g"),
            ("UPDATE records_rolegrant SET role = 'inspector'", "records.rolegrant"),
            ("UPDATE records_scalestep SET up_to_g = {} WHERE unit = 'oz'", "up_to_g"),
            (
                "UPDATE records_scale SET recorded_at = '2026-03-02 08:15:00.250001+00:00'",
                "records.scale S-02, recorded_at",
            ),
        ],
    )
    def test_a_changed_row_is_found(self, sql: str, where: str) -> None:
        step = ScaleStep._meta.get_field("up_to_g")
        shown = step.get_db_prep_value(2001, connection)
        if connection.vendor == "sqlite" and "recorded_at" in where:
            sql = sql.replace("+00:00", "")
        insider(sql.format(f"'{shown}'"))
        told = _told(verify_record())
        assert set(told) == {Kind.ROW_CHANGED}
        assert where in told[Kind.ROW_CHANGED][0]
        assert told[Kind.ROW_CHANGED][1] == 1

    def test_a_deleted_row_is_found(self) -> None:
        step = ScaleStep.objects.get(unit="oz")
        insider("DELETE FROM records_scalestep WHERE unit = 'oz'")
        told = _told(verify_record())
        assert told == {
            Kind.ROW_GONE: (f"records.scalestep {step.pk}: expected the row, got none", 1)
        }

    def test_a_row_inserted_without_entry_is_found(self) -> None:
        # the triggers let an insert pass: that is what the entries are for
        grant = RoleGrant.objects.create(
            person_id="P-01", role="inspector", recorded_at=MONDAY, recorded_by_id="P-01"
        )
        told = _told(verify_record())
        assert told == {
            Kind.ROW_WITHOUT_ENTRY: (
                f"records.rolegrant {grant.pk}: expected an entry, got none",
                1,
            )
        }

    def test_a_row_that_moved_to_another_key_is_found_on_both_sides(self) -> None:
        insider("UPDATE records_scalestep SET id = 990000 WHERE unit = 'oz'")
        assert set(_told(verify_record())) == {Kind.ROW_GONE, Kind.ROW_WITHOUT_ENTRY}

    def test_a_value_that_no_row_may_hold_is_found_too(self) -> None:
        if connection.vendor == "postgresql":
            pytest.skip("PostgreSQL holds a column to its type")
        insider("UPDATE records_scalestep SET unit = x'ff' WHERE unit = 'oz'")
        assert Kind.ROW_CHANGED in _told(verify_record())


def _edit_last_entry(change: Callable[[bytes], bytes], *, rehash: bool = False) -> None:
    entry = Entry.objects.get(stream="scale/S-02")
    raw = change(bytes(entry.bytes))
    assert raw != bytes(entry.bytes)
    with triggers_down():
        Entry.objects.filter(pk=entry.pk).update(bytes=raw)
        if rehash:
            Entry.objects.filter(pk=entry.pk).update(hash=entry_hash(raw))
            StreamHead.objects.filter(stream=entry.stream).update(hash=entry_hash(raw))


class TestEntries:
    def test_edited_bytes_are_found(self) -> None:
        _edit_last_entry(lambda raw: raw.replace(b'"actor":"P-01"', b'"actor":"P-02"'))
        told = _told(verify_record())
        assert set(told) == {Kind.CHAIN_BROKEN}
        assert told[Kind.CHAIN_BROKEN][0].startswith("scale/S-02 1, wrong hash: expected ")

    def test_row_and_bytes_edited_alike_are_found_by_the_hash(self) -> None:
        insider("UPDATE records_scalestep SET unit = 'gr' WHERE unit = 'oz'")
        _edit_last_entry(lambda raw: raw.replace(b'"unit":"oz"', b'"unit":"gr"'))
        assert set(_told(verify_record())) == {Kind.CHAIN_BROKEN}

    def test_bytes_edited_and_rehashed_are_found_by_the_row(self) -> None:
        _edit_last_entry(lambda raw: raw.replace(b'"unit":"oz"', b'"unit":"gr"'), rehash=True)
        assert set(_told(verify_record())) == {Kind.ROW_CHANGED}

    @pytest.mark.parametrize(
        ("old", "new"),
        [
            (b'"schema":1', b'"schema":7'),
            (b'"capacity_g":"2000",', b""),
            (b'"fields":{', b'"fields":{"colour":"red",'),
        ],
    )
    def test_other_fields_than_were_entered_are_found(self, old: bytes, new: bytes) -> None:
        _edit_last_entry(lambda raw: raw.replace(old, new, 1), rehash=True)
        assert not verify_record().stands

    @pytest.mark.parametrize(
        "change",
        [
            lambda raw: b"{}",
            lambda raw: b"\xff\x00",
            lambda raw: raw[:-1],
            lambda raw: raw.replace(b'"rows":', b'"lines":'),
            lambda raw: raw.replace(b'"schema":1,"table"', b'"schema":"1","table"', 1),
            lambda raw: raw.replace(b'"id":"S-02"', b'"id":2', 1),
        ],
    )
    def test_unreadable_bytes_fail_even_with_a_true_hash(
        self, change: Callable[[bytes], bytes]
    ) -> None:
        _edit_last_entry(change, rehash=True)
        told = _told(verify_record())
        assert told[Kind.ENTRY_UNREADABLE][0].startswith("scale/S-02 1: expected an entry")

    @pytest.mark.parametrize("column", ["recorded_at", "kind"])
    def test_a_column_edited_beside_the_bytes_is_found(self, column: str) -> None:
        value = "note" if column == "kind" else MONDAY.replace(year=2025)
        with triggers_down():
            Entry.objects.filter(stream="scale/S-02").update(**{column: value})
        told = _told(verify_record())
        assert set(told) == {Kind.ENTRY_COLUMN}
        assert told[Kind.ENTRY_COLUMN][0].startswith(f"scale/S-02 1, {column}: expected ")

    @pytest.mark.parametrize(
        "column", [{"seq": 2}, {"prev": "f" * 64}, {"hash": "f" * 64}, {"stream": "scale/S-03"}]
    )
    def test_an_entry_moved_elsewhere_is_found(self, column: dict[str, object]) -> None:
        with triggers_down():
            Entry.objects.filter(stream="scale/S-02").update(**column)
        assert Kind.CHAIN_BROKEN in _told(verify_record())


class TestHeadsAndIndex:
    def test_a_tail_cut_off_is_found(self) -> None:
        last = ledger.append(
            stream="scale/S-02", kind="note", actor="P-01", recorded_at=MONDAY, data={}
        )
        assert last.seq == 2
        insider("DELETE FROM records_entry WHERE stream = 'scale/S-02' AND seq = 2")
        told = _told(verify_record())
        assert set(told) == {Kind.HEAD_DIFFERS}
        assert told[Kind.HEAD_DIFFERS][0].startswith("scale/S-02 2: expected ")

    @pytest.mark.parametrize(
        "sql",
        [
            "DELETE FROM records_streamhead WHERE stream = 'scale/S-02'",
            "UPDATE records_streamhead SET seq = 0 WHERE stream = 'scale/S-02'",
            "UPDATE records_streamhead SET seq = 9 WHERE stream = 'scale/S-02'",
            "UPDATE records_streamhead SET hash = 'f' WHERE stream = 'scale/S-02'",
        ],
    )
    def test_a_head_that_was_moved_is_found(self, sql: str) -> None:
        insider(sql)
        assert set(_told(verify_record())) == {Kind.HEAD_DIFFERS}

    def test_a_stream_locked_but_not_written_stands(self) -> None:
        ledger.lock(["build/26-014", "shop"])
        assert verify_record().stands

    def test_an_index_row_that_points_elsewhere_is_found(self) -> None:
        other = Entry.objects.get(stream="person/P-01")
        with triggers_down():
            EntryRow.objects.filter(row_id="S-02").update(entry=other)
        told = _told(verify_record())
        assert set(told) == {Kind.INDEX_DIFFERS}
        assert told[Kind.INDEX_DIFFERS][1] == 2

    def test_an_index_row_taken_away_is_found(self) -> None:
        insider("DELETE FROM records_entryrow WHERE row_id = 'S-02'")
        assert set(_told(verify_record())) == {Kind.INDEX_DIFFERS, Kind.ROW_WITHOUT_ENTRY}

    def test_a_forged_row_with_a_forged_index_row_is_found(self) -> None:
        grant = RoleGrant.objects.create(
            person_id="P-01", role="inspector", recorded_at=MONDAY, recorded_by_id="P-01"
        )
        entry = Entry.objects.get(stream="person/P-01")
        EntryRow.objects.create(entry=entry, table="records.rolegrant", row_id=str(grant.pk))
        told = _told(verify_record())
        assert set(told) == {Kind.INDEX_DIFFERS}
        assert f"records.rolegrant {grant.pk}" in told[Kind.INDEX_DIFFERS][0]


class TestNothingEscapes:
    def test_a_table_without_ledger_fields_fails(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(RoleGrant, "ledger_fields", {})
        told = _told(verify_record())
        assert told[Kind.TABLE_NOT_COVERED][0].startswith("records.rolegrant: expected")

    def test_a_missing_trigger_fails(self) -> None:
        triggers.uninstall(connection)
        told = _told(verify_record())
        assert set(told) == {Kind.TRIGGER_MISSING}
        assert told[Kind.TRIGGER_MISSING][1] == len(triggers.expected(connection))

    def test_it_counts_all_and_tells_the_first_of_each_kind(self) -> None:
        with triggers_down():
            ScaleStep.objects.filter(unit="oz").update(unit="gr")
            ScaleStep.objects.filter(unit="g").update(unit="kg")
            Scale.objects.update(note="lighter")
        told = _told(verify_record())
        assert told[Kind.ROW_CHANGED][1] == 3

    def test_the_size_of_a_chunk_changes_nothing(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("records.queries.verification.ENTRIES_AT_ONCE", 1)
        result = verify_record()
        assert (result.stands, result.entries, result.rows) == (True, 2, 5)
