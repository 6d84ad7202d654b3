"""One key, one deed: whatever is sent twice, one after the other or at once."""

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection

from api.models import IdempotencyKey
from records.models import Customer
from records.queries.verification import verify_record
from tests.api.caller import PASSWORDS, Caller, NothingWritten, open_the_shop, signed_in

GIVEN = {"number": "C-09", "name": "Black Reach Boats"}


class TestTheSameRequestTwice:
    def test_it_is_done_once_and_answered_the_same(self, ines: Caller) -> None:
        first = ines.post("customers", GIVEN, key="k1")
        with NothingWritten():
            second = ines.post("customers", GIVEN, key='"k1"')  # as a structured-field string
        assert (first.status_code, second.status_code) == (201, 201)
        assert first.json() == second.json()
        assert second["Idempotency-Replayed"] == "true"
        assert "Idempotency-Replayed" not in first
        assert Customer.objects.filter(number="C-09").count() == 1

    def test_the_order_of_the_keys_makes_no_other_request(self, ines: Caller) -> None:
        ines.done("customers", GIVEN, key="k1")
        again = ines.post("customers", dict(reversed(GIVEN.items())), key="k1")
        assert again.status_code == 201

    def test_another_body_under_the_key_is_refused(self, ines: Caller) -> None:
        ines.done("customers", GIVEN, key="k1")
        with NothingWritten():
            answer = ines.post("customers", {**GIVEN, "number": "C-10"}, key="k1")
        assert (answer.status_code, answer.json()["code"]) == (422, "key_reused")

    def test_another_address_under_the_key_is_refused(self, ines: Caller) -> None:
        ines.done("customers", GIVEN, key="k1")
        with NothingWritten():
            answer = ines.post("builds", GIVEN, key="k1")
        assert (answer.status_code, answer.json()["code"]) == (422, "key_reused")

    def test_a_key_is_ones_own(self, ines: Caller, marta: Caller) -> None:
        ines.done("customers", GIVEN, key="k1")
        answer = marta.done("customers", {**GIVEN, "number": "C-10"}, key="k1")
        assert answer["recorded_by"] == "P-04"

    def test_after_thirty_days_a_key_is_new_again(self, ines: Caller) -> None:
        ines.done("customers", GIVEN, key="k1")
        IdempotencyKey.objects.update(created_at=datetime.now(UTC) - timedelta(days=31))
        answer = ines.done("customers", {**GIVEN, "number": "C-10"}, key="k1")
        assert answer["id"] == "C-10"


class TestWithoutAKey:
    @pytest.mark.parametrize("key", [None, "", '""', "x" * 81])
    def test_nothing_is_recorded(self, ines: Caller, key: str | None) -> None:
        headers = {} if key is None else {"Idempotency-Key": key}
        with NothingWritten():
            answer = ines.client.post("/api/v1/customers", GIVEN, headers=headers)
        assert (answer.status_code, answer.json()["code"]) == (400, "key_missing")

    def test_a_reckoning_needs_none(self, ines: Caller) -> None:
        asked = {"value": "1", "from": "oz", "to": "g"}
        answer = ines.client.post("/api/v1/reckon/convert", asked)
        assert answer.status_code == 200
        # 1 oz avoirdupois = 28.349523125 g exactly (NIST SP 811, B.8)
        assert answer.json()["value"] == "28.349523125"


class TestAnError:
    def test_it_is_not_kept_so_that_the_key_serves_the_corrected_request(
        self, ines: Caller
    ) -> None:
        wrong = {"number": "C-01", "name": "taken"}
        with NothingWritten():
            assert ines.post("customers", wrong, key="k1").status_code == 409
        assert not IdempotencyKey.objects.exists()
        assert ines.post("customers", GIVEN, key="k1").status_code == 201

    def test_no_password_is_kept_with_the_key(self, ruth: Caller, ines: Caller) -> None:
        ines.done("builds", {"number": "B-1", "engine": "x", "layout": "i4", "use": "street"})
        answer = ruth.post("builds/B-1/release", {"password": PASSWORDS["ruth"]}, key="k1")
        assert answer.status_code in (409, 422)
        assert not IdempotencyKey.objects.filter(key="k1").exists()


@pytest.mark.django_db(transaction=True)
def test_two_at_once_are_done_once_and_both_get_the_answer() -> None:
    open_the_shop()
    token = signed_in("ines").token

    def send(_: int) -> Any:
        try:
            answer = Caller(token).post("customers", GIVEN, key="k1")
            return answer.status_code, answer.json()
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as both:
        answers = list(both.map(send, range(2)))
    assert answers[0] == answers[1]
    assert answers[0][0] == 201
    assert Customer.objects.filter(number="C-09").count() == 1
    assert verify_record().stands
