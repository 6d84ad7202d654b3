"""DEVELOPERS.md holds the tables of attacks as the tests prove them."""

from __future__ import annotations

import pytest

from tests.faults.attack_table import PAGE, page_with_tables

pytestmark = pytest.mark.faults


def test_the_tables_in_the_page_are_those_that_the_tests_prove() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert page_with_tables(page) == page, "run python -m tests.faults.attack_table --write"
