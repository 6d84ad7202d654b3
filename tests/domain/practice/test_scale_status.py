"""A scale's standing at a moment: the words, why, and what alone makes a failed one fit again."""

from datetime import UTC, date, datetime

import pytest

from records.domain.errors import BadValue
from records.domain.practice.facts_of_scales import CheckFacts, ScaleEventFacts, ScaleFacts
from records.domain.practice.scale_status import status_at
from tests.domain.practice.sample import SHOP_ZONE, at, calibration, check, event, scale

FAILED = check(1, at(2, 8), passed=False)  # at its last load, 2000 g


def word(one: ScaleFacts, day: int = 3, hour: int = 12) -> str:
    return status_at(one, at(day, hour), SHOP_ZONE).word


def checked(*later: CheckFacts, events: tuple[ScaleEventFacts, ...] = ()) -> ScaleFacts:
    return scale(checks=(FAILED, *later), events=events)


class TestTheWords:
    def test_the_words(self) -> None:
        late = datetime(2027, 1, 16, 12, tzinfo=UTC)
        soon = datetime(2026, 12, 20, 12, tzinfo=UTC)
        checked = scale(checks=(check(1, at(2, 8)), check(2, soon)))
        assert status_at(scale(), at(2), SHOP_ZONE).word == "fit"
        assert status_at(checked, soon, SHOP_ZONE).word == "due soon"
        assert status_at(scale(), late, SHOP_ZONE).word == "overdue"
        assert status_at(scale(calibrations=()), at(2), SHOP_ZONE).word == "never calibrated"
        assert status_at(scale(), at(9), SHOP_ZONE).word == "not checked today"
        assert status_at(scale(), at(2, 7), SHOP_ZONE).word == "not checked today"

    def test_it_is_fit_through_the_day_it_is_due(self) -> None:
        last = datetime(2027, 1, 15, 12, tzinfo=UTC)
        assert status_at(scale(checks=(check(1, last),)), last, SHOP_ZONE).may_weigh

    def test_a_new_calibration_ends_a_failed_check(self) -> None:
        failed = check(1, at(2, 8), passed=False)
        mended = scale(
            checks=(failed,), calibrations=(calibration(1), calibration(2, date(2026, 3, 4)))
        )
        assert status_at(mended, at(4), SHOP_ZONE).word == "not checked today"

    def test_the_day_is_the_shops(self) -> None:
        # 06:30 UTC on 3 March is still 2 March in Honolulu
        far = scale(checks=(check(1, datetime(2026, 3, 2, 20, tzinfo=UTC)),))
        moment = datetime(2026, 3, 3, 6, 30, tzinfo=UTC)
        assert status_at(far, moment, "Pacific/Honolulu").word == "fit"
        assert status_at(far, moment, SHOP_ZONE).word == "not checked today"

    def test_it_refuses_a_zone_that_is_none(self) -> None:
        with pytest.raises(BadValue, match="a name such as Europe/London"):
            status_at(scale(), at(2), "Mars/Olympus")


class TestAFailedCheck:
    cause = event(1, "cause recorded", at(2, 10), check=1)

    def test_it_withdraws_and_says_at_which_load_to_repeat(self) -> None:
        status = status_at(checked(), at(2, 12), SHOP_ZONE)
        assert (status.word, status.may_weigh) == ("failed check", False)
        assert "record it, repeat the check at 2000 g until it passes" in status.reason

    def test_a_passed_repeat_alone_does_not_do(self) -> None:
        status = status_at(checked(check(2, at(3, 8))), at(3), SHOP_ZONE)
        assert status.word == "failed check"
        assert "it passed since, but nobody recorded the cause" in status.reason

    def test_a_cause_alone_does_not_do(self) -> None:
        status = status_at(checked(events=(self.cause,)), at(2, 12), SHOP_ZONE)
        assert status.word == "failed check"
        assert "the cause is recorded; repeat the check at 2000 g" in status.reason

    def test_both_do(self) -> None:
        assert word(checked(check(2, at(3, 8)), events=(self.cause,))) == "fit"

    def test_a_repeat_with_lighter_weights_does_not_do(self) -> None:
        light = check(2, at(3, 8), loads=(500, 1000))
        assert word(checked(light, events=(self.cause,))) == "failed check"

    def test_the_cause_of_an_older_failure_does_not_do(self) -> None:
        again = check(2, at(2, 18), passed=False)
        late = check(3, at(3, 8))
        assert word(checked(again, late, events=(self.cause,))) == "failed check"
        newer = event(2, "cause recorded", at(2, 19), check=2)
        assert word(checked(again, late, events=(newer,))) == "fit"

    def test_a_return_to_use_does_not_do(self) -> None:
        talk = (event(1, "withdrawn", at(2, 9)), event(2, "returned to use", at(2, 10)))
        assert word(checked(check(2, at(3, 8)), events=talk)) == "failed check"


class TestEvents:
    def test_a_withdrawn_scale_says_why_until_it_is_returned(self) -> None:
        out = event(1, "withdrawn", at(2, 9), reason="dropped")
        back = event(2, "returned to use", at(3, 8))
        status = status_at(scale(events=(out,)), at(3), SHOP_ZONE)
        assert status.word == "withdrawn"
        assert "withdrawn on 2026-03-02: dropped" in status.reason
        checks = (check(1, at(2, 8)), check(2, at(3, 8, 30)))
        assert word(scale(checks=checks, events=(out, back))) == "fit"

    def test_a_returned_scale_is_checked_first(self) -> None:
        events = (event(1, "withdrawn", at(3, 9)), event(2, "returned to use", at(3, 10)))
        assert word(scale(events=events)) == "not checked today"

    @pytest.mark.parametrize("kind", ["adjusted", "repaired"])
    def test_what_was_changed_waits_for_a_new_calibration(self, kind: str) -> None:
        changed = (event(1, kind, at(2, 17)),)
        status = status_at(scale(events=changed), at(3), SHOP_ZONE)
        assert status.word == "withdrawn"
        assert f"was {kind} on 2026-03-02, after its calibration" in status.reason
        new = (calibration(1), calibration(2, date(2026, 3, 3)))
        assert word(scale(events=changed, calibrations=new)) == "fit"

    def test_an_adjustment_on_the_day_is_covered_by_a_certificate_that_knows_of_it(self) -> None:
        changed = (event(1, "adjusted", at(3, 7)),)
        for given, expected in (
            ({"adjusted": True}, "fit"),
            ({"recorded_at": at(9)}, "fit"),
            ({"recorded_at": at(3, 6)}, "withdrawn"),
        ):
            same = calibration(2, date(2026, 3, 3), **given)
            assert word(scale(events=changed, calibrations=(calibration(1), same))) == expected
