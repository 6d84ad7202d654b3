"""What the forms do, and what they say when a deed is refused; a refusal writes nothing."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from records.models import (
    AllowanceRuling,
    Build,
    Fitment,
    Part,
    Release,
    Removal,
    ScaleCheck,
    Weighing,
)
from records.queries.words import layouts
from shop.web.forms.builds import LAYOUTS
from tests.domain.sheet.sample import V8
from tests.records.keeper import counts
from tests.records.small_engine import TWIN
from tests.web.conftest import PASSWORD, SignedIn
from tests.web.reading import body, errors_at, kept, title

BUILD = f"/builds/{TWIN.build}/"
WEIGHED = {"target": "whole|PT01", "scale": "S-02", "readings": "318.2\n318,1 g"}
OPENED = {
    "number": "26-050",
    "engine": "hill-climb car",
    "layout": "i4",
    "use": "street",
    "balance": "neutral",
    "promised_as": "plus or minus",
    "set_g": "0,4",
}


def test_a_weighing_keeps_its_readings_as_typed(at_work: SignedIn) -> None:
    answer = at_work("ines").post(BUILD + "weigh/", WEIGHED, follow=True)
    row = Weighing.objects.latest("pk")
    assert [(r.text, r.unit, r.grams) for r in row.readings.order_by("order")] == [
        ("318.2", "g", Decimal("318.2")),
        ("318,1", "g", Decimal("318.1")),
    ]
    assert "Recorded: PT01 whole" in body(answer)
    # S-02 was not checked today, and who weighs is told at once
    assert "Does not count" in body(answer)


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"readings": "318.2\nheavy"}, "readings", "line 2: expected a reading such as 446.8"),
        ({"readings": ""}, "readings", "expected an entry, got none"),
        ({"readings": "318.2 stone"}, "readings", "stone"),
        ({"readings": "0.000"}, "readings", "expected"),
        ({"readings": "2001"}, "readings", "what S-02 can carry"),
        ({"scale": "S-77"}, "scale", "expected one of those offered, got S-77"),
        ({"target": "whole|XX99"}, "target", "expected one of those offered"),
        ({"measured_at": "2099-01-01T08:00"}, "measured_at", "lies ahead"),
    ],
)
def test_a_refused_weighing_says_why_at_its_field(
    changes: dict[str, str], field: str, said: str, at_work: SignedIn
) -> None:
    ines, before = at_work("ines"), counts()
    answer = ines.post(BUILD + "weigh/", WEIGHED | {"remark": "cold"} | changes)
    assert answer.status_code == 422
    assert any(said in error for error in errors_at(answer, field)), errors_at(answer, field)
    assert kept(answer, "remark") == "cold"
    assert "Nothing was recorded" in body(answer)
    assert counts() == before


def test_the_same_page_sent_twice_records_once(at_work: SignedIn) -> None:
    ines = at_work("ines")
    answers = [ines.post(BUILD + "weigh/", WEIGHED | {"once": "a"}) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [302, 302]
    assert Weighing.objects.filter(source="typed", readings__text="318,1").count() == 1


def test_a_refused_page_may_be_sent_again(at_work: SignedIn) -> None:
    ines, sent = at_work("ines"), {**WEIGHED, "once": "b"}
    assert ines.post(BUILD + "weigh/", sent | {"readings": "2001"}).status_code == 422
    assert ines.post(BUILD + "weigh/", sent).status_code == 302


@pytest.mark.parametrize(
    ("name", "step", "sent"),
    [
        ("ruth", "weigh/", WEIGHED),
        ("marta", "weigh/", WEIGHED),
        ("ruth", "match/", {"aim": "metal"}),
        ("marta", "checklist/", {"question": "heat", "answer": "yes"}),
        ("ines", "release/", {"password": PASSWORD, "no_seals_reason": "none"}),
    ],
)
def test_a_deed_needs_its_role(
    name: str, step: str, sent: dict[str, str], at_work: SignedIn
) -> None:
    client, before = at_work(name), counts()
    answer = client.post(BUILD + step, sent)
    assert answer.status_code == 403
    assert "expected the role" in body(answer)
    assert counts() == before


def test_a_build_is_opened_with_its_promise(at_work: SignedIn) -> None:
    answer = at_work("ines").post("/open-build/", OPENED)
    assert answer["Location"] == "/builds/26-050/"
    build = Build.objects.get(number="26-050")
    # plus or minus 0.4 is a spread of 0.8
    assert (build.set_g, build.promised_as) == (Decimal("0.8"), "plus or minus")


def test_a_taken_number_is_a_conflict_and_what_was_typed_stays(at_work: SignedIn) -> None:
    ines, before = at_work("ines"), counts()
    answer = ines.post("/open-build/", OPENED | {"number": TWIN.build})
    assert answer.status_code == 409
    assert "is on record already" in errors_at(answer, "number")[0]
    assert kept(answer, "engine") == "hill-climb car"
    assert counts() == before


def test_every_layout_by_name_is_offered() -> None:
    assert tuple(key for key, _ in LAYOUTS) == layouts()


def test_a_sheet_is_looked_through_before_it_is_taken_in(at_work: SignedIn) -> None:
    ines, before = at_work("ines"), counts()
    looked = ines.post("/take-in/", _sheet(V8, do="look"))
    assert title(looked).startswith("The sheet can be taken in: 34 new parts")
    assert counts() == before
    assert ines.post("/take-in/", _sheet(V8, do="take in"))["Location"] == "/builds/26-003/"
    assert Fitment.objects.filter(build="26-003").count() == 34


def test_a_bad_row_is_named_by_row_and_column(at_work: SignedIn) -> None:
    ines, before = at_work("ines"), counts()
    answer = ines.post("/take-in/", _sheet(V8.replace(b"446.8,g", b"446.8,stone"), do="take in"))
    assert answer.status_code == 422
    assert errors_at(answer, "sheet")[0].startswith("row 4, unit: expected one of g, oz, grain")
    assert counts() == before


def test_a_failed_check_is_recorded_and_says_what_follows(at_work: SignedIn) -> None:
    sent = {"deed": "check", "weights_1": ["W-500"], "reading_1": "501.0"}
    answer = at_work("ines").post("/scales/S-02/", sent, follow=True)
    assert not ScaleCheck.objects.latest("pk").passed
    assert title(answer) == "Scale S-02 failed check"
    assert "What was weighed on it since its last good check" in body(answer)


def test_a_forbidden_cut_is_recorded_as_it_happened(at_work: SignedIn) -> None:
    ines = at_work("ines")
    page = body(ines.get(BUILD + "cut/?part=PT01"))
    assert "No gloves at drill or lathe spindles" in page
    sent = {"deed": "open", "part": "PT01", "zones": ["crown"], "method": "lathe"}
    answer = ines.post(BUILD + "cut/", sent | {"spread": "one spot"}, follow=True)
    assert title(answer) == "One cut open, on PT01"


def test_a_cut_is_not_closed_before_it_is_weighed(at_work: SignedIn) -> None:
    ines = at_work("ines")
    sent = {"deed": "open", "part": "PT01", "zones": ["crown"], "method": "lathe"}
    ines.post(BUILD + "cut/", sent | {"spread": "one spot"})
    row, before = Removal.objects.latest("pk"), counts()
    closing = {"deed": "close", "removal": row.pk, "heat": "not too hot"}
    answer = ines.post(BUILD + "cut/", closing)
    assert answer.status_code == 409
    assert "got none; weigh it" in body(answer)
    assert counts() == before


def test_a_release_asks_for_the_password_again(at_work: SignedIn) -> None:
    ruth, before = at_work("ruth"), counts()
    page = body(ruth.get(BUILD + "release/"))
    assert "What you sign" in page
    assert "never that an engine is safe" in page
    answer = ruth.post(BUILD + "release/", {"password": "no", "no_seals_reason": "sealed later"})
    assert answer.status_code == 422
    assert errors_at(answer, "password") == ["this is not your password; nothing was released"]
    assert counts() == before
    assert not Release.objects.exists()


def test_an_inspector_says_what_may_still_come_off(at_work: SignedIn) -> None:
    spec = Part.objects.get(number="PT01").spec
    zone = spec.zones.get(key="skirt-inside-edge")
    sent = {"zone": zone.pk, "remaining_g": "1,5", "reason": "measured the wall"}
    assert at_work("ines").post("/parts/PT01/", sent).status_code == 403
    assert not AllowanceRuling.objects.exists()
    answer = at_work("ruth").post("/parts/PT01/", sent, follow=True)
    assert AllowanceRuling.objects.get().remaining_g == Decimal("1.5")
    assert "1.5<span" in body(answer)


def test_a_released_build_hands_out_its_paper(at_work: SignedIn) -> None:
    ruth = at_work("ruth")
    sent: dict[str, Any] = {"password": PASSWORD, "seals": "4711 sump bolt\n4712"}
    answer = ruth.post(BUILD + "release/", sent | {"seen_conditional": "on"}, follow=True)
    release = Release.objects.get()
    assert title(answer) == f"Build {TWIN.build} is released, and its certificate stands"
    assert sorted(release.seals.values_list("number", "where")) == [
        ("4711", "sump bolt"),
        ("4712", ""),
    ]
    # on commit the paper would follow; here the button does what is left
    ruth.post(BUILD + "left/")
    address = f"/certificates/{release.certificate_number}/"
    assert ruth.get(address).status_code == 200
    paper = ruth.get(f"{address}1.pdf")
    assert paper["Content-Type"] == "application/pdf"
    assert paper.content.startswith(b"%PDF")
    assert at_work("orla").get(f"{address}1.pdf").status_code == 200
    assert at_work("nils").get(f"{address}1.pdf").status_code == 404


def _sheet(data: bytes, *, do: str) -> dict[str, Any]:
    return {
        "sheet": SimpleUploadedFile("sheet.csv", data),
        "build": "26-003",
        "layout": "v8-90",
        "rod_length_mm": "152.4",
        "do": do,
    }
