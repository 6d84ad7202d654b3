"""What a reader must know before the numbers: the statements on the first page."""

from __future__ import annotations

from typing import Any

from reportlab.platypus import Flowable, Table, TableStyle

from records.documents import wording
from records.documents.figures.drawing import Drawing
from records.documents.figures.lettering import REGULAR
from records.documents.figures.marks import square_mark
from records.documents.figures.on_canvas import Figure
from records.documents.layout import ink
from records.domain.practice.certificate import (
    CertificateFacts,
    DamperFacts,
    Judgement,
    PlaceJudged,
)

Statement = tuple[str, str]  # the words in bold, then the rest
NOT_SEEN = "Damper not seen by us."
VERDICTS_WORST_FIRST = ("fail", "conditional fail", "conditional pass", "pass")


def title(facts: CertificateFacts) -> str:
    """Return the answer to the one question of the page, as a sentence."""
    if any(worst(judgement) in {"fail", "conditional fail"} for judgement in facts["judgements"]):
        return "Released by concession: not every mass lies within what was promised"
    kinds = [(j["kind"], len(j["places"])) for j in facts["judgements"]]
    if len({n for _, n in kinds}) == 1:  # each kind has as many: say the number once
        counted = f"all {wording.count(kinds[0][1])} "
        counted += wording.listed([wording.plural(kind, n) for kind, n in kinds])
    else:
        counted = wording.listed([f"{wording.count(n)} {wording.plural(k, n)}" for k, n in kinds])
    return wording.capital(f"{counted} lie within what was promised")


def worst(judgement: Judgement) -> str:
    """Return the worst verdict among the places of a kind."""
    found = {place["verdict"] for place in judgement["places"]}
    return next(verdict for verdict in VERDICTS_WORST_FIRST if verdict in found)


def statements(facts: CertificateFacts) -> list[Statement]:
    """Return what must be said on the first page, the gravest first."""
    said = [
        _not_for_competition(facts),
        _one_person(facts),
        damper_not_seen(facts["damper"]),
        *(_not_passed(judgement) for judgement in facts["judgements"]),
        *(_conditional(judgement) for judgement in facts["judgements"]),
        _concessions(facts),
        _replaces(facts),
    ]
    return [statement for statement in said if statement]


def statement_block(said: list[Statement], *, width: float) -> Flowable:
    """Return the statements, a filled square before each."""
    mark = Figure(Drawing(8, 9, "", "", square_mark(3, 3.2, 2.6)))
    rows = [[mark, ink.led(lead, text, ink.STATEMENT)] for lead, text in said]
    table: Any = Table(rows, colWidths=[12, width - 12], hAlign="LEFT", splitInRow=1)
    table.setStyle(
        TableStyle(
            [
                ("FONTNAME", (0, 0), (-1, -1), REGULAR),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), 0),
                ("TOPPADDING", (0, 0), (-1, -1), 1.5),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ]
        )
    )
    table.spaceAfter = 5
    return table


def damper_not_seen(damper: DamperFacts) -> Statement | None:
    """Return the sentence about a damper that the shop never had in its hands."""
    return None if damper["seen"] else (NOT_SEEN, damper["reason"])


def _not_for_competition(facts: CertificateFacts) -> Statement | None:
    if not facts["build"]["not_for_competition"]:
        return None
    return "Released as not for competition.", facts["build"]["not_for_competition_reason"]


def _one_person(facts: CertificateFacts) -> Statement | None:
    if facts["second_person"]:
        return None
    return "No second person reviewed the work.", "Who released it also worked on it."


def _not_passed(judgement: Judgement) -> Statement | None:
    places = [p for p in judgement["places"] if p["verdict"] in {"fail", "conditional fail"}]
    if not places:
        return None
    text = wording.capital("; ".join(f"{_place(p)} ({p['verdict']})" for p in places))
    return f"{_kinds(judgement)} outside the promise, by concession.", f"{text}."


def _conditional(judgement: Judgement) -> Statement | None:
    places = [p for p in judgement["places"] if p["verdict"] == "conditional pass"]
    if not places:
        return None
    text = wording.capital("; ".join(_place(place) for place in places))
    return (
        f"{_kinds(judgement)}: conditional pass.",
        f"{text}. The difference lies within the promise, but not by as much as its guard band.",
    )


def _kinds(judgement: Judgement) -> str:
    return wording.capital(wording.plural(judgement["kind"], len(judgement["places"])))


def _place(place: PlaceJudged) -> str:
    return (
        f"place {place['place']} {wording.difference(place['difference_g'], place['U_g'])} g,"
        f" U {wording.uncertainty(place['U_g'])} g,"
        f" conformance {wording.chance(place['conformance_probability'])} %"
    )


def _concessions(facts: CertificateFacts) -> Statement | None:
    granted = [finding for finding in facts["findings"] if finding["disposition"] == "concession"]
    if not granted:
        return None
    many = len(granted) > 1
    return (
        f"{wording.capital(wording.count(len(granted)))} written"
        f" {wording.plural('concession', len(granted))}.",
        f"{'They are' if many else 'It is'} printed in full under Findings and concessions.",
    )


def _replaces(facts: CertificateFacts) -> Statement | None:
    old = facts["certificate"]["replaces"]
    if old is None:
        return None
    return "Replaces", f"certificate {old['number']}, revision {old['revision']}."
