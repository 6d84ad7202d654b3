"""The spread chart, on paper and on pages."""

from __future__ import annotations

from itertools import combinations
from typing import get_args
from xml.etree import ElementTree

import pytest
import segno

from records.documents.figures.as_svg import svg
from records.documents.figures.drawing import Disc, Line, Shape, Words
from records.documents.figures.marks import verdict_mark
from records.documents.figures.qr import QrCode, dark_runs
from records.documents.figures.spread import spread_chart
from records.domain.practice.certificate import Verdict
from tests.documents.sample import sample_facts

VERDICTS = get_args(Verdict)


def chart(cylinders: int = 8, verdict: Verdict = "pass", width: float = 350.0):  # type: ignore[no-untyped-def]
    facts = sample_facts(cylinders, verdict_at_place_2=verdict)
    return spread_chart(facts["judgements"][0], facts["promises"][0], width=width)


def form(verdict: str) -> list[tuple[str, object]]:
    """What is left of a mark in black and white."""
    marks = verdict_mark(verdict, 0, 0, 3)
    return [
        (type(m).__name__, getattr(m, "filled", None))
        for m in marks
        if isinstance(m, Disc | Shape | Line)
    ]


def test_no_two_verdicts_look_alike_without_their_tint() -> None:
    for one, other in combinations(VERDICTS, 2):
        assert form(one) != form(other)


@pytest.mark.parametrize("verdict", VERDICTS)
def test_a_verdict_is_also_said_in_words(verdict: Verdict) -> None:
    said = " ".join(i.text for i in chart(8, verdict).items if isinstance(i, Words))
    assert verdict.replace("conditional", "cond.") in said
    assert verdict in chart(8, verdict).description


@pytest.mark.parametrize("cylinders", [1, 4, 8, 16])
def test_every_mark_lies_on_the_drawing(cylinders: int) -> None:
    drawing = chart(cylinders, "fail" if cylinders > 1 else "pass")
    for item in drawing.items:
        if isinstance(item, Disc):
            assert item.x - item.radius >= 0 and item.x + item.radius <= drawing.width
            assert item.y - item.radius >= 0 and item.y + item.radius <= drawing.height
        if isinstance(item, Line):
            assert 0 <= item.y1 <= drawing.height and 0 <= item.y2 <= drawing.height
        if isinstance(item, Words):
            assert 0 <= item.y <= drawing.height


def test_the_whiskers_reach_from_difference_less_U_to_difference_and_U() -> None:
    facts = sample_facts()
    judgement, promise = facts["judgements"][0], facts["promises"][0]
    items = spread_chart(judgement, promise, width=350).items
    whole = [i for i in items if isinstance(i, Line) and i.weight == 0.8 and i.x2 - i.x1 > 100]
    per_gram = (whole[1].y1 - whole[0].y1) / float(promise["tolerance_g"])
    whiskers = [i for i in items if isinstance(i, Line) and i.x1 == i.x2]
    assert len(whiskers) == 7  # the lightest is compared with nothing
    for whisker in whiskers:
        assert (whisker.y2 - whisker.y1) / per_gram == pytest.approx(2 * 0.1812)


def test_the_svg_is_well_formed_and_takes_its_colours_from_the_page() -> None:
    text = svg(chart(8, "conditional fail"), identity="sets")
    root = ElementTree.fromstring(text)  # noqa: S314  our own text
    names = [child.tag.rpartition("}")[2] for child in root]
    assert names[:2] == ["title", "desc"]
    assert root.attrib["aria-labelledby"] == "sets-title sets-words"
    for element in root.iter():
        assert {element.get("fill"), element.get("stroke")} <= {None, "none", "currentColor"}
    assert "#" not in text


def test_the_svg_escapes_what_it_is_given() -> None:
    facts = sample_facts()
    drawing = spread_chart(facts["judgements"][0], facts["promises"][0], width=350)
    text = svg(drawing, identity='"><script>')
    assert "<script>" not in text
    ElementTree.fromstring(text)  # noqa: S314  our own text


def test_the_qr_code_has_the_modules_that_segno_made() -> None:
    address = "http://127.0.0.1:8000/genuine/26-014/?code=K7M2Q9XD"
    code = QrCode(address, 100)
    drawn = [
        [
            any(start <= x < start + length for start, length in dark_runs(row))
            for x in range(len(row))
        ]
        for row in code.rows
    ]
    made = segno.make(address, error="m", micro=False).matrix
    assert drawn == [[bool(module) for module in row] for row in made]
