"""The report of a recall on paper: what was found, what it touched, each decision twice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from io import BytesIO
from typing import Any

from reportlab.lib.pagesizes import A4
from reportlab.platypus import CondPageBreak

from records.documents import wording
from records.documents.figures import lettering
from records.documents.layout import ink
from records.documents.layout.notes import person
from records.documents.layout.page import counted_canvas, section
from records.documents.layout.report_page import Report
from records.documents.layout.rows import Cell, Column, VerdictCell, facts_grid, ruled
from records.domain.errors import BadValue, Code, TarebookError
from records.domain.practice.recall_report import CaseTold, ItemTold, RecallTold

POINTS = (
    Column("load, g", 20, number=True),
    Column("error as found, g", 26, number=True),
    Column("± U, g", 16, number=True),
    Column("k", 10, number=True),
)
DECISIONS = (
    Column("decision", 31, bold=True),
    Column("limit, g", 13, number=True),
    Column("before, g", 18, number=True),
    Column("verdict before", 25),
    Column("after, g", 18, number=True),
    Column("± U, g", 13, number=True),
    Column("verdict after", 25),
    Column("margin left, g", 18, number=True),
    Column("so it", 23, bold=True),
    Column("why", 52),
)
BOB_WEIGHT, REMOVAL = "bob weight", "removal"
HOW = (
    "Every decision was reckoned again from the same weighings with the errors as found, in full "
    "for all that lies in the window. What was matched wholly on the scale keeps its match: the "
    "error is in all of it and cancels. Masses are conventional masses; U has coverage 95.45 %."
)
VERDICTS = ("pass", "conditional pass", "conditional fail", "fail")


@dataclass(frozen=True, slots=True)
class ShopTold:
    """The shop as it stands on a report."""

    name: str
    place: str
    timezone: str
    demo: bool


def render_recall(
    told: RecallTold, shop: ShopTold, names: Mapping[str, str], at: datetime
) -> bytes:
    """Print a recall as it stands at a moment, as an unsigned PDF; the same in gives the same out.

    Errors: BadValue for what can't be printed.
    """
    try:
        lettering.load()
        out = BytesIO()
        sheet = Report(
            out,
            size=A4,
            title=f"{'DEMO ' if shop.demo else ''}Recall {told.id}: {told.headline}",
            name=f"Recall {told.id}",
            shop=(shop.name, shop.place),
            demo=shop.demo,
        )
        story = _story(told, shop, dict(names), at, sheet.full_width)
        sheet.build(story, canvasmaker=counted_canvas(sheet, "en", "Recall"))
    except TarebookError:
        raise
    except Exception as error:  # whatever ReportLab raises ends here
        raise BadValue(
            Code.NOT_RENDERED, f"the recall can't be printed: {type(error).__name__}: {error}"
        ) from error
    return out.getvalue()


def _story(
    told: RecallTold, shop: ShopTold, names: dict[str, str], at: datetime, width: float
) -> list[Any]:
    return [
        ink.para(told.headline, ink.TITLE),
        facts_grid(_window(told, shop, names, at), width=width, across=2),
        *section("What was found"),
        ruled(POINTS, [_point(told, i) for i in range(len(told.points))], width=width * 0.5),
        *(ink.para(text, ink.NOTE) for text in _evidence(told, shop)),
        ink.para(HOW, ink.NOTE),
        *(piece for case in told.cases for piece in _case(case, shop, names, width)),
    ]


def _window(
    told: RecallTold, shop: ShopTold, names: dict[str, str], at: datetime
) -> list[tuple[str, str]]:
    since = _moment(told.since, shop) if told.since else "never calibrated before"
    return [
        ("scale", told.scale),
        ("found out by", told.found_by),
        ("cause", told.cause),
        ("recalled", f"{_moment(told.recalled_at, shop)}, by {person(told.recalled_by, names)}"),
        ("in doubt from", since),
        ("until its withdrawal", _moment(told.until, shop)),
        ("still open", f"{told.open} of {len(told.cases)} builds"),
        ("as of", _moment(at, shop)),
    ]


def _point(told: RecallTold, index: int) -> tuple[Cell, ...]:
    point = told.points[index]
    U = str(point.U_g)
    return (
        wording.plain(str(point.load_g)),
        wording.difference(str(point.error_g), U),
        wording.uncertainty(U),
        wording.plain(str(point.k)),
    )


def _evidence(told: RecallTold, shop: ShopTold) -> list[str]:
    said = [
        f"Checks with {wording.plain(str(one.load_g))} g passed and say nothing of the fault: "
        + _why_silent(one.error_g, one.limit_g)
        for one in told.silent
    ]
    said += [
        f"A check with {wording.plain(str(load_g))} g passed on {_moment(at, shop)}: good "
        "evidence until then for masses within half to twice that load."
        for load_g, at in told.proofs
    ]
    return said


def _why_silent(error_g: Decimal | None, limit_g: Decimal) -> str:
    if error_g is None:
        return "what the scale was off by there is not known."
    error = wording.difference(str(error_g), "0.010")
    return f"as found it is {error} g there, where the check allows ± {limit_g:.2f} g."


def _case(case: CaseTold, shop: ShopTold, names: dict[str, str], width: float) -> list[Any]:
    table = ruled(DECISIONS, [_item(item) for item in case.items], width=width)
    return [
        CondPageBreak(150),
        *section(f"Build {case.build}: {case.tally}"),
        facts_grid(_about(case, shop, names), width=width, across=2),
        *([table] if case.items else []),
    ]


def _about(case: CaseTold, shop: ShopTold, names: dict[str, str]) -> list[tuple[str, str]]:
    paper = "none rests on it"
    if case.certificate:
        paper = f"{case.certificate}, revision {case.revision}: {case.state}"
    customer = person(case.customer, names) if case.customer else wording.DASH
    parts = ", ".join(number for number, _ in case.parts)
    return [
        ("engine", case.engine),
        ("customer", customer),
        ("certificate", paper),
        ("weighings in doubt", f"{case.weighings}, of {parts}" if parts else str(case.weighings)),
        ("ended", _end(case, shop, names)),
        ("letter", f"drafted: {case.notice.subject}" if case.notice else "none drafted"),
    ]


def _end(case: CaseTold, shop: ShopTold, names: dict[str, str]) -> str:
    if case.end is None:
        return "not yet" if case.items else "nothing to clear"
    by = person(case.end.by, names)
    return f"{case.end.outcome}, {_moment(case.end.at, shop)}, by {by}: {case.end.reason}"


def _item(item: ItemTold) -> tuple[Cell, ...]:
    U = str(item.after_U_g if item.after_U_g else item.before_U_g)
    return (
        _named(item),
        wording.plain(str(item.limit_g)) if item.limit_g is not None else wording.DASH,
        wording.mass(str(item.before_g), U),
        _verdict(item.before_verdict),
        wording.mass(str(item.after_g), U) if item.after_g is not None else wording.DASH,
        wording.uncertainty(U) if Decimal(U) else wording.DASH,
        _verdict(item.after_verdict),
        _margin(item.after_margin_g),
        item.outcome,
        item.text,
    )


def _named(item: ItemTold) -> str:
    if item.kind == REMOVAL:
        return f"cut of {', '.join(item.parts)}"
    return f"{item.kind}, {'pin' if item.kind == BOB_WEIGHT else 'place'} {item.place}"


def _verdict(words: str) -> Cell:
    return VerdictCell(words) if words in VERDICTS else words or wording.DASH


def _margin(margin_g: Decimal | None) -> str:
    return wording.DASH if margin_g is None else wording.difference(str(margin_g), "0.010")


def _moment(at: datetime, shop: ShopTold) -> str:
    return wording.in_shop_time(at.isoformat(), shop.timezone)
