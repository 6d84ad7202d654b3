"""What tests of a take-in share: the shop that the sheet of the V8 names, and its rows."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from records.actions.accounts import make_account
from records.actions.take_in import TakeIn, take_in
from records.models import Build, Fitment, Part, PartSpec, Reading, Weighing
from tests.domain.sheet.sample import V8
from tests.records import factory
from tests.records.keeper import counts

BUILD = "26-003"
MORNING = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)
PISTON = "PA01,piston,whole,1,445.9,g,S-02,ines,2026-03-02 08:05,"
ROWS = [
    PISTON,
    "PA02,piston,whole,2,446.8,g,S-02,ines,2026-03-02 08:15,",
    "RA01,rod,big end,1,432.7,g,S-02,ines,2026-03-02 12:15,",
]
NO_LENGTHS: dict[str, Any] = {"open_layout": None, "rod_length_mm": None, "stroke_mm": None}


def the_shop_of_the_sheet() -> None:
    """Make the shop with Ines's account, scale S-02 checked in the morning, and a fixture."""
    factory.a_shop()
    factory.a_fixture()
    make_account(username="ines", password="a long one of hers 26", person="P-01")
    factory.checked(factory.a_scale("S-02"), at=MORNING)


def taken(data: bytes = V8, **changes: Any) -> TakeIn:
    given: dict[str, Any] = {
        "by": "P-01",
        "build": BUILD,
        "sheet_bytes": data,
        "open_layout": "v8-90",
        "rod_length_mm": Decimal("152.4"),
        "stroke_mm": Decimal("88.4"),
    }
    return take_in(**given | changes)


class Untouched:
    """Prove that nothing was written between entry and exit."""

    def __enter__(self) -> None:
        self.before = self.rows()

    def __exit__(self, *_: object) -> None:
        assert self.rows() == self.before

    @staticmethod
    def rows() -> tuple[object, ...]:
        tables = (Build, Part, PartSpec, Fitment, Weighing, Reading)
        return counts(), *(table.objects.count() for table in tables)
