"""What anyone who holds a paper may know."""

import hashlib

import pytest

from tests.api.caller import Caller
from tests.records import factory

PAPER = b"%PDF-1.7 of a test"


NUMBER, CODE = "FLB-26-0001", "7QK2M9XA"


@pytest.fixture(autouse=True)
def release(shop: None) -> None:
    made = factory.released(factory.a_build("B-1"), number=NUMBER, check_code=CODE)
    factory.issued(made, pdf=PAPER)


class TestByNumberAndCode:
    def test_it_says_what_became_of_it_and_names_nobody(self) -> None:
        state = Caller().seen("public/certificates", number=NUMBER, code=CODE.lower())
        assert set(state) == {"state", "number", "revision", "released_on", "replaced_by", "demo"}
        assert state["state"] == "genuine"

    def test_a_wrong_code_is_answered_like_a_wrong_number(self) -> None:
        wrong_code = Caller().get("public/certificates", number=NUMBER, code="00000000")
        wrong_number = Caller().get("public/certificates", number="C1999-00001", code=CODE)
        assert wrong_code.status_code == wrong_number.status_code == 404
        assert wrong_code.content.decode().replace(NUMBER, "…") == (
            wrong_number.content.decode().replace("C1999-00001", "…")
        )

    def test_guessing_is_throttled(self) -> None:
        codes = [
            Caller().get("public/certificates", number="C1", code=f"{turn:08d}").status_code
            for turn in range(61)
        ]
        assert codes == [404] * 60 + [429]


class TestByTheFile:
    def test_the_hash_of_the_file_finds_it(self) -> None:
        sha256 = hashlib.sha256(PAPER).hexdigest()
        assert Caller().seen(f"public/certificates/by-sha256/{sha256}")["state"] == "genuine"

    def test_another_hash_finds_nothing(self) -> None:
        sha256 = hashlib.sha256(PAPER + b" ").hexdigest()
        assert Caller().get(f"public/certificates/by-sha256/{sha256}").status_code == 404
