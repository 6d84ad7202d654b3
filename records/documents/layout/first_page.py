"""The first page: what was promised, what was measured with U, the verdict and its rule."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from reportlab.platypus import KeepTogether

from records.documents import wording
from records.documents.figures.lettering import REGULAR
from records.documents.figures.on_canvas import Figure
from records.documents.figures.spread import spread_chart
from records.documents.layout import ink
from records.documents.layout.rows import Cell, Column, VerdictCell, facts_grid, ruled
from records.documents.layout.statements import statement_block, statements, title, worst
from records.domain.practice.certificate import (
    BuildFacts,
    CertificateFacts,
    Judgement,
    PlaceJudged,
    Promise,
)

RESULT = (
    Column("what", 19, bold=True),
    Column("promised, g", 29),
    Column("spread before, g", 23, number=True),
    Column("spread after, g", 21, number=True),
    Column("± U, g", 10, number=True),
    Column("verdict", 26),
)


def first_page(facts: CertificateFacts, names: dict[str, str], width: float) -> list[Any]:
    """Return the main column of the first page."""
    said = statements(facts)
    return [
        ink.para(title(facts), ink.TITLE),
        facts_grid(_build(facts["build"], names), width=width, across=3),
        *([statement_block(said, width=width)] if said else []),
        _results(facts, width),
        *(ink.para(rule, ink.NOTE) for rule in _rules(facts["promises"])),
        *(_chart(j, promise_of(facts, j), width) for j in facts["judgements"]),
    ]


def promise_of(facts: CertificateFacts, judgement: Judgement) -> Promise:
    """Return the promise that a judgement is about."""
    return next(p for p in facts["promises"] if p["kind"] == judgement["kind"])


def _build(build: BuildFacts, names: dict[str, str]) -> list[tuple[str, str]]:
    customer = build["customer"]
    barred = ", released as not for competition" if build["not_for_competition"] else ""
    engine = [
        ("build", build["number"]),
        ("engine", build["engine"]),
        ("customer", names.get(customer, customer) if customer else wording.DASH),
        ("layout", f"{build['layout']}, {build['cylinders']} cylinders"),
        ("use", build["use"] + barred),
        ("balance", f"{build['balance']}ly balanced"),
        ("stroke and rod length", _lengths(build)),
    ]
    day = build["event_day"]
    return [*engine, ("event day", wording.day(day))] if day else engine


def _lengths(build: BuildFacts) -> str:
    given = (build["stroke_mm"], build["rod_length_mm"])
    return " and ".join(f"{wording.plain(mm)} mm" if mm else "not known" for mm in given)


def _results(facts: CertificateFacts, width: float) -> Any:
    rows = [_result(judgement, promise_of(facts, judgement)) for judgement in facts["judgements"]]
    return ruled(RESULT, rows, width=width)


def _result(judgement: Judgement, promise: Promise) -> tuple[Cell, ...]:
    widest = _widest(judgement)
    U = widest["U_g"]
    return (
        wording.capital(wording.plural(judgement["kind"], len(judgement["places"]))),
        _promised(promise),
        wording.mass(judgement["spread_before_g"], U),
        wording.mass(judgement["spread_after_g"], U),
        wording.uncertainty(U),
        VerdictCell(worst(judgement)),
    )


def _widest(judgement: Judgement) -> PlaceJudged:
    return max(judgement["places"], key=lambda place: Decimal(place["difference_g"]))


def _promised(promise: Promise) -> str:
    tolerance = wording.plain(promise["tolerance_g"])
    if promise["promised_as"] == "plus or minus":
        return f"±{wording.plain(promise['promised_g'])}, so a spread of {tolerance}"
    return f"spread of at most {tolerance}"


def _rules(promises: list[Promise]) -> list[str]:
    """Return each decision rule once, in words (JCGM 106:2012, 8.2 and 8.3)."""
    said: dict[str, list[str]] = {}
    for promise in promises:
        said.setdefault(_rule(promise), []).append(wording.plural(promise["kind"], 2))
    return [f"{wording.capital(wording.listed(kinds))}: {rule}" for rule, kinds in said.items()]


def _rule(promise: Promise) -> str:
    r, rule = wording.plain(promise["guard_r"]), promise["rule"]
    name = f"{rule['name']}, version {rule['version']}"
    if r == "0":
        return f"{name}, r = 0: passes where the difference is at most the promise."
    times = "U" if r == "1" else f"{r} U"
    return (
        f"{name}, r = {r}: passes where the difference is at most the promise less {times};"
        " from there to the promise it is a conditional pass."
    )


def _chart(judgement: Judgement, promise: Promise, width: float) -> Any:
    lightest = next(p for p in judgement["places"] if p["place"] == judgement["lightest_place"])
    kinds = wording.capital(wording.plural(judgement["kind"], len(judgement["places"])))
    U = lightest["mass_U_g"]
    heading = ink.led(
        f"{kinds}:",
        f"difference to place {lightest['place']}, the lightest"
        f" ({wording.mass(lightest['after_g'], U)} g ± {wording.uncertainty(U)} g),"
        f" {judgement['evidence']}",
        ink.SMALL_HEADING.clone("chart heading", fontName=REGULAR, spaceBefore=5),
    )
    return KeepTogether([heading, Figure(spread_chart(judgement, promise, width=width))])
