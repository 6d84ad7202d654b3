"""Signing in and out, and tokens."""

from datetime import UTC, datetime, timedelta

import pytest

from records.models import Token, User
from tests.api.caller import PASSWORDS, Caller, signed_in


class TestSigningIn:
    def test_it_shows_a_key_that_is_kept_as_a_hash_only(self, shop: None) -> None:
        given = {"username": "ines", "password": PASSWORDS["ines"]}
        answer = Caller().post("sign-in", given)
        assert answer.status_code == 201
        token = answer.json()
        assert token["scopes"] == ["read", "record", "release"]
        assert (token["person"], token["roles"]) == ("P-01", ["technician"])
        assert token["key"] not in str(Token.objects.values().get())
        assert Caller(token["key"]).get("builds").status_code == 200

    def test_it_lasts_one_shift(self, shop: None) -> None:
        before = datetime.now(UTC)
        signed_in("ines")
        expires = Token.objects.get().expires_at
        assert timedelta(hours=12) <= expires - before < timedelta(hours=12, minutes=1)

    @pytest.mark.parametrize(
        ("username", "password"),
        [
            ("ines", "not hers at all, not at all"),
            ("nobody", PASSWORDS["ines"]),
            ("ines", " " + PASSWORDS["ines"]),
        ],
    )
    def test_it_answers_the_same_for_a_wrong_password_and_an_unknown_name(
        self, shop: None, username: str, password: str
    ) -> None:
        answer = Caller().post("sign-in", {"username": username, "password": password})
        assert answer.status_code == 401
        assert answer["Content-Type"] == "application/problem+json"
        assert answer["WWW-Authenticate"].startswith("Bearer")
        assert answer.json()["code"] == "not_signed_in"
        assert answer.json()["detail"] == "this name and password don't go together"
        assert not Token.objects.exists()

    def test_it_refuses_a_closed_account_with_the_same_answer(self, shop: None) -> None:
        User.objects.filter(username="ines").update(is_active=False)
        answer = Caller().post("sign-in", {"username": "ines", "password": PASSWORDS["ines"]})
        assert answer.status_code == 401
        assert answer.json()["detail"] == "this name and password don't go together"

    def test_it_is_throttled_by_address_whatever_address_one_claims(self, shop: None) -> None:
        given = {"username": "ines", "password": "wrong and wrong and wrong"}
        codes = [
            Caller()
            .client.post("/api/v1/sign-in", given, headers={"X-Forwarded-For": f"10.0.0.{turn}"})
            .status_code
            for turn in range(11)
        ]
        assert codes == [401] * 10 + [429]


class TestSigningOut:
    def test_the_token_ends(self, ines: Caller) -> None:
        assert ines.post("sign-out").status_code == 200
        answer = ines.get("builds")
        assert answer.status_code == 401
        assert answer.json()["detail"] == "this token is unknown, ended or expired"


class TestTokens:
    def test_an_expired_one_opens_nothing(self, ines: Caller) -> None:
        Token.objects.update(expires_at=datetime.now(UTC) - timedelta(seconds=1))
        assert ines.get("builds").status_code == 401

    def test_one_is_made_shown_and_ended(self, ines: Caller) -> None:
        made = ines.done("tokens", {"name": "tablet", "scopes": ["read"], "days": 30})
        listed = ines.seen("tokens")["items"]
        assert [token["name"] for token in listed] == ["tablet", "sign-in"]
        assert "key" not in listed[0]
        reader = Caller(made["key"])
        assert reader.get("builds").status_code == 200
        assert ines.client.delete(f"/api/v1/tokens/{made['id']}").status_code == 204
        assert reader.get("builds").status_code == 401

    def test_one_hands_on_no_more_than_it_holds(self, ines: Caller) -> None:
        made = ines.done("tokens", {"name": "clerk", "scopes": ["read", "record"]})
        answer = Caller(made["key"]).post("tokens", {"name": "more", "scopes": ["release"]})
        assert answer.status_code == 403
        assert answer.json()["errors"][0]["pointer"] == "#/scopes"
        assert Token.objects.count() == 2

    def test_a_manager_makes_none_that_acts_as_the_inspector(self, marta: Caller) -> None:
        asked = {"name": "as ruth", "scopes": ["record"], "username": "ruth"}
        assert marta.post("tokens", asked).status_code == 403
        assert Token.objects.count() == 1

    def test_a_technician_makes_none_for_another(self, ines: Caller) -> None:
        asked = {"name": "x", "scopes": ["readings:write"], "username": "ruth"}
        assert ines.post("tokens", asked).status_code == 403
        assert Token.objects.count() == 1

    def test_one_cannot_end_another_persons(self, ines: Caller) -> None:
        signed_in("ruth")
        other = Token.objects.get(user__username="ruth")
        assert ines.client.delete(f"/api/v1/tokens/{other.pk}").status_code == 404
        other.refresh_from_db()
        assert other.revoked_at is None
