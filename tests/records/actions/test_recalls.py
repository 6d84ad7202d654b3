"""A scale recalled: refused, done once, taken up after a kill, followed for what came late."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from records.actions import recall_cases, recalls
from records.actions.clock import SetClock
from records.actions.reading import ReadingGiven
from records.actions.recalls import RECKON, FoundBy, look_again, recall, reckon_recall
from records.actions.scale_checks import Load, record_scale_check
from records.actions.weighings import WeighingGiven, record_weighing
from records.domain.errors import BadValue, Code, NotAllowed
from records.domain.practice.finding import FindingCode
from records.domain.practice.findings import findings_of
from records.domain.practice.judgement import judgement_of
from records.management.demo.found_out import CAUSE, CERTIFICATE
from records.models import (
    CertificateState,
    CustomerNotice,
    Finding,
    OutboxTask,
    Recall,
    RecallCase,
    RecallItem,
    TaskProgress,
)
from records.queries.build_facts import facts_of
from records.queries.scale_facts import facts_of_scales
from tests.records.actions.bench import INES, MARTA, RUTH, last_entry, tables
from tests.records.actions.refusal import refused
from tests.records.recall_past import (  # noqa: F401 (fixtures)
    FOUND,
    LATE,
    OPENED,
    past_shop,
    recall_and_clock,
)

BY_CALIBRATION = FoundBy(certificate=CERTIFICATE)
Made = tuple[Recall, SetClock]


def recalled(clock: SetClock, **changed: Any) -> Recall:
    given: dict[str, Any] = {"by": MARTA, "scale": "S-04", "cause": CAUSE, "clock": clock}
    return recall(**{**given, "found_by": BY_CALIBRATION, **changed})


class TestItRefuses:
    @pytest.mark.parametrize("person", [INES, RUTH])
    def test_anyone_but_a_manager(self, past_shop: SetClock, person: str) -> None:  # noqa: F811
        with refused(NotAllowed, Code.NOT_ALLOWED):
            recalled(past_shop, by=person)

    @pytest.mark.parametrize(
        "found_by",
        [
            FoundBy(),
            FoundBy(certificate=CERTIFICATE, check=1),
            FoundBy(certificate="C-none"),
            FoundBy(check=10**6),
        ],
    )
    def test_what_did_not_find_it_out(
        self,
        past_shop: SetClock,  # noqa: F811
        found_by: FoundBy,
    ) -> None:
        with refused(BadValue, Code.BAD_VALUE, "found_by"):
            recalled(past_shop, found_by=found_by)

    def test_a_check_that_passed(self, past_shop: SetClock) -> None:  # noqa: F811
        passed = facts_of_scales(["S-04"])["S-04"].checks[0]
        with refused(BadValue, Code.BAD_VALUE, "found_by"):
            recalled(past_shop, found_by=FoundBy(check=passed.id))

    def test_a_withdrawal_before_the_last_good_calibration(
        self,
        past_shop: SetClock,  # noqa: F811
    ) -> None:
        before = OPENED - timedelta(days=30)
        with refused(BadValue, Code.BAD_VALUE, "withdrawn_at"):
            recalled(past_shop, withdrawn_at=before)

    def test_a_withdrawal_in_the_future(self, past_shop: SetClock) -> None:  # noqa: F811
        with refused(BadValue, Code.IN_THE_FUTURE, "withdrawn_at"):
            recalled(past_shop, withdrawn_at=past_shop.at + timedelta(hours=1))

    @pytest.mark.parametrize(("cause", "code"), [(" ", Code.MISSING), ("x" * 401, Code.BAD_VALUE)])
    def test_no_cause_or_a_novel(
        self,
        past_shop: SetClock,  # noqa: F811
        cause: str,
        code: Code,
    ) -> None:
        with refused(BadValue, code, "cause"):
            recalled(past_shop, cause=cause)


class TestFromThisDeedOn:
    def test_what_lies_in_the_window_counts_no_more(self, past_shop: SetClock) -> None:  # noqa: F811
        recalled(past_shop)
        facts = facts_of(LATE)
        assert len(facts.recalled) == 31
        sets = judgement_of(facts, "set")
        assert any("S-04 was recalled" in text for text in sets.missing)
        codes = {found.code for found in findings_of(facts, today=FOUND.date())}
        assert FindingCode.SCALE_RECALLED in codes

    def test_the_entry_names_the_recall_and_the_task_waits(
        self,
        past_shop: SetClock,  # noqa: F811
    ) -> None:
        row = recalled(past_shop)
        entry = last_entry("scale/S-04")
        assert entry.envelope.kind == "scale recalled"
        assert tables(entry) == ["recall"]
        assert OutboxTask.objects.get(task=RECKON).key == str(row.pk)

    def test_the_same_recall_again_is_the_same_row(self, past_shop: SetClock) -> None:  # noqa: F811
        first = recalled(past_shop)
        again = recalled(past_shop, cause="told otherwise")
        assert again.pk == first.pk
        assert Recall.objects.count() == 1
        assert OutboxTask.objects.filter(task=RECKON).count() == 1


class TestReckoning:
    def test_run_twice_it_comes_to_the_same(self, recall_and_clock: Made) -> None:  # noqa: F811
        row, clock = recall_and_clock
        before = _all_rows()
        assert reckon_recall(recall=row.pk, clock=clock) == 5
        assert _all_rows() == before

    def test_killed_in_between_it_is_taken_up_again(
        self,
        past_shop: SetClock,  # noqa: F811
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        row = recalled(past_shop)
        written: list[str] = []

        def killed_at_the_third(*given: Any) -> bool:
            if len(written) == 2:
                raise KeyboardInterrupt
            written.append(given[1])
            return recall_cases.write_case(*given)

        with monkeypatch.context() as patch:
            patch.setattr(recalls, "write_case", killed_at_the_third)
            with pytest.raises(KeyboardInterrupt):
                reckon_recall(recall=row.pk, clock=past_shop)
        progress = TaskProgress.objects.get()
        assert (progress.done, progress.total, progress.finished_at) == (2, 5, None)
        assert reckon_recall(recall=row.pk, clock=past_shop) == 5
        progress.refresh_from_db()
        assert (progress.done, progress.total) == (5, 5)
        assert progress.finished_at is not None
        assert OutboxTask.objects.get(task=RECKON).done_at is not None

    def test_one_entry_a_build_names_case_items_finding_state_and_letter(
        self,
        recall_and_clock: Made,  # noqa: F811
    ) -> None:
        entry = last_entry(f"build/{LATE}")
        assert entry.envelope.kind == "recall reckoned"
        named = tables(entry)
        assert {t: named.count(t) for t in dict.fromkeys(named)} == {
            "finding": 1,
            "recallcase": 1,
            "recallitem": 24,  # 6 sets, 6 big ends, 6 whole rods, 6 bob weights
            "recallpart": 25,  # 5 pistons, 6 pins, 6 ring sets, 6 rods, locks and shells
            "certificatestate": 1,
            "customernotice": 1,
        }

    def test_it_goes_out_under_the_name_of_who_recalled(
        self,
        recall_and_clock: Made,  # noqa: F811
    ) -> None:
        assert {case.recorded_by_id for case in RecallCase.objects.all()} == {MARTA}

    def test_letters_bear_numbers_and_no_names(self, recall_and_clock: Made) -> None:  # noqa: F811
        for letter in CustomerNotice.objects.all():
            for name in ("Orla", "Black Reach", "Ines", "Ruth", "Marta"):
                assert name not in letter.body + letter.subject
            assert "whether an engine is safe to run it can't say" in letter.body


class TestWhatWasEnteredLate:
    def test_looking_again_changes_no_case_there_is(self, recall_and_clock: Made) -> None:  # noqa: F811
        row, clock = recall_and_clock
        earlier = _all_rows()
        task = look_again(by=MARTA, recall=row.pk, clock=clock)
        assert task.key == f"{row.pk}/1"
        assert reckon_recall(recall=row.pk, key=task.key, clock=clock) == 5
        task.refresh_from_db()
        assert task.done_at is not None
        assert _all_rows() == earlier

    def test_a_late_weighing_in_the_window_counts_for_nothing(
        self,
        recall_and_clock: Made,  # noqa: F811
    ) -> None:
        _, clock = recall_and_clock
        given = WeighingGiven(
            what="whole",
            part="PV02",
            scale="S-04",
            readings=[ReadingGiven("481.00"), ReadingGiven("481.00")],
            measured_at=OPENED + timedelta(days=94),
        )
        late = record_weighing(by=INES, build=LATE, given=given, clock=clock)
        assert late.pk in facts_of(LATE).recalled

    def test_only_a_manager_looks_again(self, recall_and_clock: Made) -> None:  # noqa: F811
        row, clock = recall_and_clock
        with refused(NotAllowed, Code.NOT_ALLOWED):
            look_again(by=INES, recall=row.pk, clock=clock)


class TestFoundOutByACheck:
    def test_a_failed_check_recalls_from_what_it_showed(
        self,
        past_shop: SetClock,  # noqa: F811
    ) -> None:
        """S-01 shows 499.70 g for 500 g: everything since its calibration is in doubt there."""
        check = record_scale_check(
            by=INES,
            scale="S-01",
            loads=[Load(["W-500"], ReadingGiven("499.70"))],
            clock=past_shop,
        )
        assert not check.passed
        row = recalled(past_shop, scale="S-01", found_by=FoundBy(check=check.pk))
        assert row.until == check.measured_at
        # its certificate has -0.01 g at 500 g, and the check found 0.29 g more
        ((load, error, _, _),) = row.points
        assert load == "500"
        assert float(error) == pytest.approx(-0.30, abs=0.001)


def _all_rows() -> dict[str, Any]:
    models = (Recall, RecallCase, RecallItem, Finding, CertificateState, CustomerNotice)
    return {
        model.__name__: list(model._default_manager.order_by("pk").values()) for model in models
    }
