"""The bob weight of each pin from the parts' own weighings, and when a card is stale."""

import math
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from records.domain.balance.bob_weight import PinItems, alike_bob_weight
from records.domain.practice.card import card_state, reckon_card
from records.domain.practice.facts import (
    BuildFacts,
    CardFacts,
    FitmentFacts,
    PinFacts,
    WeighingFacts,
)
from records.domain.practice.facts_of_parts import PartFacts
from tests.domain.practice.sample import (
    at,
    build,
    check,
    fitment,
    part,
    scale,
    weighing,
)
from tests.domain.practice.sample_sheet import cut_to, sheet_build, with_weighings

# checks/balance.md, bob-weight examples, A (a V8): 1505.2 g at 50 %, oil 4 g
EXAMPLE = {
    "piston": "583.9",
    "pin": "173.6",
    "pin locks": "4.8",
    "ring set": "69.5",
    "bearing shells": "23.7",
}


def one_pin(layout_name: str = "v2-90", **changes: Any) -> BuildFacts:
    """Two rods on one pin with the masses of the example, each part weighed once for itself."""
    parts: list[PartFacts] = []
    fitments: list[FitmentFacts] = []
    weighings: list[WeighingFacts] = []
    for place in (1, 2):
        for kind, mass in EXAMPLE.items():
            number = f"{kind}-{place}"
            parts.append(part(number, kind))
            fitments.append(fitment(len(fitments) + 1, number, place))
            weighings.append(weighing(len(weighings) + 1, number, mass))
        number = f"rod-{place}"
        parts.append(part(number, "rod"))
        fitments.append(fitment(len(fitments) + 1, number, place))
        weighings.append(weighing(len(weighings) + 1, number, "392.2"))
        weighings.append(weighing(len(weighings) + 1, number, "229.8", what="big end"))
    given: dict[str, Any] = {
        "parts": parts,
        "fitments": tuple(fitments),
        "weighings": tuple(weighings),
        "oil_g": Decimal(4),
    }
    return build(layout_name, **given | changes)


def with_card(facts: BuildFacts, **changes: Any) -> BuildFacts:
    """The build with the card that it gives, written at noon on 5 March."""
    card = reckon_card(facts)
    given: dict[str, Any] = {
        "oil_g": facts.oil_g,
        "fraction": facts.fraction,
        "pins": tuple(
            PinFacts(p.pin, p.rods, p.rotating_g, p.reciprocating_g, p.total_g, Decimal(str(p.U_g)))
            for p in card.pins
        ),
        "sources": card.sources,
        "issued_at": at(5, 12),
    }
    return replace(
        facts,
        card=CardFacts(id=1, revision=1, rule_version=1, operator="ines", **given | changes),
    )


class TestTheSum:
    def test_the_example_of_the_check_values(self) -> None:
        (pin,) = reckon_card(one_pin()).pins
        assert (pin.pin, pin.places, pin.rods) == (1, (1, 2), 2)
        assert pin.total_g == Decimal("1505.2")
        # the rotating half by hand: 2·(229.8 + 23.7) + 4
        assert pin.rotating_g == Decimal("511.0")

    @pytest.mark.parametrize(
        ("fraction", "total"), [("0.48", "1465.4"), ("0.51", "1525.1"), ("0.52", "1545.0")]
    )
    def test_other_fractions_of_the_example(self, fraction: str, total: str) -> None:
        # checks/balance.md, as above, printed to 0.1 g
        (pin,) = reckon_card(one_pin(fraction=Decimal(fraction))).pins
        assert round(pin.total_g, 1) == Decimal(total)

    def test_the_sheets_first_pin_by_hand(self) -> None:
        # sheet_v8.csv: 432.7 + 434.05 + 2·44.65 + 5; half of 353.55 + 602.25 + 602.8
        pin = reckon_card(sheet_build()).pins[0]
        assert pin.rotating_g == Decimal("961.05")
        assert pin.reciprocating_g == Decimal("779.30")
        assert pin.total_g == Decimal("1740.35")
        assert 42 in pin.sources  # the shells, weighed once for all

    def test_every_pin_has_its_own(self) -> None:
        assert len({p.total_g for p in reckon_card(sheet_build()).pins}) == 4


class TestTheUncertainty:
    def test_private_shared_and_contact_parts_by_hand(self) -> None:
        # The small end is whole less big end, so a rod is (1 - f)·big + f·whole; error 0.02 g and
        # drift 0.15/√3 g are shared by all and add linearly (checks/measure.md 1.2d).
        facts = one_pin()
        (pin,) = reckon_card(facts).pins
        u = math.hypot(0.05, math.sqrt(2) * 0.1 / math.sqrt(12))
        items = [1.0, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5]  # shells, piston…rings, half big, half whole
        private = u * math.sqrt(2 * math.fsum(c * c for c in items))
        contact = 0.5 * math.sqrt(2) * math.hypot(229.8, 392.2 - 229.8) * 0.03 / 152.4
        error = 0.02 * 2 * math.fsum(items)
        drift = 0.15 / math.sqrt(3) * 2 * math.fsum(items)
        assert pin.u_g == pytest.approx(math.hypot(private, contact, error, drift), rel=1e-9)
        alike = alike_bob_weight(
            PinItems(
                big_end=Decimal("229.8"),
                shells=Decimal("23.7"),
                small_end=Decimal("162.4"),
                piston=Decimal("583.9"),
                pin=Decimal("173.6"),
                locks=Decimal("4.8"),
                rings=Decimal("69.5"),
            ),
            rods_per_pin=2,
            oil_g=Decimal(4),
            fraction=Decimal("0.5"),
            u_private_g=u,
        )
        assert alike.total_g == pin.total_g
        assert alike.u_g is not None
        assert alike.u_g > private

    def test_shells_weighed_once_count_as_one_weighing_used_twice(self) -> None:
        shared = one_pin()
        fitments = tuple(
            replace(f, place=None) if f.part == "bearing shells-1" else f
            for f in shared.fitments
            if f.part != "bearing shells-2"
        )
        once = reckon_card(replace(shared, fitments=fitments)).pins[0]
        apart = reckon_card(shared).pins[0]
        assert once.total_g == apart.total_g
        assert once.u_g > apart.u_g


class TestWhatIsMissing:
    def test_an_in_line_four_needs_no_card_and_says_why(self) -> None:
        card = reckon_card(build("i4"))
        assert (card.needed, card.pins, card.missing) == (False, (), ())
        assert card.why.startswith("no bob weights: equal pin masses cancel")

    def test_each_thing_missing_is_named_and_no_pin_is_reckoned(self) -> None:
        facts = one_pin()
        fewer = tuple(w for w in facts.weighings if w.part != "pin-1" and w.what != "big end")
        empty = tuple(f for f in facts.fitments if f.part != "bearing shells-2")
        card = reckon_card(replace(facts, weighings=fewer, fitments=empty))
        assert card.pins == ()
        assert card.missing == (
            "pin pin-1 not weighed yet",
            "rod rod-1, big end not weighed yet",
            "place 2: no bearing shells fitted",
            "rod rod-2, big end not weighed yet",
        )

    def test_without_a_rod_length_there_is_no_card(self) -> None:
        (only,) = reckon_card(one_pin(rod_length_mm=None)).missing
        assert only.startswith("rod length not given")

    def test_a_whole_lighter_than_its_big_end_is_refused(self) -> None:
        light = weighing(99, "rod-1", "229.0", measured_at=at(3))
        card = reckon_card(with_weighings(one_pin(), light))
        assert card.pins == ()
        assert "expected a whole heavier than its big end, got 229" in card.missing[0]


class TestAStaleCard:
    def test_untouched_it_holds(self) -> None:
        state = card_state(with_card(one_pin()))
        assert (state.needed, state.exists, state.stale, state.holds) == (True, True, (), True)

    def test_without_a_card_nothing_is_stale(self) -> None:
        state = card_state(one_pin())
        assert (state.exists, state.stale, state.holds) == (False, (), False)

    def test_a_cut_makes_it_stale(self) -> None:
        cut = cut_to(with_card(one_pin()), "piston-1", "583.5", at(6))
        (why,) = card_state(cut).stale
        assert why == "piston piston-1 was cut after its whole was weighed for the card"

    def test_a_cut_recorded_late_makes_it_stale_too(self) -> None:
        # cut on the 4th, before the card of the 5th, but after the weighing it rests on
        cut = cut_to(with_card(one_pin()), "piston-1", "583.5", at(4))
        assert "was cut after" in card_state(cut).stale[0]

    def test_weighed_again_within_its_uncertainty_it_holds(self) -> None:
        again = weighing(99, "pin-1", "173.7", measured_at=at(6))
        assert card_state(with_weighings(with_card(one_pin()), again)).holds

    def test_weighed_again_outside_it_does_not(self) -> None:
        # U of the difference on one scale is 0.18 g (checks/measure.md 1.3)
        again = weighing(99, "pin-1", "173.9", measured_at=at(6))
        (why,) = card_state(with_weighings(with_card(one_pin()), again)).stale
        assert "weighed again is +0.30 g off what the card has, expected within U of 0.18 g" in why

    def test_a_part_fitted_or_taken_out_makes_it_stale(self) -> None:
        facts = with_card(one_pin())
        gone = tuple(replace(f, ended_at=at(6)) if f.part == "pin-1" else f for f in facts.fitments)
        more = fitment(99, "pin-9", 1, fitted_at=at(6))
        swapped = replace(
            facts,
            parts={**facts.parts, "pin-9": part("pin-9", "pin")},
            fitments=(*gone, more),
        )
        assert card_state(swapped).stale == (
            "pin pin-1 was taken out after the card",
            "pin pin-9 was fitted after the card",
            "pin pin-9 is fitted and not in the card",
        )

    def test_a_damper_fitted_later_is_no_matter(self) -> None:
        facts = with_card(one_pin())
        damper = fitment(99, "D-1", None, fitted_at=at(6))
        assert card_state(
            replace(
                facts,
                parts={**facts.parts, "D-1": part("D-1", "damper")},
                fitments=(*facts.fitments, damper),
            )
        ).holds

    def test_a_later_failed_check_takes_it_back(self) -> None:
        facts = with_card(one_pin())
        failed = scale(checks=(check(1, at(2, 8)), check(2, at(6, 8), passed=False)))
        stale = card_state(replace(facts, scales={"S-02": failed})).stale
        assert len(stale) == len(facts.weighings)
        assert "no longer counts" in stale[0]

    def test_a_weighing_corrected_away_makes_it_stale(self) -> None:
        facts = with_card(one_pin())
        fewer = replace(facts, weighings=facts.weighings[1:])
        assert "a weighing behind the card was corrected since" in card_state(fewer).stale

    def test_another_oil_allowance_makes_it_stale(self) -> None:
        facts = replace(with_card(one_pin()), oil_g=Decimal(6), fraction=Decimal("0.52"))
        assert card_state(facts).stale == (
            "oil is 6 g a pin now, the card has 4 g",
            "the fraction is 0.52 now, the card has 0.50",
        )
