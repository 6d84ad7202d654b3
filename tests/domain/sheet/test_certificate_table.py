"""A certificate's table as CSV: units in the header, rows by state, refusals at row and column."""

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from records.domain.errors import TarebookError
from records.domain.sheet.certificate_table import CertificateLine, read_certificate

REFUSED = Path(__file__).parents[2] / "data" / "certificate_csv_refused.json"


def line(load: str, error: str, U: str, k: str = "2") -> CertificateLine:
    return CertificateLine(Decimal(load), Decimal(error), Decimal(U), Decimal(k))


def test_it_reads_points_as_left_and_found_and_the_scatter() -> None:
    text = (
        "state,load_g,error_g,U_g,k,s_g\n"
        "as found,0,0,0.05,2,\n"
        "as found,2000,-0.3,0.1,2.1,\n"
        "\n"
        "as left,0,0,0.05,,\n"
        ",2000,0.1,0.1,2,\n"
        "repeatability,1000,,,,0.03\n"
    )
    table = read_certificate(text.encode())
    assert table.as_found == (line("0", "0", "0.05"), line("2000", "-0.3", "0.1", "2.1"))
    assert table.as_left == (line("0", "0", "0.05"), line("2000", "0.1", "0.1"))
    assert table.scatter == ((Decimal(1000), Decimal("0.03")),)


@pytest.mark.parametrize(
    "text",
    [
        "Load [kg];Error [mg];U [mg]\n0;0;50\n2;-100;80,5\n",
        "load_kg\terror_mg\tu_mg\n0\t0\t50\n2\t\N{MINUS SIGN}100\t80.5\n",
        "\ufeffload(kg),error(mg),U(mg)\r\n0,0,50\r\n2,-100,80.5\r\n",
    ],
)
def test_each_column_may_have_its_own_unit(text: str) -> None:
    table = read_certificate(text.encode())
    assert table.as_left == (line("0", "0", "0.05"), line("2000", "-0.1", "0.0805"))


@pytest.mark.parametrize("case", json.loads(REFUSED.read_text()), ids=lambda case: case["why"])
def test_it_refuses_at_row_and_column(case: dict[str, Any]) -> None:
    with pytest.raises(TarebookError) as refused:
        read_certificate(case["csv"].encode("latin-1" if case["why"] == "no UTF-8" else "utf-8"))
    assert (refused.value.code, refused.value.field) == (case["code"], case["field"])
    assert case["says"] in refused.value.message


def test_it_refuses_a_file_that_is_too_large() -> None:
    with pytest.raises(TarebookError, match="at most 65536 bytes"):
        read_certificate(b"load_g,error_g,U_g\n" + b"0,0,0.1\n" * 9000)
