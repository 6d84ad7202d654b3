"""A check weight found out: the scales that it had let pass are recalled, and no other."""

from __future__ import annotations

from decimal import Decimal

import pytest

from records.actions.clock import SetClock
from records.actions.recall_weights import recall_check_weight
from records.actions.recalls import reckon_recall
from records.domain.errors import BadValue, Code, NotAllowed
from records.models import Recall, RecallCase
from tests.records.actions.bench import INES, MARTA
from tests.records.actions.refusal import refused, written
from tests.records.recall_past import EARLY, LATE, past_shop  # noqa: F401 (a fixture)

CAUSE = "as found it weighs 500.3 g"


def test_the_scales_it_let_pass_are_recalled(past_shop: SetClock) -> None:  # noqa: F811
    """W-500 was put on S-01, where two pistons were weighed, and on S-02, where nothing was."""
    row, other = recall_check_weight(
        by=MARTA, weight="W-500", heavier_g=Decimal("0.3"), cause=CAUSE, clock=past_shop
    )
    assert (row.scale_id, row.check_weight_id, row.calibration_id) == ("S-01", "W-500", None)
    assert other.scale_id == "S-02"
    assert reckon_recall(recall=other.pk, clock=past_shop) == 0
    reckon_recall(recall=row.pk, clock=past_shop)
    cases = {case.build_id: case for case in RecallCase.objects.all()}
    assert set(cases) == {EARLY, LATE}
    assert {case.weighings for case in cases.values()} == {1}
    # the check tells of 500 g and above only, and the pistons weigh 480 g
    assert {case.outcome for case in cases.values()} == {"can't be told"}


def test_told_twice_it_is_the_same_recall(past_shop: SetClock) -> None:  # noqa: F811
    given = {"by": MARTA, "weight": "W-500", "heavier_g": Decimal("0.3"), "cause": CAUSE}
    first = recall_check_weight(**given, clock=past_shop)  # type: ignore[arg-type]
    again = recall_check_weight(**given, clock=past_shop)  # type: ignore[arg-type]
    assert [row.pk for row in first] == [row.pk for row in again]
    assert Recall.objects.count() == 2


@pytest.mark.parametrize(("weight", "heavier"), [("W-500", "0.005"), ("W-1000", "0.01")])
def test_where_every_check_still_passes_nothing_is_written(
    past_shop: SetClock,  # noqa: F811
    weight: str,
    heavier: str,
) -> None:
    before = written()
    assert (
        recall_check_weight(
            by=MARTA, weight=weight, heavier_g=Decimal(heavier), cause=CAUSE, clock=past_shop
        )
        == []
    )
    assert written() == before


class TestItRefuses:
    def test_anyone_but_a_manager(self, past_shop: SetClock) -> None:  # noqa: F811
        with refused(NotAllowed, Code.NOT_ALLOWED):
            recall_check_weight(
                by=INES, weight="W-500", heavier_g=Decimal(1), cause=CAUSE, clock=past_shop
            )

    @pytest.mark.parametrize(
        ("changed", "code", "field"),
        [
            ({"weight": "W-9"}, Code.UNKNOWN_NUMBER, "weight"),
            ({"heavier_g": Decimal(0)}, Code.BAD_VALUE, "heavier_g"),
            ({"heavier_g": Decimal("NaN")}, Code.OUT_OF_RANGE, "heavier_g"),
            ({"cause": ""}, Code.MISSING, "cause"),
        ],
    )
    def test_what_says_nothing(
        self,
        past_shop: SetClock,  # noqa: F811
        changed: dict[str, object],
        code: Code,
        field: str,
    ) -> None:
        given: dict[str, object] = {
            "by": MARTA,
            "weight": "W-500",
            "heavier_g": Decimal("0.3"),
            "cause": CAUSE,
            "clock": past_shop,
        }
        with refused(BadValue, code, field):
            recall_check_weight(**given | changed)  # type: ignore[arg-type]
