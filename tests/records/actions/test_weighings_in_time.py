"""Weighings late, ahead of time, and taken back."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from records.actions.reading import ReadingGiven
from records.actions.weighings import WeighingGiven, correct_weighing, record_weighing
from records.domain.errors import BadValue, Code, Conflict
from records.models import Weighing, WeighingCorrection
from records.queries.build_facts import facts_of
from tests.records.actions.bench import (
    BUILD,
    INES,
    OTHER_SCALE,
    RUTH,
    SCALE,
    STREAM,
    Shop,
    last_entry,
    tables,
)
from tests.records.actions.refusal import refused


class TestTime:
    def test_five_minutes_ahead_is_still_now(self, shop: Shop) -> None:
        ahead = shop.clock.now() + timedelta(minutes=6)  # the clock moves on by one
        row = shop.weigh("K1", "450.0", measured_at=ahead)
        assert not row.ahead

    def test_more_than_five_minutes_ahead_is_refused(self, shop: Shop) -> None:
        ahead = shop.clock.now() + timedelta(minutes=6, seconds=1)
        with refused(BadValue, Code.IN_THE_FUTURE, "measured_at"):
            shop.weigh("K1", "450.0", measured_at=ahead)

    def test_a_queued_tablet_reading_still_ahead_is_kept_and_marked(self, shop: Shop) -> None:
        ahead = shop.clock.now() + timedelta(minutes=20)
        row = shop.weigh("K1", "450.0", measured_at=ahead, source="tablet", device_time=ahead)
        assert row.ahead
        assert next(w for w in facts_of(BUILD).weighings if w.id == row.pk).ahead

    @pytest.mark.parametrize("key", ["measured_at", "device_time"])
    def test_a_time_without_its_zone_is_refused(self, key: str, shop: Shop) -> None:
        naive: dict[str, Any] = {key: shop.clock.now().replace(tzinfo=None)}
        with refused(BadValue, Code.BAD_VALUE, key):
            shop.weigh("K1", "450.0", source="tablet", **naive)

    def test_a_readings_time_without_its_zone_is_refused(self, shop: Shop) -> None:
        reading = ReadingGiven("450.0", read_at=shop.clock.now().replace(tzinfo=None))
        given = WeighingGiven(what="whole", part="K1", scale=SCALE, readings=[reading])
        with refused(BadValue, Code.BAD_VALUE, "readings/0/read_at"):
            record_weighing(by=INES, build=BUILD, given=given, clock=shop.clock)


class TestACorrection:
    def _correct(self, shop: Shop, row: Weighing, **more: Any) -> WeighingCorrection:
        given = {"by": INES, "reason": "wrong part on the pan"} | more
        return correct_weighing(build=BUILD, weighing=row.pk, clock=shop.clock, **given)

    def _right(self, **more: Any) -> WeighingGiven:
        told = {"what": "whole", "part": "K1", "scale": SCALE} | more
        return WeighingGiven(readings=[ReadingGiven("451.0")], **told)

    def test_it_names_the_wrong_one_and_why_and_puts_the_right_one_in(self, shop: Shop) -> None:
        wrong = shop.weigh("K1", "540.0")
        correction = self._correct(shop, wrong, given=self._right())
        assert correction.right is not None
        assert [w.id for w in facts_of(BUILD).weighings] == [correction.right.pk]
        assert tables(last_entry(STREAM)) == ["weighing", "reading", "weighingcorrection"]

    def test_one_may_be_taken_back_with_nothing_in_its_place(self, shop: Shop) -> None:
        correction = self._correct(shop, shop.weigh("K1", "540.0"))
        assert correction.right is None
        assert facts_of(BUILD).weighings == ()

    def test_an_inspector_may_take_one_back_but_not_weigh(self, shop: Shop) -> None:
        wrong = shop.weigh("K1", "540.0")
        self._correct(shop, wrong, by=RUTH)
        assert WeighingCorrection.objects.get().recorded_by_id == RUTH

    def test_the_right_one_may_have_been_on_the_other_scale_then(self, shop: Shop) -> None:
        wrong = shop.weigh("K1", "451.0")
        given = self._right(scale=OTHER_SCALE, measured_at=wrong.measured_at)
        self._correct(shop, wrong, given=given)
        assert Weighing.objects.count() == 2

    def test_it_is_refused_a_second_time(self, shop: Shop) -> None:
        wrong = shop.weigh("K1", "540.0")
        self._correct(shop, wrong)
        with refused(Conflict, Code.CONFLICT):
            self._correct(shop, wrong)

    def test_it_is_refused_without_a_reason(self, shop: Shop) -> None:
        wrong = shop.weigh("K1", "540.0")
        with refused(BadValue, Code.MISSING, "reason"):
            self._correct(shop, wrong, reason="  \n ")

    def test_a_bad_right_one_leaves_the_wrong_one_standing(self, shop: Shop) -> None:
        wrong = shop.weigh("K1", "540.0")
        with refused(BadValue, Code.UNKNOWN_NUMBER, "scale"):
            self._correct(shop, wrong, given=self._right(scale="S-99"))

    def test_it_is_refused_while_the_weighing_encloses_a_removal(self, shop: Shop) -> None:
        before = shop.weigh("K1", "450.0")
        shop.open_cut("K1", "skirt-inside-edge", "die grinder", "all round")
        with refused(Conflict, Code.CONFLICT):
            self._correct(shop, before)
