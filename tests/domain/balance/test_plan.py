"""Removal plans. Zone numbers are job.md's defaults (common practice, no source)."""

from __future__ import annotations

from decimal import Decimal
from statistics import NormalDist
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from records.domain.balance.plan import (
    Matched,
    PartPlan,
    ZoneAllowance,
    plan_part,
    plan_set,
)
from records.domain.errors import BadValue

D = Decimal
L_MM = 152.4
SKIRT = ZoneAllowance("skirt", "allowed", D(4), D("0.5"), "all round")
BOSS = ZoneAllowance("boss", "limited", D(1), D("0.2"), "both sides")
CROWN = ZoneAllowance("crown", "forbidden", D(9), D(9), "one spot")
SIDES = ZoneAllowance("sides", "allowed", D(6), D(2), "both sides", D("152.4"))
CAP = ZoneAllowance("cap pad", "limited", D(6), D(2), "one spot", D("190.4"))
EYE = ZoneAllowance("eye", "allowed", D(3), D("0.5"), "all round", D(0))
TOP = ZoneAllowance("top pad", "limited", D(4), D(1), "one spot", D(-18))


def plan(over_g: str, zones: list[ZoneAllowance], **change: Any) -> PartPlan:
    asked: dict[str, Any] = {
        "mass_g": D(500) + D(over_g),
        "target_g": D(500),
        "tolerance_g": D("0.5"),
        "u_difference_g": 0.05,
        "zones": zones,
        **change,
    }
    return plan_part("P-1", **asked)


def cuts_of(found: PartPlan) -> dict[str, Decimal]:
    return {cut.zone: cut.mass_g for cut in found.next_cuts}


def test_the_excess_is_what_the_tolerance_leaves() -> None:
    found = plan("2.0", [SKIRT, BOSS, CROWN])
    assert (found.over_g, found.excess_g, found.short_g) == (D("2.0"), D("1.5"), D(0))
    assert cuts_of(found) == {"skirt": D("0.50")}  # half would be 1.0; the zone's step is 0.5
    assert found.next_cuts[0].share_g == D("1.50")
    assert not found.stop


def test_a_step_aims_short_by_half() -> None:
    assert cuts_of(plan("0.8", [SKIRT])) == {"skirt": D("0.40")}


def test_limited_zones_only_give_what_allowed_ones_cannot() -> None:
    found = plan("5.0", [BOSS, SKIRT])
    shares = {cut.zone: (cut.share_g, cut.with_care) for cut in found.next_cuts}
    assert shares == {"skirt": (D("4.00"), False), "boss": (D("0.50"), True)}


def test_allowed_zones_share_by_what_they_may_still_lose() -> None:
    inner = ZoneAllowance("inner", "allowed", D(1), None, "all round")
    found = plan("3.0", [SKIRT, inner], tolerance_g=D("0.5"))
    shares = {cut.zone: cut.share_g for cut in found.next_cuts}
    assert shares == {"skirt": D("2.00"), "inner": D("0.50")}
    assert cuts_of(found)["inner"] == D("0.30")  # a fifth of half of 3 g


def test_nothing_is_taken_in_a_forbidden_zone() -> None:
    found = plan("3.0", [CROWN])
    assert found.next_cuts == ()
    assert found.stop


def test_a_zone_without_a_number_takes_nothing_and_says_so() -> None:
    found = plan("1.0", [ZoneAllowance("bore taper", "limited", None, None, "one spot")])
    assert found.next_cuts == ()
    assert "zone bore taper: a limit is missing" in found.note


def test_a_part_that_cannot_reach_the_target_says_so_with_the_cheaper_way_out() -> None:
    found = plan("9.0", [SKIRT, BOSS], lightest="P-7")
    assert found.short_g == D("3.50")  # 8.5 wanted, 5.0 to give
    assert "can't reach" in found.note
    assert "in place of P-7" in found.note
    assert "another pin" in found.note
    used_up = plan("1.0", [ZoneAllowance("skirt", "allowed", D(0), D("0.5"), "all round")])
    assert used_up.short_g == D("0.50")
    assert "can't reach" in used_up.note


def test_within_the_tolerance_nothing_is_taken() -> None:
    found = plan("0.5", [SKIRT])
    assert (found.excess_g, found.next_cuts, found.stop) == (D(0), (), True)
    assert "nothing to take" in found.note


def test_no_cut_undershoots_with_more_than_five_per_cent() -> None:
    found = plan("0.6", [SKIRT], u_difference_g=0.2)
    # 0.6 − 1.645·0.2 = 0.27 instead of half, 0.30
    assert cuts_of(found) == {"skirt": D("0.27")}
    assert found.undershoot_chance == pytest.approx(NormalDist().cdf(-0.33 / 0.2), rel=1e-9)
    assert found.undershoot_chance <= 0.05


def test_it_stops_where_any_cut_would_undershoot_too_likely() -> None:
    found = plan("0.6", [SKIRT], u_difference_g=0.4)
    assert found.next_cuts == ()
    assert found.stop
    assert found.undershoot_chance == pytest.approx(NormalDist().cdf(-1.5))
    assert "above 5%" in found.note
    assert "more readings" in found.note


def test_volume_comes_from_density() -> None:
    cut = plan("2.0", [SKIRT], density_g_cm3=2.7).next_cuts[0]
    assert cut.volume_mm3 == pytest.approx(500 / 2.7)  # 0.5 g of light alloy: 185 mm³
    assert plan("2.0", [SKIRT]).next_cuts[0].volume_mm3 is None


def test_a_big_end_feels_a_cut_by_its_place() -> None:
    found = plan("5.0", [CAP, EYE], matched=Matched.BIG_END, rod_length_mm=L_MM)
    cut = found.next_cuts[0]
    assert [c.zone for c in found.next_cuts] == ["cap pad"]  # the eye gives the big end nothing
    assert cut.share_g == D("3.60")  # 4.5 g off the big end, 1.2493 g for each gram taken
    assert cut.mass_g == D("2.00")
    # checks/balance.md 3: 2 g at x = 190.4
    assert cut.big_end_change_g == pytest.approx(-2.4987, abs=5e-5)
    assert cut.small_end_change_g == pytest.approx(0.4987, abs=5e-5)


def test_whole_rods_are_matched_at_the_small_end() -> None:
    found = plan("1.0", [SIDES, EYE, TOP], rod_length_mm=L_MM)
    assert cuts_of(found) == {"eye": D("0.50")}
    assert found.next_cuts[0].big_end_change_g == 0


def test_a_zone_of_unknown_place_on_a_rod_takes_nothing_and_says_so() -> None:
    found = plan("1.0", [SKIRT], matched=Matched.BIG_END, rod_length_mm=L_MM)
    assert found.next_cuts == ()
    assert "zone skirt: its place along the rod is missing" in found.note


def test_a_set_is_planned_toward_its_lightest() -> None:
    masses = {"RA01": D("432.7"), "RA06": D("428.0"), "RA07": D("430.95")}
    found = plan_set(
        masses,
        zones={part: [SIDES, CAP, EYE] for part in masses},
        u_difference_g={"RA01": 0.08, "RA07": 0.08},
        tolerance_g=D("0.5"),
        matched=Matched.BIG_END,
        rod_length_mm=L_MM,
    )
    assert found.target.part == "RA06"
    by_part = {p.part: p for p in found.parts}
    assert by_part["RA06"].stop
    assert by_part["RA06"].next_cuts == ()
    assert by_part["RA06"].undershoot_chance == 0
    assert cuts_of(by_part["RA01"]) == {"sides": D("2.00")}
    assert cuts_of(by_part["RA07"]) == {"sides": D("1.47")}  # half of 2.95, rounded down


def test_a_set_without_an_uncertainty_is_refused() -> None:
    with pytest.raises(BadValue) as refused:
        plan_set({"A": D(1), "B": D(2)}, zones={}, u_difference_g={"A": 0.1}, tolerance_g=D("0.5"))
    assert refused.value.field == "u_difference_g/B"


@given(
    st.decimals("0", "30", places=2),
    st.lists(
        st.builds(
            ZoneAllowance,
            st.sampled_from("abc"),
            st.sampled_from(["allowed", "limited", "forbidden"]),
            st.one_of(st.none(), st.decimals("0", "6", places=2)),
            st.one_of(st.none(), st.decimals("0", "2", places=1)),
            st.just("all round"),
            st.decimals("-20", "190", places=1),
        ),
        max_size=4,
    ),
    st.floats(0, 0.5),
    st.sampled_from(Matched),
)
def test_no_step_breaks_a_rule(
    over_g: Decimal, zones: list[ZoneAllowance], u: float, matched: Matched
) -> None:
    found = plan(str(over_g), zones, u_difference_g=u, matched=matched, rod_length_mm=L_MM)
    by_key: dict[str, list[ZoneAllowance]] = {}
    for zone in zones:
        by_key.setdefault(zone.key, []).append(zone)
    for cut in found.next_cuts:
        assert any(
            zone.rule != "forbidden"
            and zone.remaining_g is not None
            and cut.mass_g <= zone.remaining_g
            and (zone.step_g is None or cut.mass_g <= zone.step_g)
            for zone in by_key[cut.zone]
        )
    if found.next_cuts:
        assert found.undershoot_chance <= 0.05 + 1e-9
    assert found.stop is (found.next_cuts == ())


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"mass_g": D(-1)}, "mass_g"),
        ({"target_g": D("NaN")}, "target_g"),
        ({"tolerance_g": D(-1)}, "tolerance_g"),
        ({"u_difference_g": -0.1}, "u_difference_g"),
        ({"density_g_cm3": 0.0}, "density_g_cm3"),
        ({"matched": Matched.BIG_END}, "rod_length_mm"),
        ({"rod_length_mm": -1.0}, "rod_length_mm"),
        ({"zones": [ZoneAllowance("a", "maybe", D(1), D(1), "")]}, "zones/a/rule"),
    ],
)
def test_it_refuses_what_cannot_be(change: dict[str, Any], field: str) -> None:
    with pytest.raises(BadValue) as refused:
        plan("2.0", change.pop("zones", [SKIRT]), **change)
    assert refused.value.field == field
