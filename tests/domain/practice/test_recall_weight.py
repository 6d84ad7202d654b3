"""A check weight found out: which checks it had let pass, by hand."""

from dataclasses import replace
from decimal import Decimal

from records.domain.practice.facts_of_scales import CheckFacts, CheckLoad, ScaleFacts
from records.domain.practice.recall_weight import overturned_by
from tests.domain.practice.sample import SHOP_ZONE, at, scale


def made(id: int, day: int, *loads: tuple[str, str, str]) -> CheckFacts:
    """A passed check: weight, load, what the scale was off by; the limit is 0.15 g."""
    held = tuple(
        CheckLoad(Decimal(load), Decimal(error), Decimal("0.15"), True, (weight,))
        for weight, load, error in loads
    )
    return CheckFacts(id, at(day, 8), True, held)


def checked(*checks: CheckFacts) -> ScaleFacts:
    return replace(scale(), checks=checks)


NOW = at(20)


def test_a_heavier_weight_had_hidden_that_the_scale_reads_low() -> None:
    """W-500 weighs 500.2 g: a scale 0.02 g over for 500 g was 0.18 g low, beyond its 0.15 g."""
    known = checked(made(1, 3, ("W-500", "500", "0.02"), ("W-1000", "1000", "0.01")))
    found = overturned_by(known, "W-500", Decimal("0.2"), NOW, SHOP_ZONE)
    assert found is not None
    assert (found.check, found.checks) == (1, (1,))
    assert [(p.load_g, p.error_g) for p in found.window.points] == [
        (Decimal(500), Decimal("-0.18")),
        (Decimal(1000), Decimal("0.01")),
    ]
    assert found.window.until == NOW
    assert found.window.touches("S-02", at(3, 9), Decimal(500))


def test_where_every_check_still_passes_no_scale_is_found_out() -> None:
    known = checked(made(1, 3, ("W-500", "500", "0.02")))
    assert overturned_by(known, "W-500", Decimal("0.1"), NOW, SHOP_ZONE) is None
    assert overturned_by(known, "W-200", Decimal(5), NOW, SHOP_ZONE) is None


def test_the_doubt_ends_with_the_next_check_that_still_passes() -> None:
    known = checked(
        made(1, 3, ("W-500", "500", "0.02")),
        made(2, 6, ("W-501", "500", "0.02")),
    )
    found = overturned_by(known, "W-500", Decimal("0.2"), NOW, SHOP_ZONE)
    assert found is not None
    assert found.window.until == at(6, 8)


def test_a_good_check_before_is_where_it_begins() -> None:
    known = checked(
        made(1, 3, ("W-501", "500", "0.02")),
        made(2, 4, ("W-500", "500", "0.02")),
    )
    found = overturned_by(known, "W-500", Decimal("0.2"), NOW, SHOP_ZONE)
    assert found is not None
    assert found.window.good_until(Decimal(500)) == at(3, 8)
