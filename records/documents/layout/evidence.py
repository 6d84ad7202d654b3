"""Evidence in numbers: every place judged, every part weighed, the scales, the bob weight."""

from __future__ import annotations

from typing import Any

from reportlab.platypus import CondPageBreak, KeepTogether

from records.documents import wording
from records.documents.layout import ink
from records.documents.layout.page import section
from records.documents.layout.rows import Cell, Column, VerdictCell, ruled
from records.domain.practice.certificate import (
    BobWeightFacts,
    CertificateFacts,
    Judgement,
    PartMass,
    PinWeight,
    PlaceJudged,
    ScaleFacts,
)

JUDGED = (
    Column("place", 26, bold=True),
    Column("parts", 116),
    Column("before, g", 50, number=True),
    Column("after, g", 50, number=True),
    Column("± U, g", 38, number=True),
    Column("difference, g", 56, number=True),
    Column("± U, g", 38, number=True),
    Column("conformance, %", 64, number=True),
    Column("verdict", 76),
)
PARTS = (
    Column("place", 11, bold=True),
    Column("what", 28),
    Column("shop number", 22),
    Column("serial; where marked", 40),
    Column("got by", 22),
    Column("before, g", 16, number=True),
    Column("after, g", 16, number=True),
    Column("± U, g", 12, number=True),
    Column("removed, g", 17, number=True),
)
SCALES = (
    Column("scale", 14, bold=True),
    Column("certificate", 38),
    Column("calibrated", 20),
    Column("due", 20),
    Column("step", 28),
    Column("check passed on", 58),
)
PINS = (
    Column("crankpin", 20, bold=True),
    Column("rods", 14, number=True),
    Column("rotating, g", 30, number=True),
    Column("reciprocating, counted share, g", 46, number=True),
    Column("bob weight, g", 34, number=True),
    Column("± U, g", 20, number=True),
)


def masses(facts: CertificateFacts, width: float) -> list[Any]:
    """Return every place judged, then every part as it was weighed."""
    return [
        *section("Judged, place by place"),
        *(piece for judgement in facts["judgements"] for piece in _judged(judgement, width)),
        *section("Parts, before and after"),
        ruled(
            PARTS,
            [_part(part) for part in facts["parts"]],
            width=width,
            groups=_where_place_changes(facts["parts"]),
        ),
    ]


def scales(facts: CertificateFacts, width: float) -> list[Any]:
    """Return the scales that evidence was weighed on."""
    return [
        *section("Scales"),
        ruled(SCALES, [_scale(scale) for scale in facts["scales"]], width=width),
    ]


def bob_weight(facts: CertificateFacts, width: float) -> list[Any]:
    """Return the bob-weight card in force, or why none is needed."""
    card = facts["bob_weight"]
    heading = section("Bob weight")
    if not card["needed"]:
        return [*heading, ink.para(card["sentence"])]
    rows = [_pin(pin) for pin in card["pins"]]
    table = ruled(PINS, rows, width=width * 0.8)
    return [KeepTogether([*heading, ink.para(_card(card)), table])]


def _judged(judgement: Judgement, width: float) -> list[Any]:
    kinds = wording.capital(wording.plural(judgement["kind"], len(judgement["places"])))
    heading = ink.para(f"{kinds}, {judgement['evidence']}", ink.SMALL_HEADING)
    rows = [_place(p, judgement["lightest_place"]) for p in judgement["places"]]
    return [CondPageBreak(70), heading, ruled(JUDGED, rows, width=width)]


def _place(place: PlaceJudged, lightest: int) -> tuple[Cell, ...]:
    reference = place["place"] == lightest
    return (
        str(place["place"]),
        ", ".join(part["shop_number"] for part in place["parts"]),
        wording.mass(place["before_g"], place["mass_U_g"]),
        wording.mass(place["after_g"], place["mass_U_g"]),
        wording.uncertainty(place["mass_U_g"]),
        "lightest" if reference else wording.difference(place["difference_g"], place["U_g"]),
        wording.uncertainty(place["U_g"]),
        wording.chance(place["conformance_probability"]),
        VerdictCell(place["verdict"]),
    )


def _part(part: PartMass) -> tuple[Cell, ...]:
    what = part["kind"] if part["what"] == "whole" else f"{part['kind']}, {part['what']}"
    return (
        "every" if part["place"] is None else str(part["place"]),
        what,
        part["shop_number"],
        "; ".join(text for text in (part["serial"], part["marking"]) if text) or wording.DASH,
        part["how"],
        wording.mass(part["before_g"], part["U_g"]),
        wording.mass(part["after_g"], part["U_g"]),
        wording.uncertainty(part["U_g"]),
        wording.mass(part["removed_g"], part["U_g"]),
    )


def _where_place_changes(parts: list[PartMass]) -> list[int]:
    return [i for i in range(1, len(parts)) if parts[i]["place"] != parts[i - 1]["place"]]


def _scale(scale: ScaleFacts) -> tuple[Cell, ...]:
    return (
        scale["number"],
        scale["certificate_number"],
        scale["calibrated_on"],
        scale["due_on"],
        wording.listed([f"{step['step']} {step['unit']}" for step in scale["steps"]]),
        wording.listed(scale["checks_passed_on"]) or wording.DASH,
    )


def _card(card: BobWeightFacts) -> str:
    rule = card["rule"]
    under = f", {rule['name']} version {rule['version']}" if rule else ""
    return (
        f"Card revision {card['card_revision']}{under}: oil {wording.plain(card['oil_g'] or '0')} g"
        f" a pin (an allowance, not in U), {wording.plain(card['fraction'] or '0')} of the"
        f" reciprocating mass. {wording.capital(card['sentence'])}."
    )


def _pin(pin: PinWeight) -> tuple[Cell, ...]:
    return (
        str(pin["pin"]),
        str(pin["rods"]),
        wording.mass(pin["rotating_g"], pin["U_g"]),
        wording.mass(pin["reciprocating_g"], pin["U_g"]),
        wording.mass(pin["total_g"], pin["U_g"]),
        wording.uncertainty(pin["U_g"]),
    )
