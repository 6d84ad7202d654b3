"""Masses come back from either database as they were written."""

from decimal import Decimal

import pytest
from django.db import connection, models
from hypothesis import given
from hypothesis import strategies as st

from records.models.exact import ExactDecimalField

FIELD = ExactDecimalField(max_digits=20, decimal_places=13)
masses = st.decimals(min_value=-9_999_999, max_value=9_999_999, places=13)


def _through_sqlite(value: Decimal) -> Decimal | None:
    stored = FIELD.get_db_prep_value(value, connection)
    return FIELD.from_db_value(stored, None, connection)


@pytest.fixture(autouse=True)
def _on_sqlite() -> None:
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL keeps an exact numeric of its own")


@given(masses)
def test_a_mass_reads_back_exactly(mass: Decimal) -> None:
    assert _through_sqlite(mass) == mass


def test_the_ounces_of_one_kilogram_read_back_exactly() -> None:
    # 35.275 oz at 28.349523125 g (a pound is 453.59237 g exactly): 16 digits
    grams = Decimal("35.275") * Decimal("28.349523125")
    assert grams == Decimal("1000.029428234375")
    assert _through_sqlite(grams) == grams


@given(st.tuples(masses, masses))
def test_what_is_stored_sorts_as_the_masses_do_from_zero_up(pair: tuple[Decimal, Decimal]) -> None:
    lighter, heavier = sorted(map(abs, pair))
    texts = [FIELD.get_db_prep_value(mass, connection) for mass in (lighter, heavier)]
    assert texts == sorted(texts)


@given(masses)
def test_comparisons_with_zero_hold_for_all(mass: Decimal) -> None:
    zero = FIELD.get_db_prep_value(0, connection)
    stored = FIELD.get_db_prep_value(mass, connection)
    assert (stored > zero) == (mass > 0)
    assert (stored < zero) == (mass < 0)


def test_the_column_is_no_number_on_sqlite_and_expressions_pass() -> None:
    assert FIELD.db_type(connection) == "text"
    other = models.Value(1)
    assert FIELD.get_db_prep_save(other, connection) is other
    assert FIELD.get_db_prep_value(None, connection) is None
