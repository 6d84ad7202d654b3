"""`manage.py verify`, as a process: it fails when a row was changed past its trigger."""

from __future__ import annotations

import pytest
from django.db import DatabaseError, connection, transaction

from records.models import Certificate, Reading, Release
from tests.faults.processes import manage
from tests.records.keeper import insider
from tests.records.small_engine import release

pytestmark = [pytest.mark.faults, pytest.mark.usefixtures("ready_shop")]


def test_an_untouched_record_stands() -> None:
    release()
    done = manage("verify")
    assert done.returncode == 0, done.stdout + done.stderr
    assert "The record is as it was entered." in done.stdout


@pytest.mark.parametrize(
    ("table", "column", "value"),
    [
        ("records_reading", "text", "461.90"),
        ("records_release", "no_seals_reason", "none were asked for"),
        ("records_certificate", "signer", "CN=somebody else"),
    ],
)
def test_a_row_changed_with_sql_is_found_and_named(table: str, column: str, value: str) -> None:
    release()
    model = {
        "records_reading": Reading,
        "records_release": Release,
        "records_certificate": Certificate,
    }[table]
    pk = model._default_manager.order_by("pk").values_list("pk", flat=True)[0]
    statement = f"UPDATE {table} SET {column} = %s WHERE id = %s"  # noqa: S608
    refused = pytest.raises(DatabaseError, match="insert-only")
    with refused, transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement, (value, pk))
    insider(statement, value, pk)
    done = manage("verify")
    assert done.returncode == 1
    assert "The record is NOT as it was entered." in done.stdout
    named = table.replace("_", ".", 1)
    assert f"{named} {pk}" in done.stdout
    assert column in done.stdout
