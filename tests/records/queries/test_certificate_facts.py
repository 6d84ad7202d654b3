"""A certificate's facts have the shape that the paper prints, and say what stands on record."""

from __future__ import annotations

import types
import typing
from dataclasses import replace
from datetime import date
from decimal import Decimal
from itertools import chain
from typing import Any

import pytest

from records.domain.practice.certificate import CertificateFacts
from records.domain.practice.damper import rating_day
from records.domain.practice.facts import (
    BuildFacts,
    CardFacts,
    DispositionFacts,
    FindingFacts,
    PinFacts,
)
from records.domain.practice.facts_of_parts import RatingFacts
from records.domain.practice.release import ReleaseRuling
from records.domain.proof.canonical import canonical_bytes
from records.queries.certificate_facts import Paper, certificate_facts
from tests.domain.practice.finished import TODAY, finished, for_competition, with_part, without
from tests.domain.practice.sample import at, promise, removal, weighing


def _ruling(facts: BuildFacts, **changes: Any) -> ReleaseRuling:
    given: dict[str, Any] = {
        "second_person": True,
        "not_for_competition": False,
        "conditional": (),
        "damper_not_seen": "",
        "rating_day": rating_day(facts, today=TODAY),
    }
    return ReleaseRuling(**given | changes)


def _paper(facts: BuildFacts, **changes: Any) -> Paper:
    given: dict[str, Any] = {
        "number": "C2026-00001",
        "revision": 1,
        "replaces": None,
        "check_code": "7QK2M9XA",
        "released_at": at(6, 14, 5),
        "released_by": "ruth",
        "facts": facts,
        "ruling": _ruling(facts),
        "seals": (("FL 00412", "sump, left"),),
        "no_seals_reason": "",
    }
    return Paper(**given | changes)


def _filled(facts: BuildFacts, **changes: Any) -> dict[str, Any]:
    return certificate_facts(_paper(facts, **changes))


def _departures(value: Any, kind: Any, where: str = "") -> list[str]:
    """Compare a value with a type of the shape, key by key."""
    if typing.is_typeddict(kind):
        return _departures_of_keys(value, typing.get_type_hints(kind), where)
    origin, inner = typing.get_origin(kind), typing.get_args(kind)
    if origin is list:
        return list(chain(*(_departures(each, inner[0], f"{where}[]") for each in value)))
    if origin in (typing.Union, types.UnionType):
        options = [_departures(value, option, where) for option in inner]
        return [] if [] in options else options[0]
    if origin is typing.Literal:
        return [] if value in inner else [f"{where}: {value!r}"]
    return [] if type(value) is kind else [f"{where}: {value!r} is no {kind}"]


def _departures_of_keys(value: Any, hints: dict[str, Any], where: str) -> list[str]:
    if not isinstance(value, dict) or value.keys() != hints.keys():
        return [f"{where}: {sorted(value) if isinstance(value, dict) else value}"]
    return list(chain(*(_departures(value[key], hints[key], f"{where}/{key}") for key in hints)))


def _worked_on() -> BuildFacts:
    """A finished four of which piston P-2 was cut, with a finding conceded."""
    cut = removal(
        7, "P-2", [11], at(3, 10), before=5, after=91, mass_g=Decimal("0.5"), U_g=Decimal("0.15"),
        heat="none", operator="tomas",
    )  # fmt: skip
    after = weighing(91, "P-2", "449.5", "449.5", measured_at=at(3, 11))
    conceded = DispositionFacts("concession", "shallow", {}, "ruth", at(5))
    facts = finished()
    return replace(
        facts,
        removals=(cut,),
        weighings=(*facts.weighings, after),
        findings=(FindingFacts(1, "k", "one_spot", "P-2", "one spot", at(3), conceded),),
    )


@pytest.mark.parametrize("facts", [finished(), for_competition(), _worked_on()])
def test_it_has_exactly_the_shape_of_the_paper(facts: BuildFacts) -> None:
    filled = _filled(facts)
    assert _departures(filled, CertificateFacts) == []
    assert canonical_bytes(filled)


def test_the_check_of_the_shape_sees_a_departure() -> None:
    filled = _filled(finished())
    filled["scales"][0]["due_on"] = None
    assert _departures(filled, CertificateFacts) != []


def test_the_same_record_gives_the_same_bytes() -> None:
    assert canonical_bytes(_filled(_worked_on())) == canonical_bytes(_filled(_worked_on()))


def test_each_kind_is_judged_place_by_place_against_the_lightest() -> None:
    filled = _filled(_worked_on())
    sets = next(judged for judged in filled["judgements"] if judged["kind"] == "set")
    assert sets["lightest_place"] == 2
    assert sets["evidence"] == "sum of parts weighed apart"
    masses = {place["place"]: place for place in sets["places"]}
    assert [part["shop_number"] for part in masses[1]["parts"]] == ["P-1", "N-1", "L-0", "G-1"]
    # 450.0 + 116.0 + 1.8 + 37.0 on a scale without error; P-2 lost 0.5 g
    assert (masses[1]["after_g"], masses[2]["before_g"], masses[2]["after_g"]) == (
        "604.8",
        "604.8",
        "604.3",
    )
    assert (masses[1]["difference_g"], masses[1]["verdict"]) == ("0.5", "pass")
    lightest = masses[2]
    assert (lightest["u_g"], lightest["U_g"], lightest["conformance_probability"]) == (
        None,
        None,
        None,
    )
    assert Decimal(masses[1]["mass_U_g"]) > 0 and Decimal(masses[1]["U_g"]) > 0
    assert (sets["spread_before_g"], sets["spread_after_g"]) == ("0", "0.5")
    assert [judged["evidence"] for judged in filled["judgements"]][1:] == ["hung", "on the pan"]


def test_sets_weighed_together_are_said_to_be() -> None:
    filled = _filled(for_competition())
    assert filled["judgements"][0]["evidence"] == "weighed together"


def test_parts_stand_in_engine_order_with_what_came_off() -> None:
    filled = _filled(_worked_on())
    rows = [(row["place"], row["kind"], row["what"]) for row in filled["parts"]]
    assert rows[:5] == [
        (1, "piston", "whole"),
        (1, "pin", "whole"),
        (1, "ring set", "whole"),
        (1, "rod", "whole"),
        (1, "rod", "big end"),
    ]
    assert rows[-1] == (None, "pin locks", "whole")
    piston = next(row for row in filled["parts"] if row["shop_number"] == "P-2")
    assert (piston["before_g"], piston["after_g"], piston["removed_g"]) == ("450", "449.5", "0.5")
    assert (piston["how"], piston["marking"], piston["serial"]) == (
        "on the pan",
        "stamped",
        "P-2",
    )
    untouched = next(row for row in filled["parts"] if row["shop_number"] == "P-1")
    assert untouched["removed_g"] is None


def test_a_declared_mass_stays_marked_as_declared() -> None:
    facts = finished()
    declared = weighing(99, "L-0", "1.9", scale=None, source="declared", calibration=None)
    others = tuple(w for w in facts.weighings if w.part != "L-0")
    filled = _filled(replace(facts, weighings=(*others, declared)))
    locks = next(row for row in filled["parts"] if row["shop_number"] == "L-0")
    assert (locks["how"], locks["before_g"], locks["after_g"], locks["U_g"]) == (
        "declared",
        None,
        "1.9",
        None,
    )


def test_a_cut_is_told_with_its_zone_in_grams() -> None:
    (cut,) = _filled(_worked_on())["removals"]
    assert cut["zones"] == [{"zone": "skirt inside edge", "rule": "allowed"}]
    assert (cut["mass_g"], cut["U_g"], cut["by"], cut["day"], cut["heat"]) == (
        "0.5",
        "0.15",
        "tomas",
        "2026-03-03",
        "none",
    )


def test_a_cut_of_another_build_is_not_of_this_paper() -> None:
    facts = _worked_on()
    elsewhere = tuple(replace(cut, build="B-0") for cut in facts.removals)
    assert _filled(replace(facts, removals=elsewhere))["removals"] == []


def test_findings_are_told_with_who_decided_and_why() -> None:
    facts = _worked_on()
    gone = FindingFacts(2, "l", "metal_gone", "P-1", "0.4 g gone", at(4), None)
    told = _filled(replace(facts, findings=(*facts.findings, gone)))["findings"]
    assert [(f["disposition"], f["reason"], f["by"], f["day"]) for f in told] == [
        ("concession", "shallow", "ruth", "2026-03-05"),
        (
            "no longer stands",
            "later weighings, another part or a correction on record took its ground away",
            "ruth",
            "2026-03-06",
        ),
    ]


def test_the_scale_stands_with_its_certificate_and_the_days_it_was_checked() -> None:
    (scale,) = _filled(_worked_on())["scales"]
    assert (scale["number"], scale["certificate_number"], scale["due_on"]) == (
        "S-02",
        "C-1",
        "2027-01-15",
    )
    assert scale["steps"] == [{"unit": "g", "step": "0.1"}, {"unit": "oz", "step": "0.001"}]
    assert scale["checks_passed_on"] == ["2026-03-02", "2026-03-03"]


def test_a_promise_of_plus_or_minus_is_told_as_it_was_said() -> None:
    facts = finished()
    halved = replace(promise("1.0"), promised_as="plus or minus")
    told = _filled(replace(facts, promise=halved))["promises"]
    assert {(p["tolerance_g"], p["promised_as"], p["promised_g"]) for p in told} == {
        ("1", "plus or minus", "0.5")
    }
    assert [p["kind"] for p in told] == ["set", "big end", "whole rod"]


def test_an_inline_four_needs_no_bob_weights_and_the_paper_says_why() -> None:
    bob = _filled(finished())["bob_weight"]
    assert not bob["needed"] and bob["pins"] == [] and bob["card_revision"] is None
    assert bob["sentence"].startswith("no bob weights")


def test_a_card_in_force_is_printed_pin_by_pin() -> None:
    pin = PinFacts(1, 2, Decimal("950.1"), Decimal("800.2"), Decimal("1750.3"), Decimal("0.9"))
    card = CardFacts(1, 2, 1, Decimal(5), Decimal("0.5"), at(5), "tomas", (pin,), (1,))
    facts = finished(card=card)
    turned = tuple(replace(c, throw_deg=90.0 * i) for i, c in enumerate(facts.cylinders))
    bob = _filled(replace(facts, cylinders=turned))["bob_weight"]
    assert bob["needed"] and (bob["card_revision"], bob["oil_g"], bob["fraction"]) == (
        2,
        "5",
        "0.5",
    )
    assert bob["pins"][0]["total_g"] == "1750.3"


def test_a_rating_is_judged_for_the_event_day() -> None:
    facts = for_competition(event_day=date(2027, 1, 1))
    rating = _filled(facts)["damper"]["rating"]
    assert (rating["judged_for"], rating["valid"]) == ("2027-01-01", True)
    late = for_competition(event_day=date(2027, 1, 2))
    waived = _ruling(late, not_for_competition=True)
    filled = _filled(late, ruling=waived, not_for_competition_reason="label expires before")
    assert filled["damper"]["rating"]["valid"] is False
    assert filled["build"]["not_for_competition_reason"] == "label expires before"


def test_a_street_build_judges_no_rating() -> None:
    assert _filled(finished())["damper"]["rating"] is None
    relabelled = with_part(
        finished(), "D-1", rating=RatingFacts("L-1", "demo body", "D-1", date(2020, 1, 1))
    )
    assert _filled(relabelled)["damper"]["seen"] is True


def test_a_damper_that_was_not_seen_is_said_to_be() -> None:
    facts = without(finished(crank_in_job=False, no_crank_reason="it stays in the car"), "D-1")
    damper = _filled(facts)["damper"]
    assert (damper["seen"], damper["reason"]) == (False, "it stays in the car")


def test_people_are_numbers_and_the_release_names_who_and_when() -> None:
    filled = _filled(_worked_on(), replaces=1, revision=2, seals=(), no_seals_reason=" none ")
    assert filled["people"]["cut"] == ["tomas"]
    assert filled["people"]["released"] == "ruth"
    assert filled["certificate"]["replaces"] == {"number": "C2026-00001", "revision": 1}
    assert filled["certificate"]["released_at"] == "2026-03-06T14:05:00Z"
    assert filled["seals"] == {"fitted": [], "reason": "none"}


def test_every_version_that_was_judged_by_is_named() -> None:
    versions = {(v["name"], v["version"]) for v in _filled(finished())["versions"]}
    assert {("zone map SP-piston", "1"), ("zone map SP-rod", "1")} <= versions
    assert any(name.startswith("tolerance class") for name, _ in versions)
