"""The demo's V8 as frozen facts: every number invented, plausible, and alike on each run."""

from __future__ import annotations

import hashlib
from decimal import Decimal

from records.domain.practice.certificate import (
    SCHEMA,
    AnswerFacts,
    BobWeightFacts,
    CertificateFacts,
    Judgement,
    Kind,
    LedgerPlace,
    PartNamed,
    PlaceJudged,
    Promise,
    RuleVersion,
    Verdict,
)
from records.domain.proof.canonical import canonical_bytes
from tests.documents.sample_parts import ORDER, parts, removals, scatter_of

NAMES = {
    "P-01": "Ines",
    "P-02": "Tomas",
    "P-03": "Ruth",
    "P-04": "Marta",
    "C-01": "Black Reach Boats",
}
VERIFY_URL = "http://127.0.0.1:8000/genuine/26-014/?code=K7M2Q9XD"
RULE: RuleVersion = {"name": "guard band r × U", "version": "2"}


def sample_facts(
    cylinders: int = 8, *, demo: bool = True, verdict_at_place_2: Verdict = "pass"
) -> CertificateFacts:
    """Return the facts of a competition V8; more cylinders where the layout is to be tried."""
    kinds: tuple[Kind, ...] = ("set", "big end", "whole rod")
    judgements = [_judgement(kind, cylinders) for kind in kinds]
    if verdict_at_place_2 != "pass":
        _unsettle(judgements[0]["places"][1], verdict_at_place_2)
        judgements[0]["spread_after_g"] = judgements[0]["places"][1]["difference_g"]
    return {
        "schema": SCHEMA,
        "demo": demo,
        "shop": {
            "name": "Ferrow Lane Balancing",
            "place": "Unit 4, Ferrow Lane",
            "timezone": "Europe/Dublin",
        },
        "certificate": {
            "number": "26-014",
            "revision": 1,
            "replaces": None,
            "check_code": "K7M2Q9XD",
            "released_at": "2026-03-06T14:32:10Z",
        },
        "build": {
            "number": "26-014",
            "engine": "sprint boat V8, hull 12, engine B",
            "customer": "C-01",
            "layout": "V8, 90 degrees, cross-plane",
            "cylinders": cylinders,
            "use": "competition",
            "not_for_competition": False,
            "not_for_competition_reason": "",
            "balance": "neutral",
            "stroke_mm": "88.4",
            "rod_length_mm": "155.0",
            "event_day": "2026-05-16",
        },
        "promises": [_promise(kind) for kind in kinds],
        "judgements": judgements,
        "parts": parts(cylinders),
        "scales": [
            {
                "number": "S-02",
                "certificate_number": "CAL-26-0117",
                "calibrated_on": "2026-01-15",
                "due_on": "2027-01-15",
                "steps": [{"unit": "g", "step": "0.1"}, {"unit": "oz", "step": "0.001"}],
                "checks_passed_on": [f"2026-03-0{day}" for day in range(2, 7)],
            }
        ],
        "removals": removals(cylinders),
        "checklist": [
            _answer("Is any part blued by heat?", "no", "tried bare of oil, by daylight"),
            _answer("Was anything cut in a forbidden zone?", "no", ""),
            _answer("Are caps and bolts back on their own rods?", "yes", ""),
            _answer("Are oil ways clear and all parts clean?", "yes", "blown through and wiped"),
            _answer("Does the damper really damp?", "yes", "elastomer whole, bond line sound"),
            _answer("Is the damper's rating label valid on the event day?", "yes", "label read"),
        ],
        "findings": [
            {
                "code": "spot_where_all_round",
                "text": "Rod R-105: small-end eye cut in one spot, where the zone asks all round.",
                "raised_on": "2026-03-04",
                "disposition": "rework",
                "reason": "the eye was then dressed evenly all round and weighed again",
                "by": "P-03",
                "day": "2026-03-05",
            }
        ],
        "bob_weight": _bob_weight(),
        "damper": {
            "seen": True,
            "name": "elastomer damper D-31, serial 7Q-2208",
            "reason": "",
            "rating": {
                "label": "18-4471",
                "body": "the series' own scrutineers",
                "spec": "damper rule 18",
                "expires_on": "2028-12-31",
                "judged_for": "2026-05-16",
                "valid": True,
            },
        },
        "seals": {
            "fitted": [
                {"number": "FL 00412", "where": "sump, left"},
                {"number": "FL 00413", "where": "front cover"},
            ],
            "reason": "",
        },
        "people": {
            "weighed": ["P-01"],
            "cut": ["P-02"],
            "matched": ["P-01"],
            "fitted": ["P-01", "P-02"],
            "answered": ["P-01", "P-02"],
            "released": "P-03",
        },
        "second_person": True,
        "versions": [
            RULE,
            {"name": "zone maps", "version": "3"},
            {"name": "tolerance class competition", "version": "1"},
            {"name": "safety checklist", "version": "2"},
            {"name": "oil and fraction", "version": "1"},
        ],
        "not_covered": ["crankshaft balance", "damper", "flywheel", "clutch cover"],
        "cautions": [
            "The part makers' limits, local rules and the sanctioning body's rulebook come first.",
            "Deburr and clean every part before assembly.",
        ],
        "conventional_mass": (
            "Conventional masses, as scales show them: the true mass of an aluminium part of 500 g"
            " is 0.147 g more."
        ),
    }


def sample_bytes(facts: CertificateFacts) -> bytes:
    """Return the canonical bytes that a release would hash."""
    return canonical_bytes(facts)


def sample_ledger(facts_bytes: bytes) -> LedgerPlace:
    """Return a place in the ledger for these bytes; the entry's hash is invented."""
    return {
        "stream": "build/26-014",
        "seq": 187,
        "hash": hashlib.sha256(b"an entry of the sample").hexdigest(),
        "facts_sha256": hashlib.sha256(facts_bytes).hexdigest(),
    }


def _promise(kind: Kind) -> Promise:
    return {
        "kind": kind,
        "tolerance_g": "0.5",
        "promised_as": "spread",
        "promised_g": "0.5",
        "guard_r": "1",
        "rule": RULE,
    }


def _judgement(kind: Kind, cylinders: int) -> Judgement:
    base, before, U, how = {
        "set": (Decimal("601.9137"), Decimal("0.83"), "0.1812", "weighed together"),
        "big end": (Decimal("428.0413"), Decimal("0.85"), "0.1714", "hung level, mean of three"),
        "whole rod": (Decimal("603.7102"), Decimal("0.92"), "0.1466", "on the pan"),
    }[kind]
    places = [_judged(kind, index, base, before, U) for index in range(cylinders)]
    lightest = next(place for place in places if Decimal(place["difference_g"]) == 0)
    lightest["u_g"] = lightest["U_g"] = lightest["conformance_probability"] = None
    return {
        "kind": kind,
        "evidence": how,
        "lightest_place": lightest["place"],
        "places": places,
        "spread_before_g": str(before * 7),
        "spread_after_g": "0.2751",
    }


def _judged(kind: Kind, index: int, base: Decimal, before: Decimal, U: str) -> PlaceJudged:
    scatter = scatter_of(index)
    off = Decimal("0.0393") * scatter if index < len(ORDER) or scatter else Decimal("0.0393")
    return {
        "place": index + 1,
        "parts": _members(kind, index + 1),
        "before_g": str(base + before * scatter),
        "after_g": str(base + off),
        "mass_U_g": "0.1288",
        "difference_g": str(off),
        "u_g": str(Decimal(U) / 2),
        "U_g": U,
        "verdict": "pass",
        "conformance_probability": "0.99998" if scatter < 6 else "0.9932",
    }


def _unsettle(place: PlaceJudged, verdict: Verdict) -> None:
    at: dict[str, tuple[str, str]] = {
        "conditional pass": ("0.4127", "0.8325"),
        "conditional fail": ("0.5611", "0.2501"),
        "fail": ("0.9243", "0.0000014"),
    }
    place["verdict"] = verdict
    place["difference_g"], place["conformance_probability"] = at[verdict]


def _members(kind: Kind, place: int) -> list[PartNamed]:
    if kind != "set":
        return [{"kind": "rod", "shop_number": f"R-1{place:02}", "serial": f"RA{place:02}"}]
    return [
        {"kind": "piston", "shop_number": f"K-1{place:02}", "serial": f"PA{place:02}"},
        {"kind": "pin", "shop_number": f"N-1{place:02}", "serial": f"NA{place:02}"},
        {"kind": "ring set", "shop_number": f"G-1{place:02}", "serial": f"GA{place:02}"},
    ]


def _answer(question: str, answer: str, detail: str) -> AnswerFacts:
    return {
        "question": question,
        "answer": answer,
        "detail": detail,
        "by": "P-02",
        "day": "2026-03-06",
    }


def _bob_weight() -> BobWeightFacts:
    return {
        "needed": True,
        "sentence": "Made for each of four pins.",
        "card_revision": 1,
        "rule": {"name": "oil and fraction", "version": "1"},
        "oil_g": "5",
        "fraction": "0.5000",
        "pins": [
            {
                "pin": pin,
                "rods": 2,
                "rotating_g": "950.52",
                "reciprocating_g": f"777.{60 + pin}",
                "total_g": f"1728.{12 + pin}",
                "U_g": "0.4213",
            }
            for pin in range(1, 5)
        ],
    }
