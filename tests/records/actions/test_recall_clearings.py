"""The end of a case: what the record must bear out, and what becomes of the certificate."""

from __future__ import annotations

from datetime import timedelta

import pytest

from records.actions.clock import SetClock
from records.actions.recall_clearings import clear_case
from records.domain.errors import BadValue, Code, Conflict, NotAllowed
from records.domain.practice.finding import FindingCode
from records.domain.practice.findings import findings_of
from records.management.demo import found_out, past
from records.management.demo.numbers import FINE
from records.models import CertificateState, Recall, RecallClearing
from records.queries.build_facts import facts_of
from tests.records.actions.bench import INES, MARTA, RUTH, last_entry, tables
from tests.records.actions.refusal import refused
from tests.records.recall_past import (  # noqa: F401 (fixtures)
    EARLY,
    FOUND,
    LATE,
    OPENED,
    WHOLLY,
    recall_and_clock,
)

Made = tuple[Recall, SetClock]


def end(made: Made, build: str, outcome: str, *, by: str = RUTH, reason: str = "looked at") -> None:
    row, clock = made
    clear_case(by=by, recall=row.pk, build=build, outcome=outcome, reason=reason, clock=clock)


def state(build: str) -> str:
    newest = CertificateState.objects.filter(release__build=build).latest("pk")
    return str(newest.state)


def recall_findings(build: str) -> list[str]:
    found = findings_of(facts_of(build), today=FOUND.date())
    return [one.text for one in found if one.code is FindingCode.SCALE_RECALLED]


class TestItRefuses:
    @pytest.mark.parametrize("person", [INES, MARTA])
    def test_anyone_but_an_inspector(
        self,
        recall_and_clock: Made,  # noqa: F811
        person: str,
    ) -> None:
        with refused(NotAllowed, Code.NOT_ALLOWED):
            end(recall_and_clock, WHOLLY[0], "cleared", by=person)

    def test_to_clear_what_flips(self, recall_and_clock: Made) -> None:  # noqa: F811
        with refused(Conflict, Code.CONFLICT, "outcome") as caught:
            end(recall_and_clock, LATE, "cleared")
        assert "1 of 24 decisions flip or can't be told" in caught.value.message

    def test_re_measured_before_anything_was(self, recall_and_clock: Made) -> None:  # noqa: F811
        with refused(Conflict, Code.CONFLICT, "outcome") as caught:
            end(recall_and_clock, EARLY, "re-measured")
        assert "weigh these again first: BB01, GB01" in caught.value.message

    def test_re_measured_where_the_sets_then_fail(
        self,
        recall_and_clock: Made,  # noqa: F811
    ) -> None:
        """The V6 on a good scale: 1.12 g between its sets, 1.0 g promised."""
        row, _ = recall_and_clock
        bench = past.bench_of(past.LATE, OPENED, FOUND + timedelta(days=1), FINE)
        bench.check_scale()
        past.weigh_apart(bench, past.LATE)
        with refused(Conflict, Code.CONFLICT, "outcome") as caught:
            end((row, bench.clock), LATE, "re-measured")
        assert "measured again, the sets don't match" in caught.value.message

    def test_replaced_before_a_later_revision(
        self,
        recall_and_clock: Made,  # noqa: F811
    ) -> None:
        with refused(Conflict, Code.CONFLICT, "outcome") as caught:
            end(recall_and_clock, LATE, "replaced")
        assert "revision 1 was not replaced yet" in caught.value.message

    def test_a_word_that_is_no_end(self, recall_and_clock: Made) -> None:  # noqa: F811
        with refused(BadValue, Code.BAD_VALUE, "outcome"):
            end(recall_and_clock, EARLY, "forgotten")

    def test_an_end_without_a_reason(self, recall_and_clock: Made) -> None:  # noqa: F811
        with refused(BadValue, Code.MISSING, "reason"):
            end(recall_and_clock, WHOLLY[0], "cleared", reason=" ")

    def test_a_build_that_has_no_case(self, recall_and_clock: Made) -> None:  # noqa: F811
        with refused(BadValue, Code.UNKNOWN_NUMBER, "build"):
            end(recall_and_clock, "26-999", "cleared")

    def test_a_second_end(self, recall_and_clock: Made) -> None:  # noqa: F811
        end(recall_and_clock, WHOLLY[0], "cleared")
        with refused(Conflict, Code.ALREADY_THERE):
            end(recall_and_clock, WHOLLY[0], "withdrawn")


class TestCleared:
    def test_the_certificate_stands_and_its_weighings_count_again(
        self,
        recall_and_clock: Made,  # noqa: F811
    ) -> None:
        build = WHOLLY[0]
        assert recall_findings(build)
        end(recall_and_clock, build, "cleared")
        assert state(build) == "stands"
        assert facts_of(build).recalled == {}
        assert recall_findings(build) == []
        assert tables(last_entry(f"build/{build}")) == ["recallclearing", "certificatestate"]

    def test_another_build_stays_in_doubt(self, recall_and_clock: Made) -> None:  # noqa: F811
        end(recall_and_clock, WHOLLY[0], "cleared")
        assert state(WHOLLY[1]) == "in doubt"
        assert len(facts_of(WHOLLY[1]).recalled) == 12


class TestReMeasured:
    def test_the_old_weighings_never_count_again(
        self,
        recall_and_clock: Made,  # noqa: F811
    ) -> None:
        row, _ = recall_and_clock
        found_out.measured_again(row, OPENED, FOUND + timedelta(days=1))
        assert state(EARLY) == "stands"
        assert len(facts_of(EARLY).recalled) == 11
        assert recall_findings(EARLY) == []


class TestReplaced:
    def test_the_end_names_the_revision_that_took_its_place(
        self,
        recall_and_clock: Made,  # noqa: F811
    ) -> None:
        row, _ = recall_and_clock
        found_out.replaced(row, OPENED, FOUND + timedelta(days=2))
        clearing = RecallClearing.objects.get(case__build=LATE)
        assert clearing.release is not None and clearing.release.revision == 2
        assert state(LATE) == "replaced"


def test_withdrawn_is_for_good(recall_and_clock: Made) -> None:  # noqa: F811
    end(recall_and_clock, LATE, "withdrawn", reason="the engine is gone")
    assert state(LATE) == "withdrawn"
    assert recall_findings(LATE)
