"""A recall on paper: the same in gives the same out, and every decision is on it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from io import BytesIO

import pytest
from pyhanko.pdf_utils.reader import PdfFileReader

from records.documents.layout.recall import ShopTold, render_recall
from records.domain.errors import BadValue, Code
from records.domain.practice.facts_of_scales import Point
from records.domain.practice.recall_report import (
    CaseTold,
    EndTold,
    ItemTold,
    NoticeTold,
    ProgressTold,
    RecallTold,
    SilentTold,
)

AT = datetime(2026, 3, 20, 9, 0, tzinfo=UTC)
SHOP = ShopTold("Ferrow Lane Balancing", "Ferrow Lane", "Europe/London", demo=True)
NAMES = {"P-01": "Marta", "P-04": "Ruth", "K-01": "Orla"}
FLIPS = ItemTold(
    kind="set",
    place=2,
    parts=(),
    limit_g=Decimal(1),
    before_g=Decimal("0.82"),
    before_U_g=Decimal("0.03"),
    before_verdict="pass",
    before_margin_g=Decimal("0.18"),
    after_g=Decimal("1.11"),
    after_U_g=Decimal("0.037"),
    after_verdict="fail",
    after_margin_g=Decimal("-0.11"),
    outcome="flips",
    text="the error of S-04 stays, +0.29 g",
    touched=(4, 5),
)
UNTOLD = replace(
    FLIPS,
    kind="removal",
    place=None,
    parts=("PV02",),
    limit_g=None,
    after_g=None,
    after_U_g=None,
    after_verdict="",
    after_margin_g=None,
    outcome="can't be told",
)
CASE = CaseTold(
    build="26-009",
    engine="60 degree V6",
    customer="K-01",
    weighings=31,
    outcome="flips",
    certificate="C2026-00005",
    revision=1,
    state="replaced",
    parts=(("PV02", 1),),
    items=(FLIPS, UNTOLD),
    notice=NoticeTold("K-01", "in doubt", "a letter"),
    end=EndTold("replaced", "a piston was cut", AT, "P-04", 2),
)
TOLD = RecallTold(
    id=1,
    scale="S-04",
    found_by="calibration FL-CAL-131, as found",
    cause="0.3 g low at 500 g",
    since=None,
    until=AT,
    recalled_at=AT,
    recalled_by="P-01",
    points=(Point(Decimal(500), Decimal("-0.3"), Decimal("0.02"), Decimal(2)),),
    proofs=((Decimal(500), AT),),
    silent=(SilentTold(Decimal(1000), None, Decimal("0.07")),),
    progress=ProgressTold(1, 1, True, ""),
    cases=(
        CASE,
        replace(
            CASE, build="26-010", outcome="stands", items=(), end=None, customer=None, notice=None
        ),
    ),
)


def outline(pdf: bytes) -> list[str]:
    """The bookmarks of a PDF, in order."""
    root = PdfFileReader(BytesIO(pdf)).root
    found, item = [], root["/Outlines"]["/First"]
    while item is not None:
        found.append(str(item["/Title"]))
        item = item["/Next"] if "/Next" in item else None  # noqa: SIM401 (get gives a reference)
    return found


def test_the_same_recall_gives_the_same_bytes() -> None:
    assert render_recall(TOLD, SHOP, NAMES, AT) == render_recall(TOLD, SHOP, NAMES, AT)


def test_each_build_is_a_bookmark_with_what_it_comes_to() -> None:
    assert outline(render_recall(TOLD, SHOP, NAMES, AT)) == [
        "What was found",
        "Build 26-009: 1 flips, 1 can't be told",
        "Build 26-010: no decision rests on it",
    ]


def test_its_title_says_demo_and_the_headline() -> None:
    info = PdfFileReader(BytesIO(render_recall(TOLD, SHOP, NAMES, AT))).trailer["/Info"]
    headline = "Scale S-04 touched 2 builds: one flips, none still open"
    assert info["/Title"] == f"DEMO Recall 1: {headline}"
    assert info["/Author"] == "Ferrow Lane Balancing"


def test_before_any_build_is_reckoned_it_prints_too() -> None:
    empty = replace(TOLD, cases=(), points=(), progress=ProgressTold(0, 3, False, ""))
    assert render_recall(empty, SHOP, {}, AT).startswith(b"%PDF-")


def test_what_cannot_be_printed_is_one_error_of_ours() -> None:
    wrong = replace(TOLD, recalled_at=AT.replace(tzinfo=None))
    with pytest.raises(BadValue) as caught:
        render_recall(wrong, SHOP, NAMES, AT)
    assert caught.value.code in (Code.BAD_VALUE, Code.NOT_RENDERED)
