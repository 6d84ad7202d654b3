"""The database itself refuses to change what is on record."""

from collections.abc import Callable

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import IntegrityError, connection, models, transaction

from records import triggers
from records.changeable import CHANGEABLE, LEDGER_TABLES
from records.checks import MISSING_TRIGGER, every_column_is_in_the_ledger
from records.checks import insert_only_tables_have_their_triggers as check
from records.models import Person, PersonContact, RoleGrant, Scale, ScaleStep
from records.models.ledger import Entry, EntryRow, StreamHead
from records.rows import insert_only_models, record_models, row_fields, table_of
from tests.records.keeper import MONDAY, ines, scale_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def scale() -> Scale:
    return scale_of(ines())[0]


def _refused(sql: str, *values: str) -> str:
    with (
        pytest.raises(IntegrityError, match="insert-only") as refused,
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(sql, values)
    return str(refused.value)


def _content() -> list[object]:
    rows: list[models.Model] = [*Person.objects.all(), *Scale.objects.all()]
    rows += ScaleStep.objects.order_by("pk")
    return [
        *(row_fields(row, 1) for row in rows),
        *Entry.objects.order_by("pk").values_list("stream", "seq", "hash", "bytes"),
        *EntryRow.objects.order_by("pk").values_list("entry_id", "table", "row_id"),
    ]


TABLES = ["records_scale", "records_scalestep", "records_person", "records_entry"]
TABLES += ["records_entryrow"]


@pytest.mark.parametrize("table", TABLES)
def test_it_refuses_to_update_a_row(scale: Scale, table: str) -> None:
    before = _content()
    with connection.cursor() as cursor:
        column = connection.introspection.get_table_description(cursor, table)[0].name
    assert table in _refused(f'UPDATE {table} SET "{column}" = "{column}"')  # noqa: S608
    assert _content() == before


@pytest.mark.parametrize("table", TABLES)
def test_it_refuses_to_delete_a_row(scale: Scale, table: str) -> None:
    before = _content()
    assert table in _refused(f"DELETE FROM {table}")  # noqa: S608
    assert _content() == before


def test_every_insert_only_table_has_its_triggers() -> None:
    guarded = {trigger.table for trigger in triggers.expected(connection)}
    assert guarded == {model._meta.db_table for model in insert_only_models()}
    assert {"records_entry", "records_scale", "records_certificate"} <= guarded
    assert triggers.missing(connection) == []


def test_the_orm_s_own_ways_are_refused(scale: Scale) -> None:
    before = _content()
    ways: list[Callable[[], object]] = [
        lambda: Scale.objects.update(note="lighter"),
        lambda: Entry.objects.all()._raw_delete("default"),
        lambda: Scale.objects.bulk_update([Scale(number="S-02", note="x")], ["note"]),
        lambda: Scale.objects.bulk_create(
            [Scale(number="S-02", capacity_g=1, recorded_at=MONDAY, recorded_by_id="P-01")],
            update_conflicts=True,
            unique_fields=["number"],
            update_fields=["capacity_g"],
        ),
    ]
    for way in ways:
        with pytest.raises(IntegrityError, match="insert-only"), transaction.atomic():
            way()
    assert _content() == before


def test_changeable_tables_stay_changeable(scale: Scale) -> None:
    PersonContact.objects.create(person_id="P-01", name="Ines")
    assert PersonContact.objects.update(name="") == 1
    assert PersonContact.objects.all().delete()[0] == 1
    assert StreamHead.objects.filter(stream="scale/S-02").update(seq=1) == 1


class TestOnSQLite:
    @pytest.fixture(autouse=True)
    def _only_there(self) -> None:
        if connection.vendor != "sqlite":
            pytest.skip("INSERT OR REPLACE is SQLite's own")

    def test_it_refuses_to_replace_a_row_by_its_key(self, scale: Scale) -> None:
        before = _content()
        _refused(
            "INSERT OR REPLACE INTO records_scale SELECT * FROM records_scale WHERE number = %s",
            "S-02",
        )
        assert _content() == before

    def test_it_refuses_to_replace_by_another_unique_key(self, scale: Scale) -> None:
        """Without `recursive_triggers`, as any other program opens the file."""
        before = _content()
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA recursive_triggers=OFF")
        try:
            _refused(
                "INSERT OR REPLACE INTO records_entry (stream, seq, prev, hash, bytes, "
                "recorded_at, kind) SELECT stream, seq, 'x', hash, bytes, recorded_at, kind "
                "FROM records_entry WHERE stream = %s",
                "scale/S-02",
            )
            _refused(
                'INSERT OR REPLACE INTO records_entryrow (entry_id, "table", row_id) '
                'SELECT entry_id, "table", row_id FROM records_entryrow WHERE row_id = %s',
                "S-02",
            )
        finally:
            with connection.cursor() as cursor:
                cursor.execute("PRAGMA recursive_triggers=ON")
        assert _content() == before

    def test_the_settings_switch_recursive_triggers_on(self) -> None:
        with connection.cursor() as cursor:
            assert cursor.execute("PRAGMA recursive_triggers").fetchone() == (1,)

    def test_a_partial_key_is_guarded_within_its_condition_only(self) -> None:
        with connection.cursor() as cursor:
            cursor.execute("CREATE TABLE seal (id integer PRIMARY KEY, number text, broken int)")
            cursor.execute("CREATE UNIQUE INDEX whole ON seal (number) WHERE broken = 0")
            guard = " OR ".join(triggers._same_key(connection, "seal"))
            cursor.execute(
                f"CREATE TRIGGER t BEFORE INSERT ON seal WHEN {guard} "
                "BEGIN SELECT RAISE(ABORT, 'insert-only'); END"
            )
            cursor.execute("INSERT INTO seal VALUES (1, 'A', 0), (2, 'A', 1), (3, 'A', 1)")
        _refused("INSERT OR REPLACE INTO seal VALUES (4, 'A', 0)")
        _refused("INSERT OR REPLACE INTO seal VALUES (2, 'B', 1)")
        with connection.cursor() as cursor:
            cursor.execute("INSERT INTO seal VALUES (5, 'B', 0)")
            assert cursor.execute("SELECT count(*) FROM seal").fetchone() == (4,)


class TestOnPostgreSQL:
    @pytest.fixture(autouse=True)
    def _only_there(self) -> None:
        if connection.vendor != "postgresql":
            pytest.skip("TRUNCATE and replication roles are PostgreSQL's own")

    def test_it_refuses_to_truncate(self, scale: Scale) -> None:
        connection.check_constraints()
        before = _content()
        _refused("TRUNCATE records_entryrow")
        _refused("TRUNCATE records_scale CASCADE")
        assert _content() == before

    def test_it_refuses_also_in_the_role_of_a_replica(self, scale: Scale) -> None:
        before = _content()
        with connection.cursor() as cursor:
            cursor.execute("SET LOCAL session_replication_role = replica")
        _refused("UPDATE records_scale SET note = 'x'")
        assert _content() == before

    def test_a_trigger_switched_off_counts_as_missing(self) -> None:
        with connection.cursor() as cursor:
            cursor.execute("ALTER TABLE records_scale DISABLE TRIGGER insert_only_row")
        assert triggers.missing(connection) == ["records_scale: insert_only_row"]
        triggers.install(connection)
        assert triggers.missing(connection) == []

    def test_a_function_made_harmless_counts_as_missing(self) -> None:
        with connection.cursor() as cursor:
            cursor.execute(
                f"CREATE OR REPLACE FUNCTION {triggers.FUNCTION}() RETURNS trigger "
                "LANGUAGE plpgsql AS 'BEGIN RETURN NEW; END'"
            )
        assert len(triggers.missing(connection)) == len(triggers.expected(connection))


def _drop_one() -> str:
    name = triggers.expected(connection)[0]
    where = f" ON {name.table}" if connection.vendor == "postgresql" else ""
    with connection.cursor() as cursor:
        cursor.execute(f"DROP TRIGGER {name.name}{where}")
    return f"{name.table}: {name.name}"


def test_the_system_check_names_a_missing_trigger() -> None:
    assert check(databases=["default"]) == []
    dropped = _drop_one()
    (warning,) = check(databases=["default"])
    assert warning.id == MISSING_TRIGGER
    assert warning.msg.startswith(dropped)


def test_the_next_migrate_puts_it_back() -> None:
    _drop_one()
    call_command("migrate", verbosity=0)
    assert triggers.missing(connection) == []


def test_taking_down_and_putting_up_are_whole() -> None:
    triggers.uninstall(connection)
    assert len(triggers.missing(connection)) == len(triggers.expected(connection))
    triggers.install(connection)
    triggers.install(connection)
    assert triggers.missing(connection) == []


def test_every_column_of_the_record_enters_the_ledger() -> None:
    assert every_column_is_in_the_ledger() == []


def test_a_column_that_is_left_out_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(RoleGrant, "ledger_fields", {1: ("person", "recorded_at", "colour")})
    told = [error.msg for error in every_column_is_in_the_ledger()]
    assert told == [
        "records.rolegrant: column recorded_by is not in ledger_fields[1]",
        "records.rolegrant: column role is not in ledger_fields[1]",
        "records.rolegrant: ledger_fields[1] names colour, which is no column",
    ]


def test_the_list_of_changeable_tables_names_tables_that_exist() -> None:
    there = {table_of(model) for model in insert_only_models()}
    assert there & CHANGEABLE == set()
    for label in CHANGEABLE | LEDGER_TABLES:
        assert apps.get_model(label)
    assert {table_of(model) for model in record_models()} == there - LEDGER_TABLES
