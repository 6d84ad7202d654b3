"""`manage.py take-in`: what it prints, and how it refuses."""

from __future__ import annotations

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from records.models import Build, BuildDetail, Weighing
from tests.domain.sheet.sample import V8, sheet
from tests.records.actions.taking_in import (
    BUILD,
    PISTON,
    ROWS,
    Untouched,
    the_shop_of_the_sheet,
)


@pytest.fixture(autouse=True)
def _shop(db: None) -> None:
    the_shop_of_the_sheet()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "sheet.csv"


def told(path: Path, *words: str, build: str = BUILD) -> str:
    out = StringIO()
    call_command("take-in", str(path), "--build", build, *words, stdout=out)
    return out.getvalue()


def refusal(path: Path, *words: str) -> str:
    with Untouched(), pytest.raises(CommandError) as refused:
        told(path, *words)
    assert refused.value.returncode == 2
    return str(refused.value)


def test_it_opens_the_build_and_tells_what_came_in(path: Path) -> None:
    path.write_bytes(V8)
    said = told(path, "--open", "v8-90", "--rod-length-mm", "152.4", "--stroke-mm", "88.4")
    assert said == ("build 26-003, taken in by P-01: 34 parts, 42 weighings with 84 readings\n")
    build = Build.objects.get(number=BUILD)
    assert (build.layout, build.use, build.balance) == ("v8-90", "street", "neutral")
    lengths = dict(BuildDetail.objects.filter(build=build).values_list("key", "value"))
    assert lengths == {"rod_length_mm": "152.4", "stroke_mm": "88.4"}


def test_what_is_missing_is_asked_later_and_said_now(path: Path) -> None:
    path.write_bytes(V8)
    assert "note: the rod length is not known" in told(path, "--open", "v8-90")


def test_lengths_may_come_with_a_sheet_for_an_open_build(path: Path) -> None:
    path.write_bytes(sheet(PISTON))
    told(path, "--open", "v8-90")
    path.write_bytes(sheet(*ROWS[1:]))
    assert "rod length" not in told(path, "--rod-length-mm", "152.4")


def test_a_dry_run_tells_the_same_and_writes_nothing(path: Path) -> None:
    path.write_bytes(V8)
    with Untouched():
        said = told(path, "--open", "v8-90", "--dry-run")
    assert "42 weighings with 84 readings" in said
    assert said.endswith("dry run: nothing was written\n")


def test_it_names_each_bad_row_as_a_spreadsheet_does(path: Path) -> None:
    path.write_bytes(sheet(PISTON.replace(",g,", ",st,"), ROWS[1].replace("446.8", "x")))
    lines = refusal(path, "--open", "v8-90").splitlines()
    assert lines == [
        "nothing was taken in",
        "row 2, unit: expected one of g, oz, grain, got 'st'",
        "row 3, reading: expected a figure above 0 such as 446.8, got 'x'",
    ]


def test_it_cuts_an_endless_list_of_errors_short(path: Path) -> None:
    path.write_bytes(sheet(*[PISTON.replace(",g,", ",st,")] * 150))
    lines = refusal(path, "--open", "v8-90").splitlines()
    assert len(lines) == 102 and lines[-1] == "and 50 more"


def test_a_file_that_is_no_csv_is_refused(path: Path) -> None:
    path.write_bytes(b"PK\x03\x04\x00\x00")
    assert "expected a CSV text" in refusal(path, "--open", "v8-90")


def test_a_file_that_is_not_there_is_refused(path: Path) -> None:
    assert "no such file" in refusal(path, "--open", "v8-90")


def test_an_unknown_layout_is_refused(path: Path) -> None:
    path.write_bytes(V8)
    assert "layout" in refusal(path, "--open", "v9-40")


def test_a_length_that_is_none_is_refused(path: Path) -> None:
    path.write_bytes(V8)
    for length in ("long", "nan", "-152.4"):
        refusal(path, "--open", "v8-90", f"--rod-length-mm={length}")


def test_the_same_sheet_twice_is_refused(path: Path) -> None:
    path.write_bytes(V8)
    told(path, "--open", "v8-90")
    assert "taken in before" in refusal(path)
    assert "on record already" in refusal(path, "--open", "v8-90")


def test_who_takes_it_in_may_be_named(path: Path) -> None:
    path.write_bytes(sheet(PISTON))
    assert "taken in by P-04" in told(path, "--open", "v8-90", "--by", "P-04")
    assert Weighing.objects.get().recorded_by_id == "P-04"


def test_a_sheet_by_nobody_known_asks_who_takes_it_in(path: Path) -> None:
    path.write_bytes(sheet(PISTON.replace("ines", "nils")))
    assert "say by account name" in refusal(path, "--open", "v8-90")
    assert "row 2, operator" in refusal(path, "--open", "v8-90", "--by", "ines")
