"""The V8 of the bench sheet, from take-in to its certificate, everything through HTTP."""

import hashlib
from decimal import Decimal
from typing import Any

import pytest

from records.queries.papers import verify_paper
from records.queries.verification import verify_record
from tests.api.bench import LENGTH_MM, SHEET, Bench, fit_the_scale
from tests.api.caller import PASSWORDS, Caller, open_the_shop, signed_in

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.story]

BUILD = "26-003"
AT = f"builds/{BUILD}"
KINDS = ("piston", "pin", "pin locks", "ring set", "rod", "bearing shells")
LIGHT_ROD = (
    "rod RA06's big end at 428.0 g is the light one that costs all others metal: "
    "another at 430.95 g or more would save 20.6 of 29.3 g"
)
ANSWERS = {
    "heat": ("yes", ""),
    "forbidden-zones": ("yes", ""),
    "caps-and-bolts": ("yes", ""),
    "oil-ways": ("yes", ""),
    "clean": ("yes", ""),
    "damper": ("not seen by us", "the crank stays with the customer"),
    "rating": ("not applicable", ""),
}


def take_in(ines: Caller) -> None:
    query = f"open_layout=v8-90&rod_length_mm={LENGTH_MM}&stroke_mm=88.4"
    tried = ines.done(f"{AT}/sheets?{query}&dry_run=true", SHEET, content_type="text/csv")
    assert tried["receipt"] is None and ines.get(AT).status_code == 404
    taken = ines.done(f"{AT}/sheets?{query}", SHEET, content_type="text/csv")
    assert (len(taken["new_parts"]), len(taken["weighings"]), taken["readings"]) == (34, 42, 84)
    assert taken["warnings"] == []
    for kind in KINDS:
        ines.done(f"{AT}/intake", {"kind": kind, "condition": {}})
    reason = "the crank stays with the customer"
    ines.done(f"{AT}/details", {"key": "crank_in_job", "value": "no", "reason": reason})


def match(ines: Caller, bench: Bench) -> dict[int, list[str]]:
    proposal = ines.seen(f"{AT}/match-proposal", aim="metal")
    accepted = ines.done(f"{AT}/matches", {"aim": "metal", "matched_at": bench.later()})
    assert accepted["proven"] and accepted["spread_g"] == proposal["spread_g"]
    # one pair of locks stands for every place
    return {one["place"]: [*one["parts"], "LA01"] for one in accepted["sets"]}


def answer_checklist(ines: Caller, bench: Bench) -> None:
    for question in ines.seen(f"{AT}/checklist")["questions"]:
        answer, detail = ANSWERS[question["key"]]
        body = {"question": question["key"], "answer": answer, "detail": detail}
        ines.done(f"{AT}/checklist", {**body, "answered_at": bench.later()})


def release(ruth: Caller) -> dict[str, Any]:
    state = ruth.seen(AT)
    assert state["blocks"] == [], state["blocks"]
    assert state["next_step"] is None
    released: dict[str, Any] = ruth.done(
        f"{AT}/release",
        {
            "password": PASSWORDS["ruth"],
            "no_seals_reason": "the customer assembles the engine",
            "seen_conditional": bool(state["conditional"]),
        },
    )
    return released


def test_the_v8_goes_from_its_bench_sheet_to_a_certificate_that_verifies() -> None:
    open_the_shop()
    marta, ines, ruth = signed_in("marta"), signed_in("ines"), signed_in("ruth")
    fit_the_scale(marta, ines)
    take_in(ines)
    bench = Bench(ines, BUILD)
    sets = match(ines, bench)
    assert bench.plan_of("big end")["note"] == LIGHT_ROD
    bench.bring_to_target("set")
    bench.weigh_sets_together(sets)
    bench.later(hours=20)  # 4 March: rods, big ends first
    bench.bring_to_target("big end")
    bench.later(hours=18)
    bench.bring_to_target("whole rod")
    card = ines.done(f"{AT}/bob-weight-cards", {"issued_at": bench.later()})
    assert card["receipt"]["stream"] == f"build/{BUILD}"
    assert len(ines.seen(f"{AT}/bob-weight-cards")["issued"]["pins"]) == 4
    answer_checklist(ines, bench)
    assert bench.now.isoformat() < "2026-03-07"

    released = release(ruth)

    number, code = released["certificate_number"], released["check_code"]
    pdf = ruth.get(f"certificates/{number}/revisions/1/pdf")
    assert pdf.status_code == 200 and pdf["Content-Type"] == "application/pdf"
    verdict = verify_paper(pdf.content)
    assert verdict.accepted, verdict.problems
    page = ruth.seen(f"certificates/{number}")["revisions"][0]
    assert page["facts_sha256"] == released["facts_sha256"]
    assert page["receipt"] == released["receipt"]
    by_code = Caller().seen("public/certificates", number=number, code=code)
    sha256 = hashlib.sha256(pdf.content).hexdigest()
    assert Caller().seen(f"public/certificates/by-sha256/{sha256}") == by_code
    assert (by_code["state"], by_code["revision"]) == ("genuine", 1)
    judged = {kind["kind"]: kind for kind in ruth.seen(AT)["judgements"]}
    assert all(Decimal(kind["spread_after_g"]) <= 1 for kind in judged.values())
    assert verify_record().stands
