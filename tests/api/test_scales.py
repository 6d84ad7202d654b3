"""Scales through the JSON front: certificates as CSV, files, events, advice, charts, due list."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

from records.models import CalibrationPoint
from tests.api.caller import Caller, NothingWritten
from tests.records import factory

CSV = (
    "state,load_g,error_mg,U_mg,k,s_mg\n"
    "as found,0,0,50,2,\nas found,2000,-300,80,2,\n"
    "as left,0,0,50,2,\nas left,2000,0,80,2,\n"
    "repeatability,1000,,,,30\n"
)
BESIDE = "certificate_number=K-2603&calibrated_on=2026-03-02&due_on=2027-03-02&adjusted=true"
PDF = b"%PDF-1.7\n1 0 obj<<>>endobj\ntrailer<<>>\nstartxref\n9\n%%EOF\n"


@pytest.fixture
def scale(marta: Caller) -> int:
    """Return the calibration of S-02, which weighed a piston this hour."""
    one = factory.a_scale("S-02")
    for number, nominal in (("W-500", "500"), ("W-1000", "1000")):
        factory.a_check_weight(number, nominal)
    weighed_at = datetime.now(UTC)
    factory.weighed(factory.a_part("P-1"), "445.9", scale=one, at=weighed_at)
    return int(one.calibrations.get().pk)


def pointers(answer: Any) -> list[str]:
    return [one["pointer"] for one in answer.json()["errors"]]


class TestACertificateAsCsv:
    def send(self, marta: Caller, csv: str, beside: str = BESIDE) -> Any:
        path = f"scales/S-02/calibrations?{beside}"
        return marta.post(path, csv, content_type="text/csv")

    def test_it_is_recorded_with_points_as_found_and_left(self, marta: Caller, scale: int) -> None:
        answer = self.send(marta, CSV)
        assert answer.status_code == 201, answer.json()
        points = CalibrationPoint.objects.filter(calibration=answer.json()["id"])
        assert sorted((p.state, float(p.load_g), float(p.error_g)) for p in points) == [
            ("as found", 0, 0),
            ("as found", 2000, -0.3),
            ("as left", 0, 0),
            ("as left", 2000, 0),
        ]

    def test_what_is_wrong_in_it_is_said_by_row_and_column(self, marta: Caller, scale: int) -> None:
        with NothingWritten():
            answer = self.send(marta, CSV.replace("-300", "much"))
        assert (answer.status_code, pointers(answer)) == (422, ["#/csv/3/error"])

    def test_a_missing_zero_is_said_at_its_point(self, marta: Caller, scale: int) -> None:
        with NothingWritten():
            answer = self.send(marta, CSV.replace("as left,0,0,50,2,\n", ""))
        assert (answer.status_code, pointers(answer)) == (422, ["#/as_left/0/load_g"])

    def test_what_must_stand_beside_it_is_asked(self, marta: Caller, scale: int) -> None:
        with NothingWritten():
            answer = self.send(marta, CSV, "certificate_number=K-2603")
        assert answer.status_code == 422
        assert pointers(answer) == ["#/calibrated_on", "#/due_on"]

    def test_a_query_beside_json_is_refused(self, marta: Caller, scale: int) -> None:
        with NothingWritten():
            answer = marta.post(f"scales/S-02/calibrations?{BESIDE}", {"as_left": []})
        assert answer.status_code == 422
        assert "#/?due_on" in pointers(answer)


class TestFiles:
    def send(self, caller: Caller, calibration: int, content: bytes, **options: Any) -> Any:
        path = f"scales/S-02/calibrations/{calibration}/files?name=page%201"
        return caller.post(path, content, content_type="application/pdf", **options)

    def test_a_pdf_comes_back_byte_for_byte_and_apart(self, marta: Caller, scale: int) -> None:
        attached = self.send(marta, scale, PDF)
        assert attached.status_code == 201, attached.json()
        answer = marta.get(f"scales/S-02/files/{attached.json()['id']}")
        assert (answer.content, answer["Content-Type"]) == (PDF, "application/pdf")
        assert answer["Content-Disposition"] == 'attachment; filename="page-1.pdf"'
        assert answer["X-Content-Type-Options"] == "nosniff"
        (listed,) = marta.seen("scales/S-02")["files"]
        assert (listed["name"], listed["size_bytes"]) == ("page 1", len(PDF))

    def test_a_key_stands_for_these_very_bytes(self, marta: Caller, scale: int) -> None:
        first = self.send(marta, scale, PDF, key="one")
        again = self.send(marta, scale, PDF, key="one")
        other = self.send(marta, scale, PDF + b"\n", key="one")
        assert first.json() == again.json()
        assert other.status_code == 422

    def test_what_only_says_that_it_is_a_pdf_is_refused(self, marta: Caller, scale: int) -> None:
        with NothingWritten():
            answer = self.send(marta, scale, b"<html></html>")
        assert (answer.status_code, pointers(answer)) == (422, ["#/file"])

    def test_one_too_large_is_refused_unread(self, marta: Caller, scale: int) -> None:
        with NothingWritten():
            answer = self.send(marta, scale, b"%PDF-" + b"0" * (5 * 1024 * 1024))
        assert answer.status_code == 413

    def test_a_customer_finds_nothing(self, marta: Caller, orla: Caller, scale: int) -> None:
        attached = self.send(marta, scale, PDF).json()["id"]
        assert orla.get(f"scales/S-02/files/{attached}").status_code in (403, 404)
        assert self.send(orla, scale, PDF).status_code in (403, 404)


class TestEvents:
    def test_a_failed_check_is_answered_by_cause_and_repeat(
        self, marta: Caller, ines: Caller, scale: int
    ) -> None:
        def check(shown: str) -> Any:
            load = {"weights": ["W-1000"], "reading": {"value": shown}}
            return ines.done("scales/S-02/checks", {"loads": [load]})

        failed = check("1001.0")
        assert marta.seen("scales/S-02")["unanswered"] == failed["id"]
        check("1000.0")
        assert marta.seen("scales/S-02")["scale"]["word"] == "failed check"
        cause = {"kind": "cause recorded", "reason": "a wedge below it", "check": failed["id"]}
        ines.done("scales/S-02/events", cause)
        page = marta.seen("scales/S-02")
        assert (page["scale"]["word"], page["unanswered"]) == ("fit", None)
        assert page["events"][0]["reason"] == "a wedge below it"

    def test_a_return_that_changes_nothing_is_a_conflict(self, marta: Caller, scale: int) -> None:
        with NothingWritten():
            told = {"kind": "returned to use", "reason": "it looks well"}
            answer = marta.post("scales/S-02/events", told)
        assert (answer.status_code, pointers(answer)) == (409, ["#/kind"])

    def test_a_technician_may_not_adjust(self, ines: Caller, marta: Caller, scale: int) -> None:
        with NothingWritten():
            answer = ines.post("scales/S-02/events", {"kind": "adjusted", "reason": "span"})
        assert answer.status_code == 403


def test_the_page_advises_weights_and_charts_what_they_showed(marta: Caller, scale: int) -> None:
    page = marta.seen("scales/S-02")
    assert [load["weights"] for load in page["advice"]["loads"]] == [["W-500"]]
    assert page["advice"]["loads"][0]["why"] == "near 446 g: within half to twice"
    assert page["histories"] == []


def test_a_check_weights_certificate_enters_the_due_list(marta: Caller, scale: int) -> None:
    given = {
        "certificate_number": "CW-1",
        "calibrated_on": "2026-01-10",
        "due_on": "2026-02-10",
        "mass_g": "500.002",
        "U_g": "0.008",
    }
    marta.done("check-weights/W-500/certificates", given)
    items = marta.seen("due-list")["items"]
    assert [(one["kind"], one["number"], one["word"]) for one in items] == [
        ("check weight", "W-500", "overdue"),
        ("scale", "S-02", items[1]["word"]),
    ]
    assert marta.seen("check-weights")["items"][0]["certificates"][0]["mass_g"] == "500.002"
