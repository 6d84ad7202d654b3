"""A recall over the JSON front: what a program sees and sends of the V6's story."""

from __future__ import annotations

import csv
import io
from typing import Any

import pytest

from records.actions.clock import SetClock
from records.management.demo.found_out import CAUSE, CERTIFICATE
from records.models import Recall, RecallClearing
from tests.api.caller import Caller, NothingWritten
from tests.records.recall_past import (  # noqa: F401 (fixtures)
    EARLY,
    LATE,
    WHOLLY,
    past_shop,
    recall_and_clock,
)

GIVEN = {"scale": "S-04", "certificate": CERTIFICATE, "cause": CAUSE}
PASSWORD = "a long one for tests 26"


def caller(name: str) -> Caller:
    answer = Caller().post("sign-in", {"username": name, "password": PASSWORD})
    assert answer.status_code == 201, answer.json()
    return Caller(answer.json()["key"])


@pytest.fixture
def recall(recall_and_clock: tuple[Recall, SetClock]) -> Recall:  # noqa: F811
    return recall_and_clock[0]


def told(recall: Recall, name: str = "marta") -> dict[str, Any]:
    seen: dict[str, Any] = caller(name).seen(f"recalls/{recall.pk}")
    return seen


class TestRecalling:
    def test_a_manager_recalls_and_it_is_followed_in_the_background(
        self,
        past_shop: SetClock,  # noqa: F811
        django_capture_on_commit_callbacks: Any,
    ) -> None:
        marta = caller("marta")
        with django_capture_on_commit_callbacks(execute=True):
            answer = marta.done("recalls", GIVEN)
        assert answer["receipt"]["stream"] == "scale/S-04"
        seen = marta.seen(f"recalls/{answer['id']}")
        assert seen["progress"] == {"done": 5, "total": 5, "finished": True, "error": ""}
        assert [case["build"] for case in seen["cases"]] == [EARLY, LATE, *WHOLLY]

    @pytest.mark.parametrize("name", ["ines", "ruth", "orla"])
    def test_nobody_else_does(self, past_shop: SetClock, name: str) -> None:  # noqa: F811
        someone = caller(name)
        with NothingWritten():
            assert someone.post("recalls", GIVEN).status_code == 403

    def test_what_found_it_out_must_be_on_record(self, past_shop: SetClock) -> None:  # noqa: F811
        marta = caller("marta")
        with NothingWritten():
            answer = marta.post("recalls", GIVEN | {"certificate": "C-none"})
        assert answer.status_code == 422
        assert answer.json()["errors"][0]["pointer"] == "#/found_by"


def test_a_check_weight_recalls_the_scales_that_it_let_pass(
    past_shop: SetClock,  # noqa: F811
) -> None:
    given = {"weight": "W-500", "heavier_g": "0.3", "cause": "as found it weighs 500.3 g"}
    answer = caller("marta").done("recalls/check-weights", given)
    assert [Recall.objects.get(pk=id).scale_id for id in answer["recalls"]] == ["S-01", "S-02"]
    small = {**given, "heavier_g": "0.001"}
    assert caller("marta").done("recalls/check-weights", small) == {"recalls": []}


class TestLooking:
    def test_each_decision_is_told_before_and_after(self, recall: Recall) -> None:
        case = next(case for case in told(recall)["cases"] if case["build"] == LATE)
        item = next(i for i in case["items"] if (i["kind"], i["place"]) == ("set", 2))
        assert (item["before_verdict"], item["after_verdict"]) == ("pass", "fail")
        assert item["outcome"] == "flips"
        assert case["state"] == "in doubt"
        assert case["notice"]["customer"] == "K-01"

    def test_a_customer_sees_none_of_it(self, recall: Recall) -> None:
        orla = caller("orla")
        for path in ("recalls", f"recalls/{recall.pk}", f"recalls/{recall.pk}/report"):
            assert orla.get(path).status_code == 403

    def test_the_report_comes_as_paper_and_as_rows(self, recall: Recall) -> None:
        marta = caller("marta")
        assert marta.get(f"recalls/{recall.pk}/report").content.startswith(b"%PDF-")
        text = marta.get(f"recalls/{recall.pk}/rows").content.decode()
        rows = list(csv.DictReader(io.StringIO(text)))
        flips = [row for row in rows if row["outcome"] == "flips"]
        assert {(row["build"], row["decision"], row["place or pin"]) for row in flips} == {
            (EARLY, "set", "2"),
            (LATE, "set", "2"),
        }

    def test_one_that_is_not_there_is_a_404(self, recall: Recall) -> None:
        assert caller("marta").get(f"recalls/{recall.pk + 1}").status_code == 404


class TestEnding:
    def test_an_inspector_clears_what_stands(self, recall: Recall) -> None:
        end = {"outcome": "cleared", "reason": "all on one scale on one day"}
        answer = caller("ruth").done(f"recalls/{recall.pk}/cases/{WHOLLY[0]}/end", end)
        assert answer["outcome"] == "cleared"
        (case,) = [c for c in told(recall)["cases"] if c["build"] == WHOLLY[0]]
        assert (case["state"], case["end"]["by"]) == ("stands", "P-04")

    @pytest.mark.parametrize(("name", "status"), [("marta", 403), ("ines", 403), ("ruth", 409)])
    def test_what_flips_is_not_cleared_by_a_word(
        self, recall: Recall, name: str, status: int
    ) -> None:
        someone = caller(name)
        end = {"outcome": "cleared", "reason": "it will do"}
        with NothingWritten():
            answer = someone.post(f"recalls/{recall.pk}/cases/{LATE}/end", end)
        assert answer.status_code == status
        assert not RecallClearing.objects.exists()
