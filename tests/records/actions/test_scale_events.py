"""What happens to a scale, recorded: and that no word alone makes one fit."""

from __future__ import annotations

from datetime import timedelta

import pytest

from records.actions.scale_events import record_scale_event
from records.domain.errors import BadValue, Code, Conflict, NotAllowed
from records.models import ScaleEvent
from records.queries.build_facts import facts_of
from records.queries.scales import scale_page
from records.queries.weighing_warnings import warnings_of_weighing
from tests.records.actions.bench import (
    BUILD,
    INES,
    MARTA,
    OTHER_SCALE,
    SCALE,
    VERA,
    Shop,
    calibrate,
    last_entry,
    tables,
)
from tests.records.actions.refusal import refused

FAILING = ("500.0", "1000.0", "2001.0")


def happens(shop: Shop, kind: str, *, by: str = MARTA, **more: object) -> ScaleEvent:
    told = {"reason": "a draught from the door"} | more
    shop.clock.forward(minutes=1)
    return record_scale_event(by=by, scale=SCALE, kind=kind, clock=shop.clock, **told)  # type: ignore[arg-type]


def word(shop: Shop) -> str:
    return scale_page(SCALE, shop.clock.now()).scale.word


def test_a_failed_check_needs_its_cause_and_a_repeat_by_whoever_did_it(equipped: Shop) -> None:
    failed = equipped.check(*FAILING)
    assert (failed.passed, word(equipped)) == (False, "failed check")
    equipped.check()
    assert word(equipped) == "failed check"
    happens(equipped, "cause recorded", by=INES, check=failed.pk)
    assert word(equipped) == "fit"


def test_a_new_calibration_does_instead(equipped: Shop) -> None:
    equipped.check(*FAILING)
    equipped.clock.forward(days=1)
    today = equipped.clock.now().date()
    calibrate(equipped.clock, SCALE, "CAL-2", calibrated_on=today, due_on=today.replace(year=2027))
    equipped.check()
    assert word(equipped) == "fit"


def test_it_writes_one_entry_in_the_scales_stream(equipped: Shop) -> None:
    happens(equipped, "withdrawn", by=INES)
    entry = last_entry(f"scale/{SCALE}")
    assert (entry.envelope.kind, tables(entry)) == ("scale withdrawn", ["scaleevent"])


def test_weighings_on_a_withdrawn_scale_are_recorded_but_do_not_count(shop: Shop) -> None:
    shop.check()
    happens(shop, "withdrawn", by=INES)
    weighing = shop.weigh("K1", "450.0", "450.0")
    told = warnings_of_weighing(BUILD, weighing.pk)
    assert any("does not count: scale S-02 was withdrawn on 2026-03-02" in one for one in told)
    assert facts_of(BUILD).scales[SCALE].events[0].kind == "withdrawn"


class TestRefused:
    def test_a_technician_stops_a_scale_but_brings_none_back(self, equipped: Shop) -> None:
        happens(equipped, "withdrawn", by=INES)
        for kind in ("returned to use", "adjusted", "repaired"):
            with refused(NotAllowed, Code.NOT_ALLOWED):
                happens(equipped, kind, by=INES)
        with refused(NotAllowed, Code.NOT_ALLOWED):
            happens(equipped, "cause recorded", by=VERA)

    def test_a_return_that_changes_nothing(self, equipped: Shop) -> None:
        with refused(Conflict, Code.CONFLICT, "kind"):
            happens(equipped, "returned to use")

    def test_a_withdrawal_of_what_is_out_of_use(self, equipped: Shop) -> None:
        happens(equipped, "withdrawn")
        with refused(Conflict, Code.CONFLICT, "kind"):
            happens(equipped, "withdrawn")

    def test_a_withdrawal_before_one_on_record(self, equipped: Shop) -> None:
        happens(equipped, "withdrawn")
        earlier = equipped.clock.now() - timedelta(hours=2)
        with refused(Conflict, Code.CONFLICT, "kind"):
            happens(equipped, "withdrawn", happened_at=earlier)

    def test_a_cause_of_a_passed_check_or_of_another_scales(self, equipped: Shop) -> None:
        passed = equipped.check()
        other = equipped.check(*FAILING, scale=OTHER_SCALE)
        for check in (passed.pk, other.pk):
            with refused(BadValue, Code.BAD_VALUE, "check"):
                happens(equipped, "cause recorded", check=check)

    def test_a_cause_of_no_check(self, equipped: Shop) -> None:
        for check in (None, 999):
            with refused(BadValue, Code.UNKNOWN_NUMBER, "check"):
                happens(equipped, "cause recorded", check=check)

    def test_a_second_cause(self, equipped: Shop) -> None:
        failed = equipped.check(*FAILING)
        happens(equipped, "cause recorded", check=failed.pk)
        with refused(Conflict, Code.ALREADY_THERE, "check"):
            happens(equipped, "cause recorded", check=failed.pk)

    def test_a_check_named_where_none_belongs(self, equipped: Shop) -> None:
        failed = equipped.check(*FAILING)
        with refused(BadValue, Code.BAD_VALUE, "check"):
            happens(equipped, "repaired", check=failed.pk)

    @pytest.mark.parametrize(("kind", "reason"), [("mended", "x"), ("repaired", " ")])
    def test_a_word_unknown_and_a_reason_missing(
        self, equipped: Shop, kind: str, reason: str
    ) -> None:
        code = Code.MISSING if kind == "repaired" else Code.BAD_VALUE
        with refused(BadValue, code):
            happens(equipped, kind, reason=reason)

    def test_a_time_ahead(self, equipped: Shop) -> None:
        with refused(BadValue, Code.IN_THE_FUTURE, "happened_at"):
            happens(equipped, "repaired", happened_at=equipped.clock.now() + timedelta(hours=1))

    def test_a_return_told_backwards(self, equipped: Shop) -> None:
        happens(equipped, "withdrawn")
        with refused(BadValue, Code.BAD_VALUE, "happened_at"):
            before = equipped.clock.now() - timedelta(hours=1)
            happens(equipped, "returned to use", happened_at=before)
