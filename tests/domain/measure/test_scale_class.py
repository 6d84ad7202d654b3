"""Accuracy classes against OIML R 76-1:2006, tables 3 and 6 (checks/measure.md 3.3)."""

from __future__ import annotations

from decimal import Decimal

import pytest

from records.domain.errors import BadValue
from records.domain.measure.scale_class import (
    classes_of,
    indication_before_rounding,
    permitted_error,
    smallest_load,
)


@pytest.mark.parametrize(
    ("accuracy_class", "e_g", "load_g", "error_g"),
    [
        ("II", "0.1", "500", "0.05"),
        ("II", "0.1", "500.1", "0.1"),
        ("II", "0.1", "2000", "0.1"),
        ("II", "0.1", "2000.1", "0.15"),
        ("III", "0.1", "50", "0.05"),
        ("III", "0.1", "50.1", "0.1"),
        ("III", "0.1", "200.1", "0.15"),
        ("II", "0.01", "1000", "0.015"),
        ("I", "0.001", "50", "0.0005"),
        ("I", "0.001", "5000", "0.0015"),
        ("IIII", "5", "250", "2.5"),
        ("IIII", "5", "1000.5", "7.5"),
    ],
)
def test_the_permitted_error(accuracy_class: str, e_g: str, load_g: str, error_g: str) -> None:
    def permitted(in_service: bool) -> Decimal:
        return permitted_error(
            Decimal(load_g), accuracy_class=accuracy_class, e_g=Decimal(e_g), in_service=in_service
        )

    assert permitted(False) == Decimal(error_g)
    assert permitted(True) == 2 * Decimal(error_g)


@pytest.mark.parametrize(("accuracy_class", "e_g"), [("III", "0.1"), ("II", "0.01")])
def test_more_steps_than_the_class_has_are_refused(accuracy_class: str, e_g: str) -> None:
    with pytest.raises(BadValue, match=r"at most 1000.*g") as refused:
        permitted_error(Decimal("1000.1"), accuracy_class=accuracy_class, e_g=Decimal(e_g))
    assert refused.value.field == "load_g"


@pytest.mark.parametrize(
    ("accuracy_class", "e_g", "load_g"),
    [("I", "0.001", "0.1"), ("II", "0.01", "0.2"), ("II", "0.1", "5"), ("III", "0.1", "2")],
)
def test_the_smallest_load(accuracy_class: str, e_g: str, load_g: str) -> None:
    assert smallest_load(accuracy_class, Decimal(e_g)) == Decimal(load_g)


@pytest.mark.parametrize(
    ("max_g", "e_g", "classes"),
    [
        ("3000", "0.1", ("II",)),
        ("1000", "0.1", ("II", "III")),
        ("200", "0.1", ("III",)),
        ("2000", "0.01", ("I",)),  # 200 000 steps: too many for II
        ("500", "0.01", ("I", "II")),  # 50 000 steps are enough for I
        ("400", "0.01", ("II",)),
        ("5000", "5", ("III", "IIII")),
    ],
)
def test_the_classes_a_scale_may_have(max_g: str, e_g: str, classes: tuple[str, ...]) -> None:
    assert classes_of(Decimal(max_g), Decimal(e_g)) == classes


def test_the_indication_before_rounding() -> None:
    """R 76-1 A.4.4.3 (from memory): load 1000 g, e 5 g, I 1000, ΔL 1.5 g: P 1001 g, E +1 g."""
    shown = indication_before_rounding(Decimal(1000), e_g=Decimal(5), added_g=Decimal("1.5"))
    assert shown == 1001


@pytest.mark.parametrize(
    ("accuracy_class", "e_g", "load_g", "field"),
    [
        ("V", "0.1", "1", "accuracy_class"),
        ("III", "0.01", "1", "e_g"),
        ("IIII", "1", "1", "e_g"),
        ("III", "3", "1", "e_g"),
        ("II", "0.1", "-1", "load_g"),
        ("II", "0.1", "NaN", "load_g"),
    ],
)
def test_what_the_table_does_not_hold_is_named(
    accuracy_class: str, e_g: str, load_g: str, field: str
) -> None:
    with pytest.raises(BadValue) as refused:
        permitted_error(Decimal(load_g), accuracy_class=accuracy_class, e_g=Decimal(e_g))
    assert refused.value.field == field


@pytest.mark.parametrize("e_g", ["0", "-0.1", "Infinity"])
def test_a_step_that_cannot_be_is_named(e_g: str) -> None:
    with pytest.raises(BadValue) as refused:
        classes_of(Decimal(1000), Decimal(e_g))
    assert refused.value.field == "e_g"
