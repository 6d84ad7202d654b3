"""Scales at their pages: the guided check, what makes a failed one fit, certificates, events."""

from __future__ import annotations

import io
import re
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from html import unescape
from typing import Any

import pytest
from django.contrib.messages import get_messages
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from records.actions.builds import Promise, open_build
from records.actions.clock import SetClock
from records.actions.parts import book_part
from records.actions.reading import ReadingGiven
from records.actions.scale_checks import Load, record_scale_check
from records.management.demo.numbers import INES, MARTA
from records.models import Calibration, CalibrationFile, ScaleCheck, ScaleEvent
from tests.records.actions.refusal import written
from tests.web.conftest import SignedIn
from tests.web.reading import body, errors_at, title

SCALE = "/scales/S-03/"
PASSED = {"deed": "check", "weights_1": ["W-500"], "reading_1": "500.0"}
FAILED = {"deed": "check", "weights_1": ["W-1000"], "reading_1": "1001.0"}
CERTIFICATE = {
    "deed": "calibration",
    "certificate_number": "FL-CAL-200",
    "calibrated_on": "2026-06-01",
    "due_on": "2027-06-01",
}
CSV = (
    "state,load_g,error_mg,U_mg,k,s_mg\n"
    "as left,0,0,50,2,\nas left,2000,-100,80,2,\nrepeatability,1000,,,,40\n"
)


def words(answer: Any) -> str:
    """Return what a page says, without its marks."""
    return unescape(" ".join(re.sub(r"<[^>]+>", " ", body(answer)).split()))


def sent(client: Client, told: dict[str, Any], path: str = SCALE) -> Any:
    return client.post(path, told, follow=True)


class TestTheCheck:
    def test_it_is_guided_by_what_was_weighed_and_says_which_limit_and_why(
        self, at_work: SignedIn
    ) -> None:
        page = at_work("ines").get("/scales/S-01/")
        assert "Advised: W-500, near" in words(page)
        assert "by root of squares" in words(page)
        assert re.search(r'name="weights_1" value="W-500"[^>]*checked', body(page))
        assert "Advice : No check weights near" in words(page)

    def test_advised_weights_without_a_reading_are_left_out(self, at_work: SignedIn) -> None:
        both = PASSED | {"weights_2": ["W-1000"], "reading_2": ""}
        sent(at_work("ines"), both)
        check = ScaleCheck.objects.latest("id")
        assert [load.weights for load in check.loads.all()] == [["W-500"]]

    def test_a_reading_without_weights_is_refused(self, at_work: SignedIn) -> None:
        before = written()
        answer = sent(at_work("ines"), PASSED | {"reading_2": "1000.0"})
        assert (answer.status_code, written()) == (422, before)
        assert errors_at(answer, "weights_2") == ["expected weights and reading, got one of them"]

    def test_a_failed_one_withdraws_until_cause_and_repeat(self, at_work: SignedIn) -> None:
        ines = at_work("ines")
        failed = sent(ines, FAILED)
        assert title(failed) == "Scale S-03 failed check"
        assert "is in doubt. Find the cause and record it" in words(failed)
        repeated = sent(ines, {**FAILED, "reading_1": "999.9"})
        assert title(repeated) == "Scale S-03 failed check"
        assert "it passed since, but nobody recorded the cause" in words(repeated)
        fit = sent(ines, {"deed": "cause", "reason": "a cable below the pan"})
        assert title(fit) == "Scale S-03 fit"
        assert "A cable below the pan".lower() in words(fit).lower()
        assert ScaleEvent.objects.get().scale_check == ScaleCheck.objects.get(
            scale="S-03", passed=False
        )


class TestCharts:
    @pytest.fixture
    def drifted(self, at_work: SignedIn) -> Client:
        """S-03, checked with 1 kg for 30 days, a step higher in the last ten."""
        for days in range(30, 0, -1):
            at = datetime.now(UTC) - timedelta(days=days)
            shown = "999.9" if days > 10 else "1000.0"
            load = Load(["W-1000"], ReadingGiven(shown))
            record_scale_check(by=INES, scale="S-03", loads=[load], clock=SetClock(at))
        return at_work("ines")

    def test_a_drift_is_named_in_words_drawn_and_withdraws_nothing(self, drifted: Client) -> None:
        page = drifted.get(SCALE)
        assert "eight in a row above the usual, each inside its limit" in words(page).lower()
        assert "the weighted average has left its limits: a slow drift" in words(page).lower()
        assert '<svg class="chart"' in body(page)
        assert "The same as a table, with all signals" in words(page)
        assert title(page) == "Scale S-03 not checked today"

    def test_before_ten_results_it_says_that_the_limit_alone_speaks(
        self, at_work: SignedIn
    ) -> None:
        page = sent(at_work("ines"), PASSED)
        assert "1 result since" in words(page)
        assert "before 10 there are, each is held to its own limit" in words(page)


class TestACalibration:
    def test_it_is_taken_from_a_csv(self, at_work: SignedIn) -> None:
        csv = SimpleUploadedFile("table.csv", CSV.encode(), "text/csv")
        answer = sent(at_work("marta"), CERTIFICATE | {"csv": csv})
        assert answer.status_code == 200, errors_at(answer, "csv")
        row = Calibration.objects.get(certificate_number="FL-CAL-200")
        assert [float(p.error_g) for p in row.points.filter(state="as left")] == [0, -0.1]

    @pytest.mark.parametrize(
        ("changed", "field", "says"),
        [
            ({"as_left": "500 0 0.05\n2000 0 0.05"}, "as_left", "a first point at 0 g"),
            ({"as_left": "0 0 0.05\n0 0 0.05"}, "as_left", "the same load twice"),
            ({"as_left": "0 0 50\n2000 0 50"}, "as_left", "is it in milligrams?"),
            ({"as_left": ""}, "as_left", "expected points typed here, or a CSV"),
            ({"csv": CSV.replace("-100", "x")}, "csv", "row 3, error: expected a number"),
            ({"csv": CSV, "as_left": "0 0 0.05"}, "as_left", "typed or as a CSV, got both"),
        ],
    )
    def test_what_is_wrong_stands_at_its_field(
        self, at_work: SignedIn, changed: dict[str, str], field: str, says: str
    ) -> None:
        told: dict[str, Any] = CERTIFICATE | {"repeatability": "1000 0.04"} | changed
        if "csv" in changed:
            told["csv"] = SimpleUploadedFile("table.csv", changed["csv"].encode(), "text/csv")
            told["repeatability"] = ""
        marta, before = at_work("marta"), written()
        answer = sent(marta, told)
        assert (answer.status_code, written()) == (422, before)
        assert says in " ".join(errors_at(answer, field))

    def test_its_photo_is_attached_without_its_metadata_and_handed_out_apart(
        self, at_work: SignedIn
    ) -> None:
        exif = Image.Exif()
        exif[0x010F] = "an invented phone"
        out = io.BytesIO()
        Image.new("RGB", (40, 30), (9, 9, 9)).save(out, "JPEG", exif=exif)
        calibration = Calibration.objects.filter(scale="S-03").latest("id").pk
        photo = SimpleUploadedFile("page 1.jpg", out.getvalue(), "text/plain")
        marta = at_work("marta")
        page = sent(marta, {"deed": "file", "calibration": calibration, "file": photo})
        kept = CalibrationFile.objects.get()
        assert kept.sha256 in body(page)
        answer = marta.get(f"/scales/S-03/files/{kept.pk}")
        assert answer["Content-Type"] == "image/jpeg"
        assert answer["Content-Disposition"].startswith("attachment;")
        assert b"invented" not in answer.content
        assert marta.get(f"/scales/S-01/files/{kept.pk}").status_code == 404
        assert at_work("orla").get(f"/scales/S-03/files/{kept.pk}").status_code == 404

    def test_another_kind_of_file_is_refused_at_the_field(self, at_work: SignedIn) -> None:
        calibration = Calibration.objects.filter(scale="S-03").latest("id").pk
        page = SimpleUploadedFile("page.pdf", b"<html></html>", "application/pdf")
        marta, before = at_work("marta"), written()
        answer = sent(marta, {"deed": "file", "calibration": calibration, "file": page})
        assert (answer.status_code, written()) == (422, before)
        assert errors_at(answer, "file") == ["expected a PDF, JPEG or PNG file, got another kind"]


class TestEvents:
    def test_a_technician_withdraws_and_the_office_returns(self, at_work: SignedIn) -> None:
        out = {"deed": "event", "kind": "withdrawn", "reason": "dropped"}
        assert title(sent(at_work("ines"), out)) == "Scale S-03 withdrawn"
        back = {"deed": "event", "kind": "returned to use", "reason": "looked at"}
        before = written()
        assert sent(at_work("ines"), back).status_code == 403
        assert written() == before
        assert title(sent(at_work("marta"), back)) == "Scale S-03 not checked today"

    def test_a_viewer_of_another_team_finds_no_scale(self, at_work: SignedIn) -> None:
        assert at_work("nils").get(SCALE).status_code == 404


class TestTheList:
    def test_it_says_what_is_due_and_takes_a_weights_certificate(self, at_work: SignedIn) -> None:
        told = {
            "deed": "certificate",
            "weight": "W-500",
            "certificate_number": "CW-7",
            "calibrated_on": "2026-01-10",
            "due_on": "2026-02-10",
            "mass_g": "500,002",
            "U_g": "0.008",
            "k": "2",
        }
        page = sent(at_work("marta"), told, "/scales/")
        said = r"Check weight W-500 overdue CW-7 10 February 2026 , \d+ days ago"
        assert re.search(said, words(page)), words(page)[400:1800]
        assert "CW-7: 500.002 g ± 0.008 g , due 10 February 2026" in words(page)

    def test_a_scale_is_not_made_tomorrow(self, at_work: SignedIn) -> None:
        told = {"deed": "scale", "number": "S-09", "capacity_g": "2000", "step_g": "0.1"}
        marta, before = at_work("marta"), written()
        answer = sent(marta, told | {"made_on": "2126-01-01"}, "/scales/")
        assert (answer.status_code, written()) == (422, before)
        assert "lies ahead of" in errors_at(answer, "made_on")[0]


class TestCapability:
    def test_opening_a_build_says_which_scale_can_not_prove_it(self, at_work: SignedIn) -> None:
        told = {
            "number": "26-077",
            "engine": "sprint boat",
            "layout": "v8-90",
            "use": "competition",
            "balance": "neutral",
            "promised_as": "spread",
            "set_g": "0.1",
            "rod_length_mm": "152.4",
        }
        answer = at_work("ines").post("/open-build/", told)
        assert answer.status_code == 302, errors_at(answer, "layout")
        said = [str(message) for message in get_messages(answer.wsgi_request)]
        (sets,) = [text for text in said if text.startswith("Set: ")]
        assert "S-02 and S-03" in sets
        assert "can't prove 0.1 g at 2 readings and r 1; what would do:" in sets

    def test_the_weighing_page_says_so_before_a_part_is_weighed(self, at_work: SignedIn) -> None:
        promise = Promise(set_g=Decimal("0.1"))
        open_build(
            by=MARTA,
            number="26-078",
            engine="sprint boat",
            layout="v8-90",
            use="competition",
            promise=promise,
        )
        book_part(by=MARTA, number="PQ01", spec="default-piston", build="26-078", place=1)
        ines = at_work("ines")
        coarse = words(ines.get("/builds/26-078/weigh/?target=whole|PQ01&scale=S-03"))
        fine = words(ines.get("/builds/26-078/weigh/?target=whole|PQ01&scale=S-01"))
        assert "Set: S-03 can't prove 0.1 g, at best" in coarse
        assert "what would do: 2 readings of each on S-01" in coarse
        assert "can't prove" not in fine
