from __future__ import annotations

from decimal import Decimal

import pytest

from records.domain.reckon.topics import reckon


@pytest.mark.parametrize(
    ("value", "from_unit", "to_unit", "exactly"),
    [
        ("1", "oz·in", "g·mm", "720.077887375"),
        (1, "oz", "g", "28.349523125"),
        (0.1, "lb", "g", "45.359237"),
        (Decimal("0.0001"), "oz", "g", "0.0028349523125"),
        ("1e3", "g", "kg", "1"),
        ("1500", "kg", "g", "1500000"),
        ("-2", "in", "mm", "-50.8"),
        ("0", "oz", "g", "0"),
    ],
)
def test_it_converts_exactly_where_exact(
    value: object, from_unit: str, to_unit: str, exactly: str
) -> None:
    """Factors of NIST SP 811, Appendix B (from memory there), exact by definition."""
    answer = reckon("convert", {"value": value, "from": from_unit, "to": to_unit})
    assert answer == {"value": exactly, "exact": True}


def test_what_has_no_end_says_so() -> None:
    answer = reckon("convert", {"value": "1", "from": "g", "to": "grain"})
    assert answer["exact"] is False
    assert str(answer["value"]).startswith("15.43235835294143")
