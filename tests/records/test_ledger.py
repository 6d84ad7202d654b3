"""The one door to the ledger: what it writes, what it refuses, and that nothing is left then."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal
from typing import Any

import pytest
from django.db import models, transaction

from records import ledger
from records.domain.errors import BadValue, Code, Conflict, NotFound, TarebookError
from records.domain.proof.envelope import NOTHING_BEFORE, entry_hash
from records.models import Person, PersonContact, Scale, ScaleStep
from records.models.ledger import Entry
from records.rows import plain_decimal, row_fields
from tests.records.keeper import MONDAY, counts, ines, scale_of

pytestmark = pytest.mark.django_db


def _append(**changes: Any) -> ledger.Receipt:
    usual: dict[str, Any] = {
        "stream": "shop",
        "kind": "note",
        "actor": "P-01",
        "recorded_at": MONDAY,
        "data": {},
    }
    with transaction.atomic():
        return ledger.append(**(usual | changes))


class TestAppend:
    def test_entries_of_a_stream_are_chained(self) -> None:
        first, second = _append(), _append(data={"mass": "431.2"})
        read = list(ledger.entries("shop"))
        assert [facts.receipt for facts in read] == [first, second]
        assert [facts.envelope.prev for facts in read] == [NOTHING_BEFORE, first.hash]
        assert [facts.receipt.seq for facts in read] == [1, 2]
        assert all(entry_hash(facts.raw) == facts.receipt.hash for facts in read)
        assert ledger.head("shop") == second

    def test_streams_don_t_share_a_chain(self) -> None:
        _append()
        assert _append(stream=ledger.build_stream("26-014")).seq == 1

    def test_an_entry_names_its_rows_with_their_fields(self) -> None:
        scale, receipt = scale_of(ines())
        facts = ledger.entry_naming(scale)
        assert facts.receipt == receipt == ledger.receipt_of(scale)
        assert facts.envelope.data["schema"] == 1
        assert facts.envelope.data["rows"][0] == {
            "table": "records.scale",
            "id": "S-02",
            "schema": 1,
            "fields": {
                "number": "S-02",
                "capacity_g": "2000",
                "note": "",
                "recorded_at": "2026-03-02T08:15:00.250000Z",
                "recorded_by": "P-01",
            },
        }
        step = ScaleStep.objects.get(unit="oz")
        assert facts.envelope.data["rows"][2]["id"] == str(step.pk)
        assert facts.envelope.data["rows"][2]["fields"]["step_g"] == "0.028349523125"
        assert facts.envelope.data["rows"][2]["fields"]["up_to_g"] is None

    def test_a_row_reads_back_as_it_was_entered(self) -> None:
        scale, _ = scale_of(ines())
        entered = ledger.entry_naming(scale).envelope.data["rows"]
        rows: list[models.Model] = [Scale.objects.get(), *ScaleStep.objects.order_by("pk")]
        assert [row_fields(row, 1) for row in rows] == [item["fields"] for item in entered]

    def test_the_moment_is_kept_in_utc(self) -> None:
        east = timezone(timedelta(hours=2))
        _append(recorded_at=datetime(2026, 3, 2, 10, 15, tzinfo=east))
        (facts,) = ledger.entries("shop")
        assert facts.envelope.recorded_at == "2026-03-02T08:15:00.000000Z"

    def test_a_rolled_back_deed_leaves_nothing(self) -> None:
        before = counts()

        def deed() -> None:
            with transaction.atomic():
                ledger.append(stream="shop", kind="x", actor="P-01", recorded_at=MONDAY, data={})
                raise LookupError

        with pytest.raises(LookupError):
            deed()
        assert counts() == before
        assert ledger.head("shop") is None
        assert _append().seq == 1


class TestRefusals:
    @pytest.fixture
    def person(self) -> Person:
        return ines()

    @pytest.mark.parametrize(
        "changes",
        [
            {"data": {"mass": 431.2}},
            {"data": {"mass": Decimal("431.2")}},
            {"data": {"größe": 1}},
            {"data": {"n": 2**53}},
            {"data": {"rows": []}},
            {"stream": "engine/26-014"},
            {"stream": "build/"},
            {"stream": "build"},
            {"stream": "shop/1"},
            {"stream": "build/26\n014"},
            {"stream": "build/" + "9" * 100},
            {"actor": ""},
            {"kind": ""},
            {"recorded_at": datetime(2026, 3, 2, 8, 15)},
        ],
    )
    def test_it_refuses(self, changes: dict[str, Any]) -> None:
        before = counts()
        with pytest.raises(BadValue):
            _append(**changes)
        assert counts() == before

    @pytest.mark.parametrize(
        ("make", "says"),
        [
            (lambda p: Scale(number="S-9", capacity_g=Decimal(1), recorded_by=p), "saved"),
            (lambda p: PersonContact.objects.create(person=p, name="Ines"), "ledger_fields"),
            (lambda p: Entry.objects.get(), "ledger_fields"),
        ],
    )
    def test_it_refuses_a_row_that_is_none_of_the_record(
        self, person: Person, make: Callable[[Person], models.Model], says: str
    ) -> None:
        row = make(person)
        before = counts()
        with pytest.raises(BadValue, match=says):
            _append(rows=[row])
        assert counts() == before

    @pytest.mark.parametrize(
        ("field", "value", "says"),
        [
            ("capacity_g", 2000.5, "float"),
            ("capacity_g", Decimal("0.00000000000001"), "13 decimal places"),
            ("capacity_g", Decimal("NaN"), "capacity_g"),
            ("capacity_g", "heavy", "capacity_g"),
            ("recorded_at", datetime(2026, 3, 2, 8, 15), "zone"),
            ("note", "\ud800", "surrogate"),
        ],
    )
    def test_it_refuses_a_value_that_would_come_back_another(
        self, person: Person, field: str, value: object, says: str
    ) -> None:
        scale = Scale.objects.create(
            number="S-09", capacity_g=Decimal(1), recorded_at=MONDAY, recorded_by=person
        )
        setattr(scale, field, value)
        before = counts()
        with pytest.raises(BadValue, match=says):
            _append(rows=[scale])
        assert counts() == before

    def test_it_refuses_a_row_that_an_entry_names_already(self, person: Person) -> None:
        before = counts()
        with pytest.raises(Conflict, match="no entry names yet"):
            _append(rows=[person])
        assert counts() == before

    def test_it_refuses_the_same_row_twice_in_one_entry(self, person: Person) -> None:
        other = Person.objects.create(number="P-02", recorded_at=MONDAY)
        before = counts()
        with pytest.raises(Conflict):
            _append(rows=[other, other])
        assert counts() == before

    def test_a_row_without_entry_has_no_receipt(self, person: Person) -> None:
        other = Person.objects.create(number="P-02", recorded_at=MONDAY)
        with pytest.raises(NotFound, match=r"records\.person P-02"):
            ledger.receipt_of(other)

    def test_an_unknown_schema_is_refused(self, person: Person) -> None:
        with pytest.raises(BadValue, match="schema"):
            row_fields(person, 99)


@pytest.mark.django_db(transaction=True)
def test_it_refuses_to_write_outside_a_transaction() -> None:
    before = counts()
    for deed in (
        lambda: ledger.lock(["shop"]),
        lambda: ledger.append(stream="shop", kind="x", actor="P-01", recorded_at=MONDAY, data={}),
    ):
        with pytest.raises(TarebookError) as refused:
            deed()
        assert refused.value.code == Code.NO_TRANSACTION
    assert counts() == before


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("431.20", "431.2"),
        ("431.2000000000000", "431.2"),
        ("0E-13", "0"),
        ("-0.0", "0"),
        ("1E+3", "1000"),
        ("100", "100"),
        ("1E-13", "0.0000000000001"),
        ("-0.0500", "-0.05"),
    ],
)
def test_equal_decimals_have_one_text(value: str, text: str) -> None:
    assert plain_decimal(Decimal(value)) == text


def test_times_are_told_alike_whatever_their_zone() -> None:
    west = timezone(timedelta(hours=-5))
    person = Person(number="P-01", recorded_at=MONDAY.astimezone(west))
    assert row_fields(person, 1) == row_fields(
        Person(number="P-01", recorded_at=MONDAY.astimezone(UTC)), 1
    )
