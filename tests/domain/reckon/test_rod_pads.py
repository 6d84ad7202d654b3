"""Topic `rod-pads` against checks/balance.md 3 (calc: statics)."""

from __future__ import annotations

from typing import Any

import pytest

from records.domain.errors import BadValue
from records.domain.reckon.rod_pads import reckon

WANTED: dict[str, Any] = {
    "length_mm": 152.4,
    "big_pad_x_mm": 190.4,
    "small_pad_x_mm": -18,
    "drop_big_g": 3,
    "drop_small_g": 1,
}


def test_two_pads_give_the_wanted_drops() -> None:
    answer = reckon(WANTED)
    assert answer["take_big_pad_g"] == pytest.approx(2.5393, abs=5e-5)
    assert answer["take_small_pad_g"] == pytest.approx(1.4607, abs=5e-5)


def test_a_negative_take_names_the_pad() -> None:
    with pytest.raises(BadValue) as refused:
        reckon({**WANTED, "drop_small_g": -2})
    assert refused.value.field == "take_small_pad_g"
    assert "small-end pad" in refused.value.message


@pytest.mark.parametrize("key", WANTED)
def test_it_names_a_missing_and_a_wrong_key(key: str) -> None:
    missing = {name: value for name, value in WANTED.items() if name != key}
    for data in (missing, {**WANTED, key: "NaN"}):
        with pytest.raises(BadValue) as refused:
            reckon(data)
        assert refused.value.field == key


def test_it_refuses_an_unknown_key() -> None:
    with pytest.raises(BadValue) as refused:
        reckon({**WANTED, "rod": 1})
    assert refused.value.field == "rod"
