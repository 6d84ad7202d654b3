"""Rows for tests, made straight by the ORM and entered in the ledger, so that verify passes.

Each builder writes one deed: its rows and one entry. What a test doesn't say gets a plain value of
an invented shop: Ines (P-01) weighs, Tomas (P-02) cuts, Ruth (P-03) releases, Marta (P-04)
manages, Orla (C-01) is a customer. Tests of actions call actions; this is for what must already
be there.
"""

from tests.records.factory.builds import (
    a_build,
    a_detail,
    a_part,
    a_spec,
    fitted,
    hung_in,
    noted,
    taken_out,
)
from tests.records.factory.papers import (
    a_card,
    a_finding,
    a_rating,
    a_ruling,
    answered,
    decided,
    issued,
    matched,
    put_in_state,
    released,
)
from tests.records.factory.scales import a_calibration, a_check_weight, a_scale, checked
from tests.records.factory.shop import (
    NAMES,
    QUESTIONS,
    START,
    a_customer,
    a_fixture,
    a_person,
    a_shop,
    entered,
    grams,
    stamp,
)
from tests.records.factory.weighings import corrected, cut, cut_taken_back, weighed

__all__ = [
    "NAMES",
    "QUESTIONS",
    "START",
    "a_build",
    "a_calibration",
    "a_card",
    "a_check_weight",
    "a_customer",
    "a_detail",
    "a_finding",
    "a_fixture",
    "a_part",
    "a_person",
    "a_rating",
    "a_ruling",
    "a_scale",
    "a_shop",
    "a_spec",
    "answered",
    "checked",
    "corrected",
    "cut",
    "cut_taken_back",
    "decided",
    "entered",
    "fitted",
    "grams",
    "hung_in",
    "issued",
    "matched",
    "noted",
    "put_in_state",
    "released",
    "stamp",
    "taken_out",
    "weighed",
]
